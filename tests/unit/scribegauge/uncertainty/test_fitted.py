"""Places compared with the intended ones: values against truth, U against random trials."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.figure.assign import Placement
from scribegauge.figure.datum import Datum
from scribegauge.figure.fit import corners_of, fit_figure
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.merge import merge_lines
from scribegauge.marks.record import ArcMark, LineMark, PrickMark
from scribegauge.uncertainty.fitted import Fitted
from scribegauge.uncertainty.places import MeasuredPlaces, measured_places

SQUARE = np.array([[30.0, 35], [50, 35], [50, 55], [30, 55]])
HERE = Placement(0.0, np.zeros(2), 1.0)
U_MM = 0.01


def line(ends):
    return LineMark(
        np.asarray(ends, float),
        np.diag([0.004, 0.0002]) ** 2,
        0.012,
        0.005,
        *(0.07, -9.0, "dark", 1.0, -30.0),
        hinted=False,
    )


def square_fit(seen=(True,) * 4):
    ends = np.stack([SQUARE, np.roll(SQUARE, -1, axis=0)], axis=1)
    marks = [line(e) if shown else None for e, shown in zip(ends, seen, strict=True)]
    layout = Layout("square", SQUARE, tuple("ABCD"), Tolerance(None, None))
    return fit_figure(layout, HERE, merge_lines([marks]), ())


def fitted(points, intended, *, side=False, size_free=False, radii=(), by=None):
    points, radii = np.asarray(points, float), np.asarray(radii, float)
    count = 2 * len(points) + len(radii)
    measured = MeasuredPlaces(points, radii, U_MM**2 * np.eye(count))
    datum = Datum(tuple(by or range(len(points))), side=side, size_free=size_free)
    return Fitted(measured, np.asarray(intended, float), datum)


def test_scale_is_found_with_its_u():
    scribed = 0.997 * SQUARE + [3.0, -2.0]
    scale, expanded = fitted(scribed, SQUARE, size_free=True).scale
    assert scale == pytest.approx(0.997, abs=1e-9)
    # Of the least-squares similarity: u divided by the root of the sum of squares of the arms.
    arms = np.sqrt((np.abs((SQUARE - SQUARE.mean(axis=0)) @ [1, 1j]) ** 2).sum())
    assert expanded == pytest.approx(2 * U_MM / arms, rel=1e-3)
    fixed = fitted(scribed, SQUARE)
    assert fixed.scale == pytest.approx((1.0, 0.0))


def test_at_free_size_only_the_shape_is_compared():
    scribed = 0.997 * SQUARE
    free, fixed = (fitted(scribed, SQUARE, size_free=f) for f in (True, False))
    for scene, deviation in ((free, 0.0), (fixed, -0.003 * 20)):
        side = scene.distance(0, 1)
        assert side.measured_mm - side.intended_mm == pytest.approx(deviation, abs=1e-6)
    assert free.distance(0, 1).U_mm < fixed.distance(0, 1).U_mm


@pytest.mark.parametrize("kind", ["best", "side", "free"])
def test_u_agrees_with_random_trials(kind):
    rng = np.random.default_rng(7)
    scribed = SQUARE + rng.normal(0, 0.1, SQUARE.shape)
    how = {
        "side": kind == "side",
        "size_free": kind == "free",
        "by": (0, 1) if kind == "side" else None,
    }
    scene = fitted(scribed, SQUARE, radii=[8.0], **how)
    offs, gaps, radii = [], [], []
    for _ in range(1500):
        trial = replace(
            scene.measured,
            points_mm=scribed + rng.normal(0, U_MM, scribed.shape),
            radii_mm=8.0 + rng.normal(0, U_MM, 1),
        )
        one = replace(scene, measured=trial)
        by = one._scales(trial.points_mm @ [1, 1j])
        offs.append(trial.points_mm[2] - one.laid_mm(SQUARE[2:3])[0])
        gaps.append(np.hypot(*(trial.points_mm[3] - trial.points_mm[1])) - by * 20 * 2**0.5)
        radii.append(trial.radii_mm[0] - by * 8.0)
    worst = np.sqrt(np.linalg.eigvalsh(np.cov(np.array(offs).T))[-1])
    assert scene.off_mm(2)[1] == pytest.approx(2 * worst, rel=0.08)
    assert scene.distance(1, 3).U_mm == pytest.approx(2 * np.std(gaps), rel=0.08)
    assert scene.radius(0, 8.0).U_mm == pytest.approx(2 * np.std(radii), rel=0.08)


def test_what_the_figure_is_laid_by_is_off_by_nothing():
    scribed = SQUARE + np.array([[0, 0], [0.2, 0.1], [0, 0], [-0.1, 0]])
    scene = fitted(scribed, SQUARE, side=True, by=(0, 1))
    off, expanded = scene.off_mm(0)
    assert np.hypot(*off) == pytest.approx(0.0, abs=1e-9)
    assert expanded == pytest.approx(0.0, abs=1e-6)


def test_points_that_should_be_one_have_u_in_every_direction():
    scene = fitted([[40, 40], [40.001, 40]], [[0, 0], [0, 0]])
    size = scene.distance(0, 1)
    assert size.intended_mm == 0
    assert size.U_mm == pytest.approx(2 * U_MM * 2**0.5, rel=1e-3)


def test_a_line_is_aside_of_its_ends():
    points = [*SQUARE, [35.0, 45.3], [45.0, 45.3]]
    scene = fitted(points, [*SQUARE, [30.0, 45.0], [50.0, 45.0]], by=(0, 1, 2, 3))
    off, expanded = scene.aside_mm(4)
    assert off == pytest.approx(0.3, abs=1e-6)
    # Extrapolated by half its length: 1.5 and 0.5 of the ends, and the figure's own share.
    assert expanded == pytest.approx(
        2 * U_MM * np.hypot(np.hypot(1.5, 0.5), np.hypot(0.5, 0.5)), rel=0.1
    )


def test_corners_pricks_and_circles_have_the_covariance_of_their_marks(hold_camera):
    face = replace(hold_camera(u_thickness_mm=0.0).face, u_thickness_mm=0.0)
    fit = square_fit()
    pricks = [PrickMark(np.array([40.0, 45.0]), 0.007, 0.2, 9.0, hinted=False)]
    known = (0.0, 360.0, np.diag([0.002, 0.003, 0.004]) ** 2, 0.0, 0.07, "dark", 1.0)
    arcs = [ArcMark(np.array([40.0, 45.0]), 6.0, *known)]
    places = measured_places(fit, pricks, arcs, [line([[32, 40], [48, 40]])], face)
    np.testing.assert_allclose(places.points_mm[:4], SQUARE, atol=1e-9)
    assert len(places.points_mm) == 4 + 1 + 1 + 2
    u_mm = np.sqrt(np.diag(places.covariance))
    # A corner of two lines square to each other: each puts it aside by offset and turn.
    end = np.hypot(np.hypot(0.004, 0.012), 10 * np.hypot(0.0002, 0.005 / 10))
    np.testing.assert_allclose(u_mm[:8], end, rtol=0.05)
    np.testing.assert_allclose(u_mm[8:10], 0.007, rtol=0.2)
    np.testing.assert_allclose(u_mm[10:12], [0.002, 0.003], rtol=0.6)
    np.testing.assert_allclose(u_mm[[12, 14]], 0.0, atol=1e-6)  # along the line nothing is said
    end = np.hypot(np.hypot(0.004, 0.012), 8 * np.hypot(0.0002, 0.005 / 8))
    np.testing.assert_allclose(u_mm[[13, 15]], end, rtol=0.05)
    assert u_mm[16] == pytest.approx(0.004, rel=0.2)


def test_corners_that_were_not_found_are_left_out(hold_camera):
    fit = square_fit(seen=(True, True, True, False))
    assert np.isnan(corners_of(fit.lines_mm)).any()
    places = measured_places(fit, [], [], [], hold_camera().face)
    np.testing.assert_allclose(places.points_mm, SQUARE[1:3], atol=1e-9)
    assert places.covariance.shape == (4, 4)
