"""What one picture shows of the target: its corners in pixels, before any camera is known."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribetarget.smear import Smear
from scribetarget.spec import TargetSpec


@dataclass(frozen=True, slots=True)
class Sighting:
    """Chessboard corners of the ring as seen in one picture.

    Attributes
    ----------
    spec : TargetSpec
        Which size of sheet was seen.
    corner_ids : ndarray, shape (N,), int64
        Corners seen, ascending, as numbered by the board.
    corners_px : ndarray, shape (N, 2), float64
        Where they are; pixel (0, 0) is the centre of the top-left pixel.
    sigma_px : ndarray, shape (N,), float64
        Standard uncertainty of each corner along either axis.
    marker_ids : ndarray, shape (M,), int64
        Markers that were read and agree with the sheet's layout, ascending.
    square_px : float
        Mean side of a square in the picture.
    blur_px : float
        Standard deviation of the edge blur, pixel aperture included (median over corners).
    contrast : float
        `white_level` minus `black_level`.
    white_level, black_level : float
        Grey levels of paper and ink at the corners (medians).
    clipped_share : float
        Share of the pixels round the corners that are at 0 or 255.
    noise : float
        Noise of single pixels at the corners, and what else no corner explains [grey levels].
    smear : Smear or None
        Which way the picture is smeared; None where no picture was looked at.
    """

    spec: TargetSpec
    corner_ids: NDArray[np.int64]
    corners_px: NDArray[np.float64]
    sigma_px: NDArray[np.float64]
    marker_ids: NDArray[np.int64]
    square_px: float
    blur_px: float
    contrast: float
    white_level: float
    black_level: float
    clipped_share: float
    noise: float = 0.0
    smear: Smear | None = None
