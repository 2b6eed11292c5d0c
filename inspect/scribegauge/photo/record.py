"""What the photo stage returns."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class LensFacts:
    """What the camera wrote about its lens; None where it wrote nothing.

    Place, serial numbers and thumbnails are never read.
    """

    maker: str
    model: str
    focal_mm: float | None
    focal_35mm: float | None
    digital_zoom: float | None
    taken: str | None


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo turned upright.

    Attributes
    ----------
    name : str
        File name without folders, or ``-`` for standard input.
    sha256 : str
        Of the file's bytes.
    rgb : ndarray, shape (H, W, 3), uint8, read-only
        Upright picture.
    grey : ndarray, shape (H, W), uint8, read-only
        Its luma.
    facts : LensFacts
    """

    name: str
    sha256: str
    rgb: NDArray[np.uint8]
    grey: NDArray[np.uint8]
    facts: LensFacts
