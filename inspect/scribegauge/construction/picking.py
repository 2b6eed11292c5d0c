"""Picks a construction's marks out of all that were measured, with their covariance."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.matching import mirrored as in_a_mirror
from scribegauge.construction.seen import Seen, size_of
from scribegauge.construction.values import Circle, Line, Value

Matrix = NDArray[np.float64]


class Picker:
    """Collects marks and how each follows from all that was measured."""

    def __init__(self, size: int, *, mirrored: bool) -> None:
        self._mirrored = mirrored
        self._size = size
        self._places: dict[str, Value] = {}
        self._rows: list[Matrix] = []
        self._more: list[float] = []

    def take(self, mark: str, place: Value, at: int) -> None:
        """Take a mark whose numbers stand in the covariance from `at` on."""
        self.take_rows(mark, place, np.eye(self._size)[at : at + size_of(place)], 0.0)

    def take_rows(self, mark: str, place: Value, rows: Matrix, more_mm: float) -> None:
        """Take a mark whose numbers follow from the measured ones by `rows`, and vary by more."""
        if self._mirrored:
            place, rows = in_a_mirror(place), _signs(place)[:, None] * rows
        self._places[mark] = place
        self._rows.append(rows)
        self._more += [more_mm**2] * len(rows)

    def seen(self, covariance: Matrix) -> Seen:
        """Return what was taken."""
        rows = np.concatenate(self._rows) if self._rows else np.zeros((0, self._size))
        return Seen(self._places, rows @ covariance @ rows.T + np.diag(self._more))


def _signs(place: Value) -> Matrix:
    """Return what becomes of a mark's slip when y is turned round."""
    match place:
        case Line():
            return np.array([-1.0, -1.0])
        case Circle():
            return np.array([1.0, -1.0, 1.0])
    return np.array([1.0, -1.0])
