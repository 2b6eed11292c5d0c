"""Whether a picture is too dark for ink and paper to be told apart."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scribetarget.corners import MIN_CONTRAST

# Ink sends back about a twentieth of the light that paper does; a camera's tone curve makes of that a
# quarter of paper's grey level (0.05 ** (1 / 2.2)), so the contrast is three quarters of it.
_CONTRAST_OF_WHITE = 0.75
# Something as bright as paper is in every photo that is worth looking at: one part in fifty.
_BRIGHT_PERCENT = 98.0


def is_too_dark(grey: NDArray[np.uint8]) -> bool:
    """Tell whether a sheet of paper would be too dark in this picture to find its corners.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
        May be reduced; noise is averaged away here.
    """
    smooth = cv2.blur(grey, (5, 5))
    brightest = float(np.percentile(smooth, _BRIGHT_PERCENT))
    return brightest * _CONTRAST_OF_WHITE < MIN_CONTRAST
