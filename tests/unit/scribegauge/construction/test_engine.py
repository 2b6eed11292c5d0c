"""Single steps: where marks meet, which meeting is meant, and what a slip is."""

import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scribegauge.construction.catalogue import names, shipped
from scribegauge.construction.engine import Frame, run_exactly, run_with_slips
from scribegauge.construction.errors import StepError
from scribegauge.construction.meetings import chosen, meetings
from scribegauge.construction.plan import plan_of
from scribegauge.construction.record import GivenPoint, Plan, SetDividers, StepOff
from scribegauge.construction.values import Circle, Line, Value, slip_of, slipped

SQUARE_CIRCLES = (Circle(0j, 5.0), Circle(6 + 0j, 5.0))  # meet at 3 ± 4i


def test_two_circles_meet_twice_and_each_rule_takes_one() -> None:
    points = meetings(*SQUARE_CIRCLES)
    up, down = 3 - 4j, 3 + 4j
    assert {complex(round(p.real, 9), round(p.imag, 9)) for p in points} == {up, down}
    at, across, along = (3 - 9j,), (0j, 6 + 0j), (3 + 9j, 3 - 9j)
    for kind, marks, wanted in (
        ("nearest_to", at, up),
        ("farthest_from", at, down),
        ("left_of", across, up),
        ("right_of", across, down),
        ("first_along", along, down),
        ("last_along", along, up),
    ):
        assert chosen(points, kind, marks) == pytest.approx(wanted), kind


def test_a_rule_that_cannot_tell_is_refused() -> None:
    points = meetings(*SQUARE_CIRCLES)
    for kind, marks in (
        ("nearest_to", (3 + 0j,)),
        ("first_along", (0j, 6 + 0j)),
        ("left_of", (0 - 9j, 6 - 9j)),  # both lie to the right
    ):
        with pytest.raises(StepError) as caught:
            chosen(points, kind, marks)
        assert caught.value.reason == "rule_undecided", kind


def test_marks_that_do_not_meet_are_refused() -> None:
    for first, second, reason in (
        (Circle(0j, 1.0), Circle(5 + 0j, 1.0), "apart"),
        (Circle(0j, 1.0), Circle(0j, 2.0), "apart"),
        (Circle(0j, 1.0), Line(-5 + 2j, 5 + 2j), "apart"),
        (Line(0j, 1 + 0j), Line(0 + 1j, 1 + 1j), "parallel"),
    ):
        with pytest.raises(StepError) as caught:
            meetings(first, second)
        assert caught.value.reason == reason


def test_a_line_that_touches_meets_once() -> None:
    first, second = meetings(Line(-5 + 2j, 5 + 2j), Circle(0j, 2.0))
    assert first == pytest.approx(2j)
    assert second == pytest.approx(2j)


@pytest.mark.parametrize(("clockwise", "wanted"), [(True, 5j), (False, -5j)])
def test_stepping_goes_the_way_it_says(clockwise: bool, wanted: complex) -> None:  # noqa: FBT001
    opening = SetDividers("r", 3, None, math.hypot(5, 5))
    steps = (
        GivenPoint("O", 1, 0j),
        GivenPoint("P", 2, 5 + 0j),
        opening,
        plan_of(shipped("hexagon-by-stepping")).steps[3],  # circle k about O with r
        StepOff("Q", 5, "k", "P", "c", clockwise),
    )
    circle = SetDividers("c", 4, None, math.hypot(5, 5))
    steps = (*steps[:2], SetDividers("r", 3, None, 5.0), steps[3], circle, steps[4])
    places = run_exactly(Plan("", "", steps, (), (), None))
    assert places["Q"] == pytest.approx(wanted)  # y runs down, so clockwise from the right is down


points = st.complex_numbers(max_magnitude=100, allow_nan=False, allow_infinity=False)
small = st.floats(-0.5, 0.5)


@given(points, st.floats(0, 6.28), small, small, small)
def test_a_slip_is_what_it_was_made_with(
    start: complex, turn: float, first: float, second: float, third: float
) -> None:
    end = start + 20 * cmath.exp(1j * turn)
    for value, slip in (
        (start, (first, second)),
        (Line(start, end), (first, second)),
        (Circle(start, 10.0), (first, second, third)),
        (10.0, (first,)),
    ):
        assert slip_of(slipped(value, slip), value) == pytest.approx(slip, abs=1e-9)


def test_a_line_s_slip_does_not_depend_on_which_part_of_it_is_seen() -> None:
    wanted = Line(0j, 10 + 0j)
    seen = slipped(wanted, (0.1, -0.3))
    assert isinstance(seen, Line)
    part = Line(
        seen.start + 0.4 * (seen.end - seen.start), seen.start + 2 * (seen.end - seen.start)
    )
    assert slip_of(part, wanted) == pytest.approx((0.1, -0.3))
    with pytest.raises(ValueError, match="square"):
        slip_of(Line(0j, 10j), wanted)


@pytest.mark.parametrize("name", names())
def test_a_construction_turned_and_shifted_gives_the_same_figure(name: str) -> None:
    plan = plan_of(shipped(name))
    frame = Frame(cmath.exp(0.7j), 12 - 31j)
    here, there = run_exactly(plan), run_exactly(plan, frame)
    for mark, place in here.items():
        assert moved(place, frame) == pytest.approx(flat(there[mark]), abs=1e-9)


def moved(place: Value, frame: Frame) -> list[complex]:
    numbers = flat(place)
    match place:
        case Circle() | float():
            return [frame.shift + frame.turn * n for n in numbers[:-1]] + numbers[-1:]
    return [frame.shift + frame.turn * n for n in numbers]


def flat(place: Value) -> list[complex]:
    match place:
        case Line(start, end):
            return [start, end]
        case Circle(centre, radius):
            return [centre, complex(radius)]
    return [complex(place)]


def test_a_slip_moves_its_own_mark_and_what_depends_on_it() -> None:
    plan = plan_of(shipped("equilateral-triangle"))
    exact, bad = run_exactly(plan), run_with_slips(plan, {"a": (0.0, 0.0, 0.2)}, Frame())
    assert bad["B"] == exact["B"]
    circle = bad["a"]
    assert isinstance(circle, Circle)
    assert circle.radius_mm == pytest.approx(40.2)
    assert abs(complex(bad["C"]) - complex(exact["C"])) > 0.1  # type: ignore[arg-type]
