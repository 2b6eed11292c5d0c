"""Runs a construction: perfectly, or from marks as they were really scribed.

Every step is a function of where its parents lie. Done with the parents' exact places this is the
perfect method; done with measured places it predicts where a step's mark should lie.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from scribegauge.construction.errors import StepError
from scribegauge.construction.meetings import APART_MM, chosen, meetings
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
from scribegauge.construction.values import Circle, Line, Slip, Value, slipped, unit
from scribetarget.wording import say

Values = Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the given points lie on the plate: ``place = shift + turn * at``."""

    turn: complex = 1 + 0j
    shift: complex = 0j


def run_exactly(plan: Plan, frame: Frame | None = None) -> dict[str, Value]:
    """Do every step perfectly.

    Parameters
    ----------
    plan : Plan
    frame : Frame, optional
        Where the given points lie; by default as the plan gives them.

    Returns
    -------
    dict of str to Value
        Where each mark lies, in the order of the steps.

    Raises
    ------
    StepError
    """
    return run_with_slips(plan, {}, frame or Frame())


def run_with_slips(plan: Plan, slips: Mapping[str, Slip], frame: Frame) -> dict[str, Value]:
    """Do every step from the marks as they came out, adding each step's own slip.

    Parameters
    ----------
    plan : Plan
    slips : Mapping of str to Slip
        By mark; a mark that is not in it comes out perfectly from its parents.
    frame : Frame

    Raises
    ------
    StepError
    """
    places: dict[str, Value] = {}
    for step in plan.steps:
        place = predict(step, places, frame)
        slip = slips.get(step.mark)
        places[step.mark] = place if slip is None else slipped(place, slip)
    return places


def predict(step: Step, places: Values, frame: Frame) -> Value:
    """Return where a step's mark lies when it is done perfectly from its parents' places.

    Raises
    ------
    StepError
        With the step's mark and number.
    """
    try:
        return _predict(step, places, frame)
    except StepError as error:
        error.mark, error.number = step.mark, step.number
        raise


def _predict(step: Step, places: Values, frame: Frame) -> Value:
    match step:
        case GivenPoint():
            return frame.shift + frame.turn * step.at_mm
        case DrawLine():
            return Line(*_ends(places, step.through))
        case SetDividers():
            return _set(step, places)
        case DrawCircle():
            return _circle(step, places)
    return _found(step, places)


def _found(step: Meet | StepOff | Extend | Divide, places: Values) -> complex:
    """Return a point that is found from other marks."""
    match step:
        case Meet():
            marks = tuple(_point(places, name) for name in step.rule.points)
            first, second = (_curve(places, name) for name in step.of)
            return chosen(meetings(first, second), step.rule.kind, marks)
        case StepOff():
            return _stepped(step, places)
        case Extend():
            return _extended(step, places)
        case Divide():
            start, end = _ends(places, step.points)
            return start + step.share * (end - start)


def _set(step: SetDividers, places: Values) -> float:
    if step.points is None:
        return step.length_mm or 0.0
    start, end = _ends(places, step.points)
    return abs(end - start)


def _circle(step: DrawCircle, places: Values) -> Circle:
    centre = _point(places, step.about)
    if step.opening is not None:
        return Circle(centre, _opening(places, step.opening))
    rim = _point(places, step.through or "")
    return Circle(centre, abs(_apart(centre, rim)[1] - centre))


def _stepped(step: StepOff, places: Values) -> complex:
    """Return the next point on a circle, an opening's chord from the last."""
    circle, start = _curve(places, step.along), _point(places, step.start)
    if not isinstance(circle, Circle):
        raise StepError("apart", say("it steps along a line; use `extend` there"))
    both = meetings(circle, Circle(start, _opening(places, step.opening)))
    # Seen with y downwards the second meeting lies clockwise of the first about the circle.
    ahead = unit(start - circle.centre) * (1j if step.clockwise else -1j)
    return max(both, key=lambda point: ((point - start) * ahead.conjugate()).real)


def _extended(step: Extend, places: Values) -> complex:
    line, end = _curve(places, step.line), _point(places, step.beyond)
    if not isinstance(line, Line):
        raise StepError("apart", say("only a line is extended"))
    along = unit(line.end - line.start)
    if abs(end - line.start) < abs(end - line.end):
        along = -along
    foot = line.start + along * ((end - line.start) * along.conjugate()).real
    off, opening = abs(end - foot), _opening(places, step.opening)
    if off > opening:
        raise StepError("apart", say("its opening does not reach the line"))
    return foot + along * complex(opening**2 - off**2) ** 0.5


def _point(places: Values, name: str) -> complex:
    place = places[name]
    if not isinstance(place, complex):
        raise TypeError(f"{name} is no point")
    return place


def _curve(places: Values, name: str) -> Line | Circle:
    place = places[name]
    if not isinstance(place, Line | Circle):
        raise TypeError(f"{name} is neither line nor circle")
    return place


def _opening(places: Values, name: str) -> float:
    place = places[name]
    if not isinstance(place, float):
        raise TypeError(f"{name} is no opening")
    return place


def _ends(places: Values, names: tuple[str, str]) -> tuple[complex, complex]:
    return _apart(_point(places, names[0]), _point(places, names[1]))


def _apart(first: complex, second: complex) -> tuple[complex, complex]:
    if abs(second - first) < APART_MM:
        raise StepError("no_length", say("its two points lie on one another"))
    return first, second
