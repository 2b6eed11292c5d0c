"""From the marks of a photo to the marks of a construction, by numbers only."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.construction.choice import chosen_by
from scribegauge.construction.matching import method_on_plate
from scribegauge.construction.observe import observe
from scribegauge.construction.replay import replay
from scribegauge.errors import FileFormatError
from scribegauge.figure.fit import sides_of
from scribegauge.figure.layout import ConstructionChoice
from scribegauge.uncertainty.budget import make_budget

SIDE_MM = 12.0


@pytest.fixture
def pentagon(lay_out, polygon):
    return lay_out("fixed-opening-pentagon", polygon(5, SIDE_MM))


def test_the_layout_s_size_is_taken_and_every_way_to_begin(pentagon) -> None:
    chosen = chosen_by(pentagon)
    assert chosen is not None
    assert chosen.plan.sizes == {"side_mm": pytest.approx(SIDE_MM)}
    assert len({order.layout_of for order in chosen.orders}) == 10
    assert chosen_by(replace(pentagon, construction=None)) is None


def test_the_order_that_the_layout_gives_is_kept(lay_out, polygon) -> None:
    asked = lay_out("fixed-opening-pentagon", polygon(5, SIDE_MM), ("C", "D", "E", "A", "B"))
    chosen = chosen_by(asked)
    assert chosen is not None
    assert [order.layout_of for order in chosen.orders] == [(2, 3, 4, 0, 1)]


@pytest.mark.parametrize(
    ("count", "stretch", "sizes"),
    [
        (6, 1.0, {}),
        (5, 1.1, {}),
        (5, 1.0, {"side_mm": SIDE_MM + 1}),
        (5, 1.0, {"radius_mm": SIDE_MM}),
    ],
)
def test_a_construction_of_another_figure_is_refused(
    lay_out, polygon, count: int, stretch: float, sizes: dict[str, float]
) -> None:
    name = "fixed-opening-pentagon"
    asked = lay_out(name, polygon(count, SIDE_MM) * [1.0, stretch])
    with pytest.raises(FileFormatError) as caught:
        chosen_by(replace(asked, construction=ConstructionChoice(name, None, sizes, None)))
    assert caught.value.code == "construction_misfit"


@pytest.mark.parametrize(("order", "mirrored"), [((2, 3, 4, 0, 1), False), ((1, 0, 4, 3, 2), True)])
def test_every_mark_is_found_wherever_the_construction_was_begun(
    hold_camera,
    pentagon,
    scribe,
    order: tuple[int, ...],
    mirrored: bool,  # noqa: FBT001 - of a test
) -> None:
    here = scribe(pentagon, {}, order=order, mirrored=mirrored)
    seen = observe(here.chosen, here.fit, here.marks, hold_camera().face)
    assert seen is not None
    # The figure is its own mirror image: begun from the other end of the side it is the same.
    assert seen.laid.order.layout_of in {order, tuple(order[k] for k in (1, 0, 4, 3, 2))}
    assert seen.rival is None
    marks = {s.mark for s in here.chosen.plan.steps} - {"r"}
    assert set(seen.seen.places) == marks
    found = replay(here.chosen.plan, seen.seen, seen.laid.frame)
    assert all(step.size_mm < 1e-6 for step in found.steps)
    assert found.first_named is None
    vertices = method_on_plate(here.chosen, seen.laid)
    np.testing.assert_allclose(vertices, here.fit.corners_mm, atol=1e-6)


def test_a_slip_is_found_on_the_plate(hold_camera, pentagon, scribe) -> None:
    slip = {"d": (0.0, 0.0, 0.3)}
    for mirrored in (False, True):
        order = (1, 0, 4, 3, 2) if mirrored else (0, 1, 2, 3, 4)
        here = scribe(pentagon, slip, order=order, mirrored=mirrored)
        seen = observe(here.chosen, here.fit, here.marks, hold_camera().face)
        assert seen is not None
        named = replay(here.chosen.plan, seen.seen, seen.laid.frame).first_named
        assert named is not None
        assert named.mark == "d"
        assert named.own == pytest.approx((0, 0, 0.3), abs=1e-6)


def test_without_circles_the_corners_tell_where_it_was_begun(hold_camera, pentagon, scribe) -> None:
    chosen = chosen_by(pentagon)
    kept = {*chosen.plan.vertices, *chosen.plan.sides}
    without = tuple(step.mark for step in chosen.plan.steps if step.mark not in kept)
    here = scribe(pentagon, {}, order=(3, 4, 0, 1, 2), without=without, pricked=False)
    seen = observe(here.chosen, here.fit, here.marks, hold_camera().face)
    assert seen is not None
    assert seen.laid.order.layout_of[3] == 1  # the apex
    assert set(seen.by_lines) == set(chosen.plan.vertices)
    found = replay(chosen.plan, seen.seen, seen.laid.frame)
    assert found.first_named is None


def test_where_no_corner_is_seen_nothing_is_said(hold_camera, pentagon, scribe) -> None:
    here = scribe(pentagon, {}, order=(0, 1, 2, 3, 4))
    blind = replace(here.fit, corners_mm=np.full((5, 2), np.nan))
    assert observe(here.chosen, blind, here.marks, hold_camera().face) is None


def test_corners_have_the_covariance_that_the_sides_budget_says(
    hold_camera, pentagon, scribe
) -> None:
    face = hold_camera(thickness_mm=1.0, u_thickness_mm=0.05, half_mm=(30.0, 30.0)).face
    here = scribe(pentagon, {}, order=(0, 1, 2, 3, 4))
    seen = observe(here.chosen, here.fit, here.marks, face)
    assert seen is not None
    budget = make_budget(here.fit, [face])
    corners = here.fit.corners_mm
    along = np.roll(corners, -1, axis=0) - corners
    length = np.linalg.norm(along, axis=1)
    np.testing.assert_allclose(length, sides_of(here.fit.lines_mm))
    slopes = np.zeros((5, 10))
    for k in range(5):
        nxt = (k + 1) % 5
        slopes[k, 2 * k : 2 * k + 2] -= along[k] / length[k]
        slopes[k, 2 * nxt : 2 * nxt + 2] += along[k] / length[k]
    spread = slopes @ seen.corner_covariance @ slopes.T
    np.testing.assert_allclose(spread, budget.covariance[:5, :5], rtol=1e-3, atol=1e-9)


def test_a_mirrored_layout_is_found_drawn_mirrored(hold_camera, lay_out, scribe) -> None:
    # 3, 4, 5 with the right angle at A; as given the construction has C to the other side.
    asked = lay_out("right-angle-3-4-5", np.array([[0.0, 0.0], [16.0, 0.0], [0.0, 12.0]]))
    here = scribe(asked, {"b": (0.2, 0.1, 0.0)}, order=(0, 1, 2), mirrored=True)
    (order,) = here.chosen.orders
    assert order.mirrored
    seen = observe(here.chosen, here.fit, here.marks, hold_camera().face)
    assert seen is not None
    assert {"a", "b"} <= set(seen.seen.places)
    assert seen.replayed is not None
    named = seen.replayed.first_named
    assert named is not None
    assert named.mark == "b"
    assert named.size_mm == pytest.approx(np.hypot(0.2, 0.1), abs=1e-6)
    assert all(s.size_mm < 1e-6 for s in seen.replayed.steps if s.mark != "b")
