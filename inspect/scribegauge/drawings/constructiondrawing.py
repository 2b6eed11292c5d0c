"""A construction as strokes, step by step: circles only where they are needed, as a hand draws them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from scribegauge.construction.method import exact_places
from scribegauge.construction.record import (
    Divide,
    DrawCircle,
    DrawLine,
    Extend,
    GivenPoint,
    Meet,
    Plan,
    SetDividers,
    Step,
    StepOff,
)
from scribegauge.construction.values import Circle, Line, Value, unit
from scribegauge.drawings.labelling import Name
from scribegauge.drawings.record import FULL_TURN_DEG, Arc, Dot, Item, Point, Segment

_PAST_MM = 3.0  # how far a hand draws a line or an arc past the point that it wants
_SIDE_PAST_MM = 1.0
_LEAST_ARC_DEG = 10.0
_TICK_MM = 2.5
_FEWEST_ON_FIGURE = 3


@dataclass(frozen=True, slots=True)
class DrawnStep:
    """What one numbered step adds to the drawing.

    Attributes
    ----------
    number : int
    steps : tuple of Step
    items : tuple of Item
        Its strokes and dots; `layer` names the step.
    names : tuple of Name
        Of its marks.
    """

    number: int
    steps: tuple[Step, ...]
    items: tuple[Item, ...]
    names: tuple[Name, ...]

    @property
    def layer(self) -> str:
        """Name of the layer that its strokes lie in."""
        return layer_of(self.number)


def layer_of(number: int) -> str:
    """Return the name of a step's layer; they sort as the steps do."""
    return f"STEP {number:02d}"


def drawn_steps(plan: Plan) -> tuple[DrawnStep, ...]:
    """Return what each numbered step of a construction adds, done perfectly.

    Parameters
    ----------
    plan : Plan

    Raises
    ------
    UseError
        ``construction_impossible``.
    """
    places = exact_places(plan)
    return tuple(_drawn(plan, places, steps) for steps in _together(plan))


def figure_items(plan: Plan) -> tuple[Item, ...]:
    """Return the finished figure: its sides, or the dots that are its vertices."""
    places = exact_places(plan)
    corners = [_pair(places[name]) for name in plan.vertices]
    if not plan.sides:
        return tuple(Dot(corner, "figure", "FIGURE") for corner in corners)
    ends = zip(corners, (*corners[1:], *corners[:1]), strict=True)
    return tuple(Segment(a, b, "figure", "FIGURE") for a, b in ends)


def _together(plan: Plan) -> Iterator[tuple[Step, ...]]:
    """Yield steps that are shown in one picture: those of one number, and all closing lines."""
    for _, steps in groupby(plan.steps, key=lambda s: 0 if _closes(s) else s.number):
        yield tuple(steps)


def _closes(step: Step) -> bool:
    """Tell whether a step only draws a side between two vertices."""
    return isinstance(step, DrawLine) and "\N{EN DASH}" in step.mark


def _drawn(plan: Plan, places: Mapping[str, Value], steps: tuple[Step, ...]) -> DrawnStep:
    layer = layer_of(steps[0].number)
    items = [item for step in steps for item in _strokes(plan, places, step)]
    names = []
    for step in steps:
        spots = _spots(places[step.mark], _own(plan, places, step))
        if spots is not None and not _closes(step):
            names.append(Name(step.mark, spots, "mark", layer))
    return DrawnStep(
        steps[0].number, steps, tuple(replace(i, layer=layer) for i in items), tuple(names)
    )


def _own(plan: Plan, places: Mapping[str, Value], step: Step) -> list[Item]:
    """Return the strokes of a step that its name may stand beside."""
    return [i for i in _strokes(plan, places, step) if isinstance(i, Segment | Arc)]


def _spots(place: Value, strokes: list[Item]) -> "np.typing.NDArray[np.float64] | None":
    """Return places for a mark's name: at a point, or anywhere along a line or circle."""
    if isinstance(place, complex):
        return np.array([[place.real, place.imag]])
    if isinstance(place, float) or not strokes:
        return None
    paths = [item.path_mm() for item in strokes]
    if isinstance(place, Line):
        start, end = paths[0]
        shares = np.array([0.0, 1.0, 0.92, 0.08, 0.7, 0.3])[:, None]
        return np.asarray(start + shares * (end - start))
    return np.concatenate([path[:: max(len(path) // 8, 1)] for path in paths])


def _strokes(plan: Plan, places: Mapping[str, Value], step: Step) -> Iterator[Item]:
    place = places[step.mark]
    match step:
        case DrawLine():
            yield _line(plan, places, step)
        case SetDividers(points=(first, second)):
            yield Segment(_pair(places[first]), _pair(places[second]), "opening")
        case DrawCircle() if isinstance(place, Circle):
            yield from _arcs(plan, places, step, place)
        case StepOff() | Extend():
            yield from _tick(places, step)
            yield Dot(_pair(place), "mark")
        case GivenPoint() | Meet() | Divide():
            yield Dot(_pair(place), "mark")


def _line(plan: Plan, places: Mapping[str, Value], step: DrawLine) -> Segment:
    """Draw a line over all points that lie on it, and a little past them."""
    on = {*step.through, *(s.mark for s in plan.steps if _lies_on(s, step.mark))}
    start, end = (complex(places[name]) for name in step.through)  # type: ignore[arg-type]
    along = unit(end - start)
    reach = [
        ((complex(places[name]) - start) * along.conjugate()).real  # type: ignore[arg-type]
        for name in on
    ]
    past = _SIDE_PAST_MM if _closes(step) else _PAST_MM
    low, high = start + (min(reach) - past) * along, start + (max(reach) + past) * along
    return Segment((low.real, low.imag), (high.real, high.imag), "mark")


def _lies_on(step: Step, curve: str) -> bool:
    match step:
        case Meet():
            return curve in step.of
        case Extend():
            return step.line == curve
        case StepOff():
            return step.along == curve
    return False


def _arcs(
    plan: Plan, places: Mapping[str, Value], step: DrawCircle, circle: Circle
) -> Iterator[Arc]:
    """Draw a whole circle where it is part of the figure, else arcs where points are sought."""
    centre = (circle.centre.real, circle.centre.imag)
    sought = [s.mark for s in plan.steps if _lies_on(s, step.mark)]
    on_figure = {*sought, step.through or ""} & set(plan.vertices)
    stepped = any(isinstance(s, StepOff) and s.along == step.mark for s in plan.steps)
    lines = any(isinstance(s, DrawLine) for s in plan.steps)
    if not sought or stepped or len(on_figure) >= _FEWEST_ON_FIGURE or not lines:
        yield Arc(centre, circle.radius_mm, "mark")
        return
    half = max(float(np.degrees(_PAST_MM / circle.radius_mm)), _LEAST_ARC_DEG / 2)
    turns = [
        float(np.degrees(np.angle(complex(places[mark]) - circle.centre)))  # type: ignore[arg-type]
        for mark in sought
    ]
    for first, last in _joined(sorted((t - half, t + half) for t in turns)):
        yield Arc(centre, circle.radius_mm, "mark", "", first, min(last - first, FULL_TURN_DEG))


def _joined(stretches: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Join stretches [degrees] that overlap; sorted by their beginnings."""
    joined: list[tuple[float, float]] = []
    for first, last in stretches:
        if joined and first <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(last, joined[-1][1])
        else:
            joined.append((first, last))
    return joined


def _tick(places: Mapping[str, Value], step: StepOff | Extend) -> Iterator[Arc]:
    """Draw the short arc by which the dividers mark a point."""
    about = places[step.start if isinstance(step, StepOff) else step.beyond]
    point, centre = places[step.mark], about
    if not isinstance(point, complex) or not isinstance(centre, complex):
        return
    radius = abs(point - centre)
    turn, half = float(np.degrees(np.angle(point - centre))), float(np.degrees(_TICK_MM / radius))
    yield Arc((centre.real, centre.imag), radius, "mark", "", turn - half, 2 * half)


def _pair(place: Value) -> Point:
    point = complex(place)  # type: ignore[arg-type]
    return point.real, point.imag


def dividers_set(item: Item) -> Iterator[Segment]:
    """Yield the reach of the dividers, from their point to the middle of a short arc."""
    if isinstance(item, Arc) and not item.whole:
        middle = item.at(item.start_deg + item.sweep_deg / 2)
        yield Segment(item.centre_mm, middle, "opening", item.layer)
