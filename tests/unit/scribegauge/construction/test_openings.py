"""What an opening was, as the marks made with it tell; and marks picked as in a mirror."""

import numpy as np
import pytest

from scribegauge.construction.openings import agreed_mm, witnesses
from scribegauge.construction.picking import Picker
from scribegauge.construction.values import Circle, Line, slipped


def test_one_slip_among_many_does_not_move_what_they_agree_on() -> None:
    assert agreed_mm({"a": 10.0, "b": 10.2, "c": 11.0}) == pytest.approx(10.2)
    assert agreed_mm({"a": 10.0, "b": 10.1, "c": 10.2, "d": 10.3, "e": 15.0}) == pytest.approx(10.2)
    long = {str(k): 10.0 + 0.01 * (k % 3) for k in range(12)}
    assert agreed_mm(long | {"x": 12.0}) == pytest.approx(10.01, abs=0.005)


def test_of_two_the_first_is_believed_and_of_none_nothing() -> None:
    assert agreed_mm({"a": 10.0, "b": 10.5}) == 10.0
    assert agreed_mm({"a": 10.0}) == 10.0
    assert agreed_mm({}) is None


def test_circles_and_steps_bear_witness(bench) -> None:
    made = bench("hexagon-by-stepping")
    assert witnesses(made.plan) == {"r": ("k", "P1", "P2", "P3", "P4", "P5")}


def test_a_mirrored_mark_varies_as_the_mark_itself_does() -> None:
    """Any change of the measured numbers, mirrored, is the change that the picked marks show."""
    places = {"P": 3 + 4j, "L": Line(1 + 1j, 9 + 2j), "C": Circle(5 + 6j, 2.0)}
    sizes = {"P": 2, "L": 2, "C": 3}
    rng = np.random.default_rng(4)
    change = rng.normal(0, 1e-3, 7)
    picker, start, wanted = Picker(7, mirrored=True), 0, []
    for mark, place in places.items():
        picker.take(mark, place, start)
        moved = slipped(place, tuple(change[start : start + sizes[mark]].tolist()))
        wanted += flat(moved)
        start += sizes[mark]
    seen = picker.seen(np.outer(change, change))
    # A covariance of rank one holds the change itself, but for its sign.
    values, axes = np.linalg.eigh(seen.covariance)
    best = np.sqrt(values[-1]) * axes[:, -1]
    slips = min(
        (seen.slips(sign * best) for sign in (1, -1)),
        key=lambda slips: gap(seen, slips, wanted),
    )
    assert gap(seen, slips, wanted) < 1e-9


def gap(seen, slips, wanted: list[complex]) -> float:
    found = [
        point for mark, place in seen.places.items() for point in flat(slipped(place, slips[mark]))
    ]
    return max(abs(point.conjugate() - other) for point, other in zip(found, wanted, strict=True))


def flat(place) -> list[complex]:
    match place:
        case Line(start, end):
            return [start, end]
        case Circle(centre, radius):
            return [centre, complex(radius)]
    return [place]
