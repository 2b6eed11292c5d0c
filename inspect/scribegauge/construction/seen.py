"""Which marks of a construction are seen on the plate, where, and how surely."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.values import Circle, Line, Slip, Value

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Seen:
    """Measured marks in the plan's frame, with the covariance of all of them together.

    Attributes
    ----------
    places : Mapping of str to Value
        By mark, for those that are seen. A line is given by the ends that are seen of it.
    covariance : ndarray, shape (m, m), float64
        Of the marks' slips in the order of `places`: a point has two (x, y), a line two (aside at
        its ends), a circle three (centre x, y, radius), all in millimetres.
    """

    places: Mapping[str, Value]
    covariance: Matrix

    def parts(self) -> Iterator[tuple[str, slice]]:
        """Yield each mark and where it stands in the covariance."""
        start = 0
        for mark, place in self.places.items():
            stop = start + size_of(place)
            yield mark, slice(start, stop)
            start = stop

    def slips(self, vector: Matrix) -> dict[str, Slip]:
        """Return a vector (m,) of small changes as a slip for each mark."""
        return {mark: tuple(float(x) for x in vector[part]) for mark, part in self.parts()}


def size_of(place: Value) -> int:
    """Return how many numbers tell where a mark lies."""
    match place:
        case Line() | complex():
            return 2
        case Circle():
            return 3
    return 1
