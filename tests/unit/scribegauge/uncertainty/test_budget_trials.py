"""A polygon's budget against random trials, other libraries, and few caliper readings."""

from dataclasses import replace

import GTC
import numpy as np
import pytest

from scribegauge.figure.assign import Placement
from scribegauge.figure.fit import fit_figure
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.merge import merge_lines
from scribegauge.marks.record import LineMark
from scribegauge.plate.face import U_UNKNOWN_THICKNESS_MM
from scribegauge.uncertainty.budget import make_budget, try_budget
from scribegauge.uncertainty.propagation import Cause, propagate, sensitivities
from scribegauge.uncertainty.trials import FEWEST, compare
from scribetarget.printscale import scale_from_bars
from scribetarget.spec import load_specs

KITE = np.array([[20.0, 36], [43, 29], [62, 52], [34, 62]])
VIEW_U = np.array(
    [15.0, 1e-3, 8, 8, 0.02, 0.05, 4e-4, 4e-4, 0.05, 4e-4, 4e-4, 4e-4, 0.05, 0.05, 0.1, 0, 0]
)
HELD = {"tilt_deg": 16.0, "azimuth_deg": 35.0, "distance_mm": 170.0, "roll_deg": 12.0}
SHOWN = np.repeat([1.0, 180 / np.pi], 4)
SCALE_U = np.array([2e-4, 1e-4])
ROOT = np.zeros((17, 2))
# Printed larger by a share, the sheet is farther away by it.
ROOT[15, 0], ROOT[16, 1], ROOT[14] = *SCALE_U, 163.0 * SCALE_U / 2


def figure(photos=1, missing=(), u_optics=0.015, u_fit=(0.002, 1e-4)):
    ends = np.stack([KITE, np.roll(KITE, -1, axis=0)], axis=1)
    known = (np.diag(np.square(u_fit)), u_optics, u_optics / 3, 0.08, -9.0, "double", 1.0, -9.0)
    row = [
        None if k in missing else LineMark(pair, *known, hinted=False)
        for k, pair in enumerate(ends)
    ]
    layout = Layout("kite", KITE, tuple("ABCD"), Tolerance(None, None))
    return fit_figure(layout, Placement(0.0, np.zeros(2), 1.0), merge_lines([row] * photos), ())


@pytest.fixture
def held(hold_camera):
    def hold(parts=None, u_thickness_mm=0.02, roots=None, readings_mm=None):
        setup = hold_camera(
            parts=parts or {"corners": np.diag(VIEW_U**2) / 400},
            thickness_mm=1.0,
            u_thickness_mm=u_thickness_mm,
            half_mm=(30.0, 30.0),
            **HELD,
        )
        scale = setup.face.view.scale
        if readings_mm is not None:
            scale = scale_from_bars(load_specs()["S"], readings_mm)
        view = replace(setup.face.view, roots=roots or {}, scale=scale)
        return replace(setup.face, view=view)

    return hold


def test_trials_agree_with_a_usual_budget(held):
    face, fit = held(), figure()
    budget, trials = make_budget(fit, [face]), try_budget(fit, [face], FEWEST, 7)
    np.testing.assert_allclose(trials.u, budget.combined, rtol=0.03)
    np.testing.assert_allclose(trials.mean, budget.values, atol=1e-3)
    again = try_budget(fit, [face], 4 * FEWEST, 8)
    assert compare(budget, again, SHOWN).agrees == (True,) * 8
    assert (trials.high - trials.low) / budget.combined == pytest.approx(3.92, rel=0.03)


def test_trials_see_that_a_thickness_nobody_gave_is_not_normal(held):
    face, fit = held(u_thickness_mm=U_UNKNOWN_THICKNESS_MM), figure(u_optics=0.002)
    budget, trials = make_budget(fit, [face]), try_budget(fit, [face], FEWEST, 7)
    shares = (trials.high - trials.low)[:4] / budget.combined[:4]
    # A rectangle of standard uncertainty 1 holds 95 % within 1.65.
    assert shares == pytest.approx(2 * 0.95 * np.sqrt(3), rel=0.05)
    assert not any(compare(budget, trials, SHOWN).wider[:4])


def test_trials_of_two_photos_draw_shared_causes_once(held):
    """Two photos alike in everything, wrong by the same sheet: no better than one."""
    parts = {"bars": ROOT @ ROOT.T, "corners": np.zeros((17, 17))}
    face, fit = held(parts, roots={"bars": ROOT}), figure(photos=2)
    alone = make_budget(figure(), [held(parts)]).standard("bars")
    budget, trials = make_budget(fit, [face] * 2), try_budget(fit, [face] * 2, FEWEST, 3)
    np.testing.assert_allclose(budget.standard("bars"), alone, rtol=1e-6, atol=1e-12)
    np.testing.assert_allclose(trials.u, budget.combined, rtol=0.03)


def test_opposite_errors_in_two_photos_cancel_when_the_cause_is_shared(held):
    """The bound for unknown sharing would add what in truth takes each other away."""
    part = {"lens": ROOT @ ROOT.T}
    faces = [held(part, roots={"lens": root}) for root in (ROOT, -ROOT)]
    budget = make_budget(figure(photos=2), faces)
    assert np.abs(budget.standard("lens")).max() < 1e-6
    trials = try_budget(figure(photos=2), faces, FEWEST, 3)
    np.testing.assert_allclose(trials.u, budget.combined, rtol=0.03)


def test_an_unseen_side_leaves_the_rest_of_the_trials_alone(held):
    face, fit = held(), figure(missing=(1,))
    budget, trials = make_budget(fit, [face]), try_budget(fit, [face], FEWEST, 7)
    unknown = np.isnan(budget.values)
    assert unknown.any()
    np.testing.assert_array_equal(np.isnan(trials.u), unknown)
    np.testing.assert_allclose(trials.u[~unknown], budget.combined[~unknown], rtol=0.03)


def test_few_caliper_readings_that_scatter_limit_the_degrees_of_freedom(held):
    parts = {"bars": 100 * ROOT @ ROOT.T, "corners": np.zeros((17, 17))}
    alike, apart = [(60.10, 59.90)] * 3, [(60.10, 59.90), (60.18, 59.85), (60.13, 59.99)]
    endless = make_budget(figure(), [held(parts, readings_mm=alike)])
    assert np.isinf(endless.degrees_of_freedom).all()
    budget = make_budget(figure(), [held(parts, readings_mm=apart)])
    np.testing.assert_allclose(budget.expanded, endless.expanded, rtol=1e-9)
    # Welch and Satterthwaite by hand, from the terms as they are shown.
    wanted = budget.combined[:4] ** 4 / (budget.standard("bars")[:4] ** 4 / 2)
    np.testing.assert_allclose(budget.degrees_of_freedom[:4], wanted, rtol=1e-9)
    assert budget.degrees_of_freedom[:4].max() < 10


def test_bars_that_the_photo_contradicts_have_no_few_degrees_of_freedom(held):
    parts = {"bars": 100 * ROOT @ ROOT.T, "corners": np.zeros((17, 17))}
    face = held(parts, readings_mm=[(60.10, 59.90), (60.18, 59.85)])
    assert make_budget(figure(), [face]).degrees_of_freedom[:4].max() < 10
    doubted = replace(face.view, scale=replace(face.view.scale, doubted=True))
    budget = make_budget(figure(), [replace(face, view=doubted)])
    assert np.isinf(budget.degrees_of_freedom).all()


def test_a_triangle_by_another_library_with_degrees_of_freedom():
    """Sides of a right triangle from its corners, some of them known from few readings."""
    corners = np.array([0.0, 0, 30, 0, 0, 40])
    u = np.array([0.02, 0.03, 0.01, 0.02, 0.05, 0.04])
    freedom = np.array([np.inf, 4, np.inf, 9, 2, np.inf])

    def sides(x):
        places = x.reshape(*x.shape[:-1], 3, 2)
        return np.linalg.norm(places - np.roll(places, -1, axis=-2), axis=-1)

    causes = [Cause(f"c{k}", [k], np.array([[u[k] ** 2]]), freedom[k]) for k in range(6)]
    found = propagate(sides(corners), sensitivities(sides, corners, np.full(6, 1e-4)), causes)
    numbers = [GTC.ureal(*row) for row in zip(corners, u, freedom, strict=True)]
    places = [numbers[k : k + 2] for k in (0, 2, 4)]
    for k in range(3):
        (ax, ay), (bx, by) = places[k], places[(k + 1) % 3]
        other = GTC.sqrt((ax - bx) ** 2 + (ay - by) ** 2)
        assert found.values[k] == pytest.approx(other.x, rel=1e-12)
        assert found.combined[k] == pytest.approx(other.u, rel=1e-5)
        assert found.degrees_of_freedom[k] == pytest.approx(other.df, rel=1e-4)
