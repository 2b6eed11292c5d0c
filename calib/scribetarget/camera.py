"""A camera: how it projects, and how well that is known."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

LENS_NAMES = ("f_px", "aspect", "cx_px", "cy_px", "k1", "k2", "p1", "p2", "k3")


@dataclass(frozen=True, slots=True)
class Camera:
    """Pinhole camera with radial and tangential distortion, and its covariance.

    Attributes
    ----------
    width_px, height_px : int
        Size of the upright picture that the numbers below hold for.
    values : ndarray, shape (9,), float64
        In the order of `LENS_NAMES`; ``fx = f_px``, ``fy = f_px * aspect``; pixel (0, 0) is
        the centre of the top-left pixel.
    covariance : ndarray, shape (9, 9), float64
        Standard-uncertainty covariance of `values`.
    source : str
        ``"profile"`` (calibrated), ``"exif"`` (focal length from the photo's own record) or
        ``"guess"`` (no record).
    name : str
        Camera maker and model, or an empty string.
    focal_35mm : float or None
        35 mm equivalent focal length as the photos have it; tells the lenses of a phone apart.
    """

    width_px: int
    height_px: int
    values: NDArray[np.float64]
    covariance: NDArray[np.float64]
    source: str
    name: str
    focal_35mm: float | None = None
