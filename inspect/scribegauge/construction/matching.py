"""Which marks on the plate are which marks of the construction.

The construction is laid over the scribed figure, done perfectly, and what lies near a mark that it
predicts is taken for it. A regular figure can be begun at any vertex and either way round; the ways
under which most other marks are found are kept, and of those the ones that the figure fits best.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.choice import Chosen, Order
from scribegauge.construction.engine import Frame, run_exactly
from scribegauge.construction.method import points_of
from scribegauge.construction.values import Circle, Line, Value, unit

# As far as a side may lie from where the rest of the figure has it: four times the slip that
# spoils a layout (0.25 mm, common practice, no source).
REACH_MM = 1.0
# Ways to begin that differ by less than this on the plate are one.
SAME_WAY_MM = 0.02
# A hand's errors vary from vertex to vertex: of ways to begin that differ by less than this factor in
# how they fit, the better one is no proof (F test at one in ten with eight numbers each: 1.6).
LITTLE_WORSE = 1.6
MOST_WAYS = 8

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Found:
    """What one photo shows beside the figure's own sides. Plate frame.

    Attributes
    ----------
    vertices_mm : ndarray, shape (n, 2), float64
        The layout's vertices as scribed; NaN where not seen.
    circles : tuple of Circle
    lines : tuple of Line
    points : tuple of complex
        Pricks at no vertex.
    """

    vertices_mm: Points
    circles: tuple[Circle, ...]
    lines: tuple[Line, ...]
    points: tuple[complex, ...]


@dataclass(frozen=True, slots=True)
class Laid:
    """A construction laid over a plate.

    Attributes
    ----------
    order : Order
    frame : Frame
        Where the given points lie, on the plate or, where the order is mirrored, on the plate seen
        in a mirror (y turned round).
    circles, lines, points : Mapping of str to int
        By mark of the construction, which of the found ones it is.
    off_mm : float
        Root mean square distance of the vertices from the perfect method's.
    """

    order: Order
    frame: Frame
    circles: Mapping[str, int]
    lines: Mapping[str, int]
    points: Mapping[str, int]
    off_mm: float

    @property
    def count(self) -> int:
        """How many marks beside the figure's sides were found."""
        return len(self.circles) + len(self.lines) + len(self.points)


def ways_to_lay(chosen: Chosen, found: Found) -> tuple[Laid, ...]:
    """Lay a construction over a plate in all ways that are about equally likely.

    Parameters
    ----------
    chosen : Chosen
    found : Found

    Returns
    -------
    tuple of Laid
        The best fitting first, at most `MOST_WAYS`; empty where fewer than two vertices were seen.
    """
    ways = [way for order in chosen.orders if (way := _one_way(chosen, order, found)) is not None]
    most = max((way.count for way in ways), default=0)
    ways = [way for way in ways if way.count == most]
    ways.sort(key=lambda way: (round(way.off_mm, 6), way.order.mirrored))
    return tuple(way for way in ways if way.off_mm <= LITTLE_WORSE * ways[0].off_mm + SAME_WAY_MM)[
        :MOST_WAYS
    ]


def method_on_plate(chosen: Chosen, laid: Laid) -> Points:
    """Return where the perfect method has the layout's vertices, shape (n, 2), plate frame [mm]."""
    places = points_of(run_exactly(chosen.plan, laid.frame), chosen.plan.vertices)
    ordered = np.empty_like(places)
    ordered[list(laid.order.layout_of)] = mirror(places) if laid.order.mirrored else places
    return ordered


def mirror(points_mm: Points) -> Points:
    """Turn y of points (N, 2) round."""
    return np.asarray(points_mm * [1.0, -1.0])


def mirrored(place: Value) -> Value:
    """Turn y of a mark round."""
    match place:
        case Line(start, end):
            return Line(start.conjugate(), end.conjugate())
        case Circle(centre, radius):
            return Circle(centre.conjugate(), radius)
        case complex():
            return place.conjugate()
    return place


def _one_way(chosen: Chosen, order: Order, found: Found) -> Laid | None:
    vertices = found.vertices_mm[list(order.layout_of)]
    vertices = mirror(vertices) if order.mirrored else vertices
    seen = np.isfinite(vertices).all(axis=1)
    if seen.sum() < 2:  # noqa: PLR2004 - a place and a direction
        return None
    frame = _frame(chosen.figures.method_mm[seen], vertices[seen])
    exact = run_exactly(chosen.plan, frame)
    away = points_of(exact, chosen.plan.vertices)[seen] - vertices[seen]
    known = {*chosen.plan.vertices, *chosen.plan.sides}
    sought = {mark: place for mark, place in exact.items() if mark not in known}

    def seen_from(places: Sequence[Value]) -> list[Value]:
        return [mirrored(place) if order.mirrored else place for place in places]

    return Laid(
        order,
        frame,
        _pairs(sought, Circle, seen_from(found.circles), _circles_apart),
        _pairs(sought, Line, seen_from(found.lines), _lines_apart),
        _pairs(sought, complex, seen_from(found.points), _points_apart),
        float(np.sqrt((away**2).sum(axis=1).mean())),
    )


def _frame(method_mm: Points, vertices_mm: Points) -> Frame:
    """Return the frame that lays the method's vertices best over scribed ones, least squares."""
    plane = np.array([1.0, 1.0j])
    start, end = method_mm @ plane, vertices_mm @ plane
    overlap = complex(np.vdot(start - start.mean(), end - end.mean()))
    turn = unit(overlap) if overlap else 1 + 0j
    return Frame(turn, complex(end.mean()) - turn * complex(start.mean()))


Apart = Callable[[Value, Value], float]


def _pairs(
    sought: Mapping[str, Value], kind: type, found: Sequence[Value], apart: Apart
) -> dict[str, int]:
    """Pair marks with what was found, the nearest first, each once, none beyond the reach."""
    gaps = sorted(
        (gap, mark, k)
        for mark, place in sought.items()
        if isinstance(place, kind)
        for k, other in enumerate(found)
        if (gap := apart(place, other)) <= REACH_MM
    )
    pairs: dict[str, int] = {}
    for _, mark, k in gaps:
        if mark not in pairs and k not in pairs.values():
            pairs[mark] = k
    return pairs


def _circles_apart(first: Value, second: Value) -> float:
    if not isinstance(first, Circle) or not isinstance(second, Circle):
        raise TypeError("these are no circles")
    return max(abs(first.centre - second.centre), abs(first.radius_mm - second.radius_mm))


def _lines_apart(predicted: Value, seen: Value) -> float:
    """Return how far the seen piece of a line lies aside of the predicted one, at its worst end."""
    if not isinstance(predicted, Line) or not isinstance(seen, Line):
        raise TypeError("these are no lines")
    along = unit(predicted.end - predicted.start)
    return max(
        abs(((point - predicted.start) * along.conjugate()).imag)
        for point in (seen.start, seen.end)
    )


def _points_apart(first: Value, second: Value) -> float:
    if not isinstance(first, complex) or not isinstance(second, complex):
        raise TypeError("these are no points")
    return abs(first - second)


def unseen(chosen: Chosen, seen: Mapping[str, Value]) -> Iterator[str]:
    """Yield the construction's marks that the plate does not show; openings leave none."""
    exact = run_exactly(chosen.plan)
    for step in chosen.plan.steps:
        if step.mark not in seen and not isinstance(exact[step.mark], float):
            yield step.mark
