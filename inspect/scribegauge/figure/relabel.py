"""Which corner is A: a figure that lies alike on itself in several ways, and its mirror image."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.errors import UseError
from scribegauge.figure.assign import Placement
from scribegauge.figure.fitkey import side_names
from scribegauge.figure.intended import IntendedCircle, IntendedMarks
from scribegauge.figure.layout import Layout
from scribegauge.figure.markplace import match_marks
from scribegauge.figure.polygon import rotations_that_match
from scribegauge.marks.record import Marks

Points = NDArray[np.float64]

# What two corners may differ by and still be drawn alike: no scribed line tells less.
_ALIKE_MM = 0.05
# The edge of a plate is sawn: what is nearest to it must be so by more than that.
_EDGE_MM = 0.5
# A figure that fits no better than that than its mirror image may be either.
_BETTER = 0.05
_FLIP = np.array([1.0, -1.0])


@dataclass(frozen=True, slots=True)
class Settled:
    """A figure laid over the plate, and what told which way.

    Attributes
    ----------
    layout : Layout
        Mirrored where the scribed figure is.
    placement : Placement
    ways : int
        In how many ways the polygon lies alike on itself.
    told_by : str
        ``shape``, ``hints``, ``marks``, ``edge`` or ``nothing``.
    mirrored : bool
    """

    layout: Layout
    placement: Placement
    ways: int
    told_by: str
    mirrored: bool


def mirrored(layout: Layout) -> Layout:
    """Return a layout as seen from behind."""
    marks = layout.marks
    flipped = IntendedMarks(
        circles=tuple(_flipped(circle) for circle in marks.circles),
        pricks=tuple(replace(prick, at_mm=_flip(prick.at_mm)) for prick in marks.pricks),
        lines=tuple(
            replace(line, from_mm=_flip(line.from_mm), to_mm=_flip(line.to_mm))
            for line in marks.lines
        ),
        texts=tuple(replace(text, at_mm=_flip(text.at_mm)) for text in marks.texts),
        distances=marks.distances,
    )
    return replace(layout, vertices_mm=layout.vertices_mm * _FLIP, marks=flipped)


def refuse_several(layout: Layout, photos: int) -> None:
    """Raise when several photos are to be joined and there are no sides to join them by.

    Raises
    ------
    UseError
        ``one_photo_only``.
    """
    if photos > 1 and not layout.names:
        raise UseError(
            "one_photo_only",
            "Several photos are joined by the sides of a polygon, and this layout has none.",
            "Check each photo alone, or add a [polygon] to the layout.",
        )


def settle_figure(
    layout: Layout,
    place: Callable[[Layout], Placement | None],
    marks: Marks,
    outline_mm: Points,
    *,
    hinted: bool,
) -> Settled | None:
    """Lay a figure: as given or mirrored, and in the way that the plate tells.

    Parameters
    ----------
    layout : Layout
    place : callable
        Lays a layout; None where it cannot.
    marks : Marks
        Found on the plate, pricks too where the layout has any.
    outline_mm : ndarray, shape (M, 2), float64
        The plate's edge.
    hinted : bool
        Whether a person pointed at corners, so that their names are settled.

    Returns
    -------
    Settled or None
        None where it cannot be laid.
    """
    chosen, placement, is_mirrored = _by_hand(layout, place)
    if placement is None:
        return None
    if not chosen.names:
        ways = turns_alike(chosen.marks)
        told = "nothing" if ways > 1 else "shape"
        return Settled(chosen, placement, ways, told, is_mirrored)
    turns = rotations_that_match(chosen.vertices_mm, _ALIKE_MM)
    way, told = _told(chosen, placement, turns, marks, outline_mm) if not hinted else (0, "hints")
    placement = _turned(chosen.vertices_mm, placement, way)
    return Settled(chosen, placement, len(turns), told if len(turns) > 1 else "shape", is_mirrored)


def turns_alike(marks: IntendedMarks) -> int:
    """Return in how many ways pricks, circles and lines lie alike on themselves when turned.

    Parameters
    ----------
    marks : IntendedMarks

    Returns
    -------
    int
        1 where there is one way only, and for circles about one point, which have no names to mix up.
    """
    places, kinds = _kinds(marks)
    away = places - places.mean() if len(places) else places
    far = int(np.argmax(np.abs(away))) if len(away) else 0
    if not len(away) or abs(away[far]) < _ALIKE_MM:
        return 1
    turns = [other / away[far] for other in away[kinds == kinds[far]] if abs(other) > _ALIKE_MM]
    return sum(
        abs(abs(turn) - 1) * abs(away[far]) < _ALIKE_MM
        and _lies_alike(away * turn / abs(turn), away, kinds)
        for turn in turns
    )


def _kinds(marks: IntendedMarks) -> tuple[NDArray[np.complex128], Points]:
    """Return places (N,) of pricks, centres and middles of lines, and what each is (N,)."""
    rows = [(complex(*p.at_mm), -1.0) for p in marks.pricks]
    rows += [(complex(*c.centre_mm), round(c.radius_mm, 3)) for c in marks.circles]
    rows += [((complex(*g.from_mm) + complex(*g.to_mm)) / 2, -2.0) for g in marks.lines]
    places, kinds = zip(*rows, strict=True) if rows else ((), ())
    return np.array(places, np.complex128), np.array(kinds)


def _lies_alike(
    turned: NDArray[np.complex128], places: NDArray[np.complex128], kinds: Points
) -> bool:
    gaps = np.abs(turned[:, None] - places[None]) + np.where(kinds[:, None] == kinds, 0.0, np.inf)
    return bool((gaps.min(axis=1) < _ALIKE_MM).all())


def _by_hand(
    layout: Layout, place: Callable[[Layout], Placement | None]
) -> tuple[Layout, Placement | None, bool]:
    """Lay a layout as its ``[fit]`` says: as given, mirrored, or whichever fits better."""
    if layout.fit.hand == "given":
        return layout, place(layout), False
    other = mirrored(layout)
    if layout.fit.hand == "mirrored":
        return other, place(other), True
    one, two = place(layout), place(other)
    if two is not None and (one is None or two.score > one.score + _BETTER):
        return other, two, True
    return layout, one, False


def _told(
    layout: Layout, placement: Placement, turns: list[int], marks: Marks, outline_mm: Points
) -> tuple[int, str]:
    """Return by how many corners the names move on, and what told."""
    if len(turns) == 1:
        return 0, "shape"
    ways = [_turned(layout.vertices_mm, placement, k) for k in turns]
    by_marks = [_marks_seen(layout, way, marks) for way in ways]
    best = int(np.argmax(by_marks))
    if sum(seen == by_marks[best] for seen in by_marks) == 1:
        return turns[best], "marks"
    if layout.fit.edge:
        gaps = np.array([_edge_gap_mm(layout, way, outline_mm) for way in ways])
        order = np.argsort(gaps)
        if gaps[order[1]] - gaps[order[0]] > _EDGE_MM:
            return turns[int(order[0])], "edge"
    return 0, "nothing"


def _turned(vertices_mm: Points, placement: Placement, turn: int) -> Placement:
    """Return the placement under which vertex i lies where vertex i + turn lay."""
    if turn == 0:
        return placement
    places = np.roll(placement.plate_from_layout(vertices_mm), -turn, axis=0)
    a, b = vertices_mm @ [1, 1j], places @ [1, 1j]
    angle = float(np.angle(np.vdot(a - a.mean(), b - b.mean())))
    middle = b.mean() - a.mean() * np.exp(1j * angle)
    return Placement(angle, np.array([middle.real, middle.imag]), placement.score)


def _marks_seen(layout: Layout, way: Placement, marks: Marks) -> int:
    matched = match_marks(layout.marks, way, marks)
    every = (*matched.circles, *matched.pricks, *matched.lines)
    return sum(k is not None for k in every)


def _edge_gap_mm(layout: Layout, way: Placement, outline_mm: Points) -> float:
    """Return how far the side or vertex named in the layout lies from the plate's edge."""
    names, edge = layout.names, layout.fit.edge
    places = way.plate_from_layout(layout.vertices_mm)
    if edge in names:
        chosen = [places[names.index(edge)]]
    else:
        side = side_names(names).index(edge)
        chosen = [places[side], places[(side + 1) % len(names)]]
    return float(np.mean([min(_gaps(point, outline_mm)) for point in chosen]))


def _gaps(point: Points, outline_mm: Points) -> Iterator[float]:
    for start, end in zip(outline_mm, np.roll(outline_mm, -1, axis=0), strict=True):
        way = end - start
        share = np.clip((point - start) @ way / max(float(way @ way), 1e-12), 0.0, 1.0)
        yield float(np.hypot(*(start + share * way - point)))


def _flip(point: tuple[float, float]) -> tuple[float, float]:
    return point[0], -point[1]


def _flipped(circle: IntendedCircle) -> IntendedCircle:
    start = -(circle.start_deg + circle.sweep_deg)
    return replace(circle, centre_mm=_flip(circle.centre_mm), start_deg=start)
