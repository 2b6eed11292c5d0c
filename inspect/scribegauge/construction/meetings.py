"""Where lines and circles meet, and which of two meetings is meant."""

import math

from scribegauge.construction.errors import StepError
from scribegauge.construction.values import Circle, Line, cross, dot, unit
from scribetarget.wording import say

#: Two meetings nearer than a groove's width (0.1 mm) are one to the eye, and a rule that tells
#: them apart by less tells nothing.
APART_MM = 0.1
#: Sine of an angle below which lines count as parallel.
_PARALLEL = 1e-9


def meetings(first: Line | Circle, second: Line | Circle) -> tuple[complex, ...]:
    """Return the points where two marks meet: one for lines, two where circles are concerned.

    Parameters
    ----------
    first, second : Line or Circle
        Lines are taken beyond their points, circles all round.

    Raises
    ------
    StepError
        ``parallel`` or ``apart``.
    """
    match first, second:
        case Line(), Line():
            return (_lines(first, second),)
        case Line(), Circle():
            return _line_circle(first, second)
        case Circle(), Line():
            return _line_circle(second, first)
        case Circle(), Circle():
            return _circles(first, second)
    raise TypeError("only lines and circles meet")


def chosen(points: tuple[complex, ...], kind: str, marks: tuple[complex, ...]) -> complex:
    """Return the meeting that a rule means.

    Parameters
    ----------
    points : tuple of complex
        One or two meetings.
    kind : str
        As in `record.Rule`.
    marks : tuple of complex
        Where the rule's points lie.

    Raises
    ------
    StepError
        ``rule_undecided``: the rule does not tell the two meetings apart.
    """
    if len(points) == 1:
        return points[0]
    low, high = sorted(points, key=lambda point: _measure(point, kind, marks))
    apart = _measure(high, kind, marks) - _measure(low, kind, marks)
    # Meetings that touch are one point whatever the rule says.
    if abs(high - low) > APART_MM and apart < APART_MM * abs(high - low) / 100:
        raise StepError("rule_undecided", say("the rule does not tell its two meetings apart"))
    if kind in {"left_of", "right_of"} and abs(high - low) > APART_MM:
        _one_each_side(low, high, kind, marks)
    return low


def _measure(point: complex, kind: str, marks: tuple[complex, ...]) -> float:
    """Return what is smallest for the meeting that is meant [mm]."""
    if kind in {"nearest_to", "farthest_from"}:
        far = abs(point - marks[0])
        return far if kind == "nearest_to" else -far
    step = unit(marks[1] - marks[0])
    if kind in {"first_along", "last_along"}:
        along = dot(step, point - marks[0])
        return along if kind == "first_along" else -along
    # With y downwards the left hand of somebody who looks at the plate has the smaller product.
    side = cross(step, point - marks[0])
    return side if kind == "left_of" else -side


def _one_each_side(low: complex, high: complex, kind: str, marks: tuple[complex, ...]) -> None:
    if _measure(low, kind, marks) > 0 or _measure(high, kind, marks) < 0:
        raise StepError("rule_undecided", say("both its meetings lie on one side of that line"))


def _lines(first: Line, second: Line) -> complex:
    step, other = unit(first.end - first.start), unit(second.end - second.start)
    turn = cross(step, other)
    if abs(turn) < _PARALLEL:
        raise StepError("parallel", say("its two lines are parallel"))
    return first.start + step * (cross(second.start - first.start, other) / turn)


def _line_circle(line: Line, circle: Circle) -> tuple[complex, complex]:
    step = unit(line.end - line.start)
    foot = line.start + step * dot(step, circle.centre - line.start)
    half = _half_chord(circle.radius_mm, abs(foot - circle.centre))
    return (foot - half * step, foot + half * step)


def _circles(first: Circle, second: Circle) -> tuple[complex, complex]:
    apart = second.centre - first.centre
    far = abs(apart)
    if far < APART_MM:
        raise StepError("apart", say("its two circles have one centre"))
    along = (
        far**2 + (first.radius_mm - second.radius_mm) * (first.radius_mm + second.radius_mm)
    ) / (2 * far)
    half = _half_chord(first.radius_mm, abs(along))
    foot = first.centre + along * apart / far
    return (foot - half * 1j * apart / far, foot + half * 1j * apart / far)


def _half_chord(radius_mm: float, off_mm: float) -> float:
    """Return half the chord at a distance from the centre; 0 where they only just touch."""
    square = (radius_mm - off_mm) * (radius_mm + off_mm)
    if square < 0:
        if off_mm - radius_mm > 1e-9 * max(radius_mm, 1.0):
            raise StepError("apart", say("its two marks do not meet"))
        return 0.0
    return math.sqrt(square)
