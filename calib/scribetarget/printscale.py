"""How much larger or smaller than drawn the sheet was printed, per axis."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class PrintScale:
    """Printed size over drawn size along the sheet's x and y.

    Attributes
    ----------
    values : ndarray, shape (2,), float64
        (sx, sy): true millimetres per drawn millimetre.
    covariance : ndarray, shape (2, 2), float64
        Standard-uncertainty covariance of `values` (caliper, setting on ink, paper climate).
    known : bool
        False when no bar was measured: only the shape of a figure can then be trusted.
    """

    values: NDArray[np.float64]
    covariance: NDArray[np.float64]
    known: bool
