"""A layout as a drawing, with names and dimensions."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from scribegauge.drawings import dimensions
from scribegauge.drawings.labelling import Name, placed_names
from scribegauge.drawings.record import Arc, Dot, Item, Point, Segment, Words
from scribegauge.figure.intended import IntendedMarks
from scribegauge.figure.layout import Layout
from scribegauge.figure.polygon import signed_area_mm2

NAME_MM = 2.4
_MOST_RADII = 4
_SAME_MM = 0.005
_WORDS_MM = 2.4

Points = NDArray[np.float64]


def figure_items(layout: Layout) -> tuple[Item, ...]:
    """Return the strokes and dots of a layout, without words."""
    return (*_sides(layout.vertices_mm), *_marks(layout.marks))


def named_items(
    layout: Layout, scale: float = 1.0, others: tuple[Item, ...] = ()
) -> tuple[Item, ...]:
    """Return a layout's strokes, dots, names and texts.

    Parameters
    ----------
    layout : Layout
    scale : float
        Of the drawing on paper.
    others : tuple of Item
        What else the names should keep clear of.
    """
    items = figure_items(layout)
    names = [
        Name(name, np.array([place]), "figure", "NAMES")
        for name, place in zip(layout.names, layout.vertices_mm.tolist(), strict=True)
    ]
    names += [
        Name(prick.name, np.array([prick.at_mm]), "figure", "NAMES")
        for prick in layout.marks.pricks
    ]
    texts = tuple(
        Words(text.at_mm, text.says, _WORDS_MM, "figure", layer="TEXT")
        for text in layout.marks.texts
    )
    return (*items, *placed_names(names, (*items, *others), scale, NAME_MM), *texts)


def dimension_items(layout: Layout, scale: float = 1.0) -> tuple[Item, ...]:
    """Return dimension lines: every length once, and the radii of circles."""
    items = [
        item for pair in _first_of_each(layout.vertices_mm) for item in _side(layout, pair, scale)
    ]
    circles = _distinct([c for c in figure_items(layout) if isinstance(c, Arc)])
    spread = -35.0 + 70.0 * np.arange(len(circles)) / max(len(circles) - 1, 1)
    for circle, angle in zip(circles, spread, strict=True):
        at = float(angle) if circle.whole else circle.start_deg + circle.sweep_deg / 2
        about = [c.radius_mm for c in circles if c.centre_mm == circle.centre_mm]
        items += dimensions.radius(circle, at, max(about), scale)
    return tuple(items)


def _sides(vertices_mm: Points) -> Iterator[Item]:
    for start, end in zip(vertices_mm, np.roll(vertices_mm, -1, axis=0), strict=True):
        yield Segment(_pair(start), _pair(end), "figure", "FIGURE")


def _marks(marks: IntendedMarks) -> Iterator[Item]:
    for circle in marks.circles:
        yield Arc(
            circle.centre_mm,
            circle.radius_mm,
            "figure",
            "FIGURE",
            circle.start_deg,
            circle.sweep_deg,
        )
    for line in marks.lines:
        yield Segment(line.from_mm, line.to_mm, "figure", "FIGURE")
    for prick in marks.pricks:
        yield Dot(prick.at_mm, "figure", "FIGURE")


def _first_of_each(vertices_mm: Points) -> Iterator[tuple[int, int]]:
    """Return for every length that a side has the first side of it."""
    seen: list[float] = []
    for k, start in enumerate(vertices_mm):
        after = (k + 1) % len(vertices_mm)
        length = float(np.hypot(*(vertices_mm[after] - start)))
        if not any(abs(length - other) < _SAME_MM for other in seen):
            seen.append(length)
            yield k, after


def _side(layout: Layout, pair: tuple[int, int], scale: float) -> list[Item]:
    start, end = (layout.vertices_mm[k] for k in pair)
    # To the left of the way round a figure that runs clockwise to the viewer lies the outside.
    left = signed_area_mm2(layout.vertices_mm) > 0
    return dimensions.along(_pair(start), _pair(end), left=left, scale=scale)


def _distinct(circles: list[Arc]) -> list[Arc]:
    chosen: list[Arc] = []
    for circle in sorted(circles, key=lambda each: not each.whole):
        if not any(abs(circle.radius_mm - other.radius_mm) < _SAME_MM for other in chosen):
            chosen.append(circle)
    return chosen[:_MOST_RADII]


def _pair(point: Points) -> Point:
    return float(point[0]), float(point[1])
