"""Where a person saw marks: rough places in a photo of a side's ends and of pricks."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.assign import Placement, settle
from scribegauge.marks.record import LineMark, PrickMark

FEWEST_PLACES, FEWEST_SIDES = 2, 2

Points = NDArray[np.float64]
#: Takes points (N, 2) to points (N, 2).
PointMap = Callable[[Points], Points]


@dataclass(frozen=True, slots=True)
class Hints:
    """What a person said of one photo; good to about a millimetre.

    Attributes
    ----------
    sides : Mapping[int, ndarray (2, 2)]
        By the side's number: the ends of its line at vertex i and at vertex i + 1. Photo px, or mm
        once they are taken to the plate.
    pricks : Mapping[int, ndarray (2,)]
        By the vertex's number.
    """

    sides: Mapping[int, Points] = field(default_factory=dict)
    pricks: Mapping[int, Points] = field(default_factory=dict)

    def moved(self, to_frame: PointMap) -> "Hints":
        """Take every place to another frame, e.g. by `Face.plate_from_photo`."""
        return Hints(
            {side: to_frame(ends) for side, ends in self.sides.items()},
            {at: to_frame(place[None])[0] for at, place in self.pricks.items()},
        )

    def vertices(self, count: int) -> dict[int, list[Points]]:
        """Return the places given for each vertex of a figure of so many."""
        places: dict[int, list[Points]] = {}
        for side, ends in self.sides.items():
            places.setdefault(side, []).append(ends[0])
            places.setdefault((side + 1) % count, []).append(ends[1])
        for vertex, place in self.pricks.items():
            places.setdefault(vertex, []).append(place)
        return places


def in_vain(
    pointed: Sequence[tuple[Hints, Mapping[int, LineMark | None]]],
    pricks: Sequence[PrickMark | None],
) -> tuple[set[int], set[int]]:
    """Return the sides and vertices of hints for which no photo showed anything.

    Parameters
    ----------
    pointed : sequence of (Hints, Mapping)
        Of each photo what was said, and by the side's number what was found there.
    pricks : sequence of PrickMark or None
        At each vertex.
    """
    found = {k for _, lines in pointed for k, line in lines.items() if line is not None}
    sides = {side for hints, _ in pointed for side in hints.sides} - found
    vertices = {vertex for hints, _ in pointed for vertex in hints.pricks}
    return sides, {vertex for vertex in vertices if pricks[vertex] is None}


def place_by_hints(
    vertices_mm: Points, lines_mm: Points, hints_mm: tuple[Hints, ...]
) -> Placement | None:
    """Lay a figure where a person said that its vertices are, then over the lines found.

    Parameters
    ----------
    vertices_mm : ndarray, shape (n, 2), float64
        Layout frame.
    lines_mm : ndarray, shape (L, 2, 2), float64
        Plate frame.
    hints_mm : tuple of Hints
        Of all photos, plate frame [mm].

    Returns
    -------
    Placement or None
        None when fewer than two vertices were pointed at, or fewer than two sides lie there.
    """
    places: dict[int, list[Points]] = {}
    for hints in hints_mm:
        for vertex, seen in hints.vertices(len(vertices_mm)).items():
            places.setdefault(vertex, []).extend(seen)
    if len(places) < FEWEST_PLACES:
        return None
    here = vertices_mm[list(places)]
    there = np.array([np.mean(seen, axis=0) for seen in places.values()])
    a, b = here - here.mean(axis=0), there - there.mean(axis=0)
    cross = float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum())
    rotation = float(np.arctan2(cross, float((a * b).sum())))
    c, s = np.cos(rotation), np.sin(rotation)
    shift = there.mean(axis=0) - np.array([[c, -s], [s, c]]) @ here.mean(axis=0)
    placement = settle(vertices_mm, lines_mm, rotation, shift)
    sides = placement.match(vertices_mm, lines_mm)
    return placement if sum(k is not None for k in sides) >= FEWEST_SIDES else None
