"""Where marks lie, and how far one lies from another.

Points are complex numbers (x + iy, millimetres, y downwards): a turn is a product, and thousands of
replays stay quick.
"""

from dataclasses import dataclass

from scribetarget.wording import say

#: Finer than rounding at the size of a plate, coarser than its last digits.
SAME_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line, by where it passes its two points."""

    start: complex
    end: complex


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle or the circle of an arc."""

    centre: complex
    radius_mm: float


#: A point, a line, a circle, or the opening of the dividers [mm].
Value = complex | Line | Circle | float

#: By how much a mark is off: a point (x, y), a line (aside at its first and second point, to the
#: left of a person who goes from the one to the other when y runs upwards), a circle (centre x and
#: y, radius), an opening (length), all in millimetres.
Slip = tuple[float, ...]


def unit(step: complex) -> complex:
    """Return the direction of a step as a complex number of length 1."""
    return step / abs(step)


def dot(first: complex, second: complex) -> float:
    """Return the scalar product."""
    return first.real * second.real + first.imag * second.imag


def cross(first: complex, second: complex) -> float:
    """Return the vector product; positive when the second lies clockwise of the first, as seen."""
    return first.real * second.imag - first.imag * second.real


def slipped(value: Value, slip: Slip) -> Value:
    """Return a mark moved by a slip."""
    match value:
        case Line(start, end):
            across = 1j * unit(end - start)
            return Line(start + slip[0] * across, end + slip[1] * across)
        case Circle(centre, radius):
            return Circle(centre + complex(slip[0], slip[1]), radius + slip[2])
        case complex():
            return value + complex(slip[0], slip[1])
    return value + slip[0]


def slip_of(measured: Value, predicted: Value) -> Slip:
    """Return by how much a measured mark is off a predicted one.

    Raises
    ------
    ValueError
        When a measured line runs across the predicted one, so that it never passes its points.
    """
    match measured, predicted:
        case Line(start, end), Line(wanted, beyond):
            along = unit(beyond - wanted)
            return (_aside(start, end, wanted, along), _aside(start, end, beyond, along))
        case Circle(centre, radius), Circle(middle, wide):
            away = centre - middle
            return (away.real, away.imag, radius - wide)
        case complex(), complex():
            away = measured - predicted
            return (away.real, away.imag)
        case ((float() | int()), (float() | int())):
            return (measured - predicted,)
    raise ValueError("a mark can only be compared with one of its own kind")


def _aside(start: complex, end: complex, point: complex, along: complex) -> float:
    """Return how far aside of a point a line passes, square to a direction."""
    step = end - start
    across = 1j * along
    turn = cross(step, across)
    if abs(turn) < abs(step) * 1e-6:
        raise ValueError(say("the line runs square to where it should"))
    return cross(start - point, step) / -turn


def kind_of(value: Value) -> str:
    """Return what a person calls it."""
    match value:
        case Line():
            return "line"
        case Circle():
            return "circle"
        case complex():
            return "point"
    return "opening"
