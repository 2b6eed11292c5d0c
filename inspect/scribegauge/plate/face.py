"""The scribed face: where it lies above the paper, and how it meets the photo."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribetarget.view import View


@dataclass(frozen=True, slots=True)
class Face:
    """The plane of the scribed face in the target's frame.

    Plate coordinates are the target's x and y in millimetres on the plane
    ``z = -thickness_mm`` (one thickness towards the viewer).

    Attributes
    ----------
    view : View
    thickness_mm, u_thickness_mm : float
        Height of the face above the paper and its standard uncertainty.
    outline_mm : ndarray, shape (K, 2), float64
        The plate's edge as a closed polygon.
    scale_px_per_mm : float
        Mean scale of the photo at the plate.
    """

    view: View
    thickness_mm: float
    u_thickness_mm: float
    outline_mm: NDArray[np.float64]
    scale_px_per_mm: float
