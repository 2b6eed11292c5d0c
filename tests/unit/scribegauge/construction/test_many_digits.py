"""Every shipped construction once more with forty digits and another arithmetic."""

import mpmath
import pytest

from scribegauge.construction.catalogue import names, shipped
from scribegauge.construction.engine import run_exactly
from scribegauge.construction.plan import plan_of
from scribegauge.construction.record import (
    Divide,
    DrawCircle,
    DrawLine,
    Extend,
    GivenPoint,
    Meet,
    SetDividers,
    Step,
    StepOff,
)
from scribegauge.construction.values import Circle, Line, Value

Place = mpmath.mpc | mpmath.mpf | tuple[str, mpmath.mpc, mpmath.mpc | mpmath.mpf]


def root(step: Step, places: dict[str, Place], found: Value) -> Place:
    """Solve a step by Newton's method from the engine's answer; it must not move away."""
    first, second = ends(step, places)
    here = mpmath.mpc(found)
    x, y = mpmath.findroot(
        lambda x, y: [off(first, mpmath.mpc(x, y)), off(second, mpmath.mpc(x, y))],
        (here.real, here.imag),
        tol=mpmath.mpf(10) ** -60,
    )
    return mpmath.mpc(x, y)


def ends(step: Step, places: dict[str, Place]) -> tuple[Place, Place]:
    match step:
        case Meet(of=(first, second)):
            return places[first], places[second]
        case StepOff(along=along, start=start, opening=opening):
            return places[along], ("circle", places[start], places[opening])
        case Extend(line=line, beyond=beyond, opening=opening):
            return places[line], ("circle", places[beyond], places[opening])
    raise TypeError(step)


def off(curve: Place, point: mpmath.mpc) -> mpmath.mpf:
    """How far a point is from a line or circle."""
    kind, start, rest = curve
    if kind == "circle":
        return abs(point - start) - rest
    along = (rest - start) / abs(rest - start)
    return ((point - start) * mpmath.conj(along)).imag


def place_of(step: Step, places: dict[str, Place], found: Value) -> Place:
    match step:
        case GivenPoint(at_mm=at):
            return mpmath.mpc(at)
        case DrawLine(through=(first, second)):
            return ("line", places[first], places[second])
        case DrawCircle(about=about, through=rim, opening=opening):
            radius = places[opening] if rim is None else abs(places[rim] - places[about])
            return ("circle", places[about], radius)
        case Divide(points=(first, second), share=share):
            return places[first] + mpmath.mpf(share) * (places[second] - places[first])
        case SetDividers(points=pair, length_mm=length):
            return abs(places[pair[1]] - places[pair[0]]) if pair else mpmath.mpf(length)
    return root(step, places, found)


@pytest.mark.parametrize("name", names())
def test_forty_digits_agree_to_one_in_a_million_million(name: str) -> None:
    plan = plan_of(shipped(name))
    found = run_exactly(plan)
    size_mm = max(abs(place) for place in found.values() if isinstance(place, complex))
    with mpmath.workdps(40):
        places: dict[str, Place] = {}
        for step in plan.steps:
            places[step.mark] = place_of(step, places, found[step.mark])
            assert gap(found[step.mark], places[step.mark]) < 1e-12 * max(size_mm, 1), step


def gap(found: Value, place: Place) -> float:
    match found:
        case Line(start, end):
            return float(max(abs(place[1] - start), abs(place[2] - end)))
        case Circle(centre, radius):
            return float(max(abs(place[1] - centre), abs(place[2] - radius)))
    return float(abs(place - found))


def test_the_pentagon_s_base_angle_by_its_closed_form() -> None:
    with mpmath.workdps(30):
        angle = 135 - mpmath.degrees(mpmath.asin(mpmath.sqrt(3) * mpmath.sin(mpmath.pi / 12)))
        places = run_exactly(plan_of(shipped("fixed-opening-pentagon")))
        a, b, i = (complex(places[mark]) for mark in "ABI")  # type: ignore[arg-type]
        turn = mpmath.degrees(abs(mpmath.arg(mpmath.mpc(i - a) / mpmath.mpc(b - a))))
        assert abs(turn - angle) < 1e-12
