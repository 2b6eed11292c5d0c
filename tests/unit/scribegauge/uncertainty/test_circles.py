"""The budget of a circle: each cause against what geometry says of it."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.marks.record import ArcMark
from scribegauge.uncertainty.circles import circle_budget, u_centre_mm

ARC = ArcMark(
    centre_mm=np.array([40.0, 45.0]),
    radius_mm=10.0,
    start_deg=0.0,
    sweep_deg=360.0,
    covariance=np.diag([0.001, 0.002, 0.003]) ** 2,
    u_optics_mm=0.02,
    width_mm=0.07,
    look="dark",
    seen=1.0,
)


def only(index, size):
    part = np.zeros((17, 17))
    part[index, index] = size**2
    return part


def test_a_camera_farther_away_makes_the_circle_larger(hold_camera):
    budget = circle_budget(ARC, hold_camera(parts={"corners": only(14, 0.2)}).face)
    assert budget.standard("corners")[2] == pytest.approx(10.0 * 0.2 / 150.0, rel=0.02)


def test_height_scales_the_radius_by_the_distance(hold_camera):
    setup = hold_camera(thickness_mm=1.0, u_thickness_mm=0.1)
    height = 150.0 - 1.0
    budget = circle_budget(ARC, setup.face)
    assert budget.standard("thickness")[2] == pytest.approx(10.0 * 0.1 / height, rel=0.03)


def test_a_lit_wall_moves_a_full_circle_and_keeps_its_radius(hold_camera):
    budget = circle_budget(ARC, hold_camera().face)
    assert budget.standard("optics")[2] < 1e-6
    # First harmonic of a square wave, as the mean square over all lamps.
    expected = 4 / np.pi / np.sqrt(2) * 0.02
    np.testing.assert_allclose(budget.standard("optics")[:2], expected, rtol=0.03)


def test_a_lit_wall_can_change_the_radius_of_an_arc(hold_camera):
    budget = circle_budget(replace(ARC, sweep_deg=120.0), hold_camera().face)
    assert budget.standard("optics")[2] > 0.01


def test_the_fit_enters_as_it_is(hold_camera):
    budget = circle_budget(ARC, hold_camera().face)
    np.testing.assert_allclose(budget.terms["line"], ARC.covariance, atol=1e-12)
    np.testing.assert_allclose(budget.values, [40.0, 45.0, 10.0], atol=1e-6)
    assert u_centre_mm(budget) >= budget.expanded[:2].max() * (1 - 1e-9)
