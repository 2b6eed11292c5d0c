"""The intended figure, as a layout file gives it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What the person allows; None where nothing is to be judged."""

    side_mm: float | None
    angle_deg: float | None


@dataclass(frozen=True, slots=True)
class Layout:
    """A polygon by its vertices, in order round the figure.

    Attributes
    ----------
    title : str
    vertices_mm : ndarray, shape (n, 2), float64
    names : tuple of str
        One per vertex: A, B, C, … Z, A1, B1, …
    tolerance : Tolerance
    """

    title: str
    vertices_mm: NDArray[np.float64]
    names: tuple[str, ...]
    tolerance: Tolerance
