"""What a polygon must be like so that a person can scribe it and a photo can show it."""

from collections.abc import Callable, Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.faults import Fault
from scribegauge.figure.polygon import (
    clashing_sides,
    inside_angles_deg,
    least_square_mm,
    side_lengths_mm,
)

#: Window of the largest target: 19 squares of 8 mm.
LARGEST_WINDOW_MM: Final = 152.0

#: A scribed groove is about 0.1 mm wide: nearer than that, two marks are one.
GROOVE_MM: Final = 0.1

#: Five grooves: a shorter side has no length to see it by.
SHORTEST_SIDE_MM: Final = 0.5

#: Two lines that meet at 1° put their corner 57 times as far off as they are themselves.
STRAIGHTEST_CORNER_DEG: Final = 1.0

KEY: Final = "polygon.vertices_mm"


def shape_faults(
    vertices_mm: NDArray[np.float64],
    names: tuple[str, ...],
    line_of_vertex: Callable[[int], int | None],
    *,
    may_cross: bool = False,
) -> Iterator[Fault]:
    """Find what is wrong with a polygon of at least three finite vertices.

    Parameters
    ----------
    vertices_mm : ndarray, shape (n, 2), float64
    names : tuple of str
        Of the vertices, for the sentences.
    line_of_vertex : callable
        Vertex number to line in the file, None where unknown.
    may_cross : bool
        Whether it is a star whose sides are meant to cross.

    Yields
    ------
    Fault
    """
    square_mm = least_square_mm(vertices_mm)
    if square_mm > LARGEST_WINDOW_MM:
        yield Fault(
            KEY,
            f"needs a window of {square_mm:.0f} mm; the largest target has {LARGEST_WINDOW_MM:.0f}",
            "Give millimetres, or choose a smaller figure.",
            line_of_vertex(0),
        )
    short = list(_short_sides(vertices_mm, names, line_of_vertex))
    yield from short
    if short:
        return  # angles and crossings of a side without length mean nothing
    yield from _flat_corners(vertices_mm, names, line_of_vertex)
    if not may_cross:
        yield from _clashes(vertices_mm, names, line_of_vertex)


def _short_sides(
    vertices_mm: NDArray[np.float64],
    names: tuple[str, ...],
    line_of_vertex: Callable[[int], int | None],
) -> Iterator[Fault]:
    for i, length_mm in enumerate(side_lengths_mm(vertices_mm)):
        start, end = names[i], names[(i + 1) % len(names)]
        if length_mm < GROOVE_MM:
            text = f"has {start} and {end} at the same place"
            cure = (
                "Leave one of them out; the figure closes by itself, so the first is not repeated."
            )
        elif length_mm < SHORTEST_SIDE_MM:
            text = f"has a side {start}-{end} of {length_mm:.2g} mm, too short to be seen"
            cure = f"Give millimetres; a side has at least {SHORTEST_SIDE_MM} mm."
        else:
            continue
        yield Fault(KEY, text, cure, line_of_vertex((i + 1) % len(names)))


def _flat_corners(
    vertices_mm: NDArray[np.float64],
    names: tuple[str, ...],
    line_of_vertex: Callable[[int], int | None],
) -> Iterator[Fault]:
    # How far each corner is from a straight line or from turning back on itself.
    away_deg = np.abs((inside_angles_deg(vertices_mm) + 90.0) % 180.0 - 90.0)
    for i in np.flatnonzero(away_deg < STRAIGHTEST_CORNER_DEG):
        yield Fault(
            KEY,
            f"has no corner at {names[i]}: its two sides lie in one line",
            "Leave out a vertex that is no corner.",
            line_of_vertex(int(i)),
        )


def _clashes(
    vertices_mm: NDArray[np.float64],
    names: tuple[str, ...],
    line_of_vertex: Callable[[int], int | None],
) -> Iterator[Fault]:
    n = len(names)
    for i, j in clashing_sides(vertices_mm, GROOVE_MM):
        first, second = (f"{names[k]}-{names[(k + 1) % n]}" for k in (i, j))
        yield Fault(
            KEY,
            f"has sides {first} and {second} that cross or touch",
            "Give the vertices in order round the figure; a star says may_cross = true.",
            line_of_vertex(j),
        )
