"""Looking at the plate through a grid, against pictures that are known at every point."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.plate.resample import Grid, photo_places, resample, strip_grid

PHONE = (0.06, -0.11, 0.0006, -0.0005, 0.04)
X, Y = np.array([1.0, 0.0]), np.array([0.0, 1.0])


def tilted(hold_camera, **more):
    camera = replace(hold_camera().camera, dist=PHONE)
    turn = {"tilt_deg": 25.0, "azimuth_deg": 130.0, "roll_deg": 40.0} | more
    return hold_camera(camera=camera, thickness_mm=1.5, **turn)


def ramp(size_px, by_x, by_y):
    y, x = np.mgrid[: size_px[1], : size_px[0]]
    return np.round(20 + by_x * x + by_y * y).clip(0, 255).astype(np.uint8)


@pytest.mark.parametrize(("by_x", "by_y"), [(0.3, 0.0), (0.0, 0.3), (0.2, 0.15)])
def test_a_ramp_is_read_where_it_is(hold_camera, by_x, by_y):
    setup = hold_camera(roll_deg=17.0)
    grid = Grid(np.array([32.0, 40.0]), X, Y, 0.03, 0.04, 300, 200)
    sampled = resample(ramp(setup.camera.size_px, by_x, by_y), setup.face, grid)
    j, i = np.meshgrid(np.arange(300), np.arange(200))
    plate = grid.origin_mm + np.stack([0.03 * j, 0.04 * i], -1).reshape(-1, 2)
    x, y = setup.face.photo_from_plate(plate).T
    off = sampled.ravel() - (20 + by_x * x + by_y * y)
    # The picture is rounded to whole levels, and so may the samples be.
    assert np.abs(off).max() < 1.1
    # Half a pixel of shift would be 0.10 to 0.15 levels.
    assert abs(off.mean()) < 0.02


@pytest.mark.parametrize("colours", [1, 3])
def test_colours_keep_their_order(hold_camera, colours):
    setup = hold_camera()
    picture = np.full((560, 640, colours), [[np.array([10, 90, 200])[:colours]]], np.uint8)
    grid = Grid(np.array([35.0, 40.0]), X, Y, 0.2, 0.2, 20, 30)
    sampled = resample(picture if colours == 3 else picture[..., 0], setup.face, grid)
    assert sampled.shape == ((30, 20, 3) if colours == 3 else (30, 20))
    np.testing.assert_allclose(sampled.reshape(600, -1).mean(axis=0), [10, 90, 200][:colours])


@pytest.mark.parametrize("step_mm", [0.02, 0.08])
def test_nodes_bend_with_perspective_and_lens(hold_camera, step_mm):
    setup = tilted(hold_camera)
    count = int(18 / step_mm)
    along = np.array([np.cos(0.7), np.sin(0.7)])
    across = np.array([-along[1], along[0]])
    grid = Grid(np.array([38.0, 34.0]), along, across, step_mm, step_mm, count, 40)
    places = photo_places(setup.face, grid)
    j, i = np.meshgrid(np.arange(count), np.arange(40))
    plate = grid.origin_mm + step_mm * (j[..., None] * along + i[..., None] * across)
    exact = setup.face.photo_from_plate(plate.reshape(-1, 2)).reshape(places.shape)
    np.testing.assert_allclose(places, exact, atol=0.02, err_msg="px")


def test_a_strip_keeps_a_groove_straight_under_tilt_and_distortion(hold_camera, stroke):
    setup = tilted(hold_camera)
    start, end = np.array([31.0, 37.0]), np.array([49.0, 52.0])
    photo = setup.draw(stroke(start, end, -100, width_mm=0.12), noise=0.5)
    grid = strip_grid(start, end, 0.5, 0.05, 0.02)
    strip = 150 - resample(photo, setup.face, grid)
    v = (np.arange(grid.rows) - (grid.rows - 1) / 2) * grid.step_v_mm
    inner = strip[:, 20:440].reshape(len(v), -1, 20).mean(axis=2)
    middles = (v @ inner) / inner.sum(axis=0)
    assert np.abs(middles).max() < 0.004
    assert abs(middles.mean()) < 0.001


def test_rows_grow_towards_the_left_normal(hold_camera, stroke):
    setup = hold_camera()
    start, end = np.array([30.0, 40.0]), np.array([48.0, 40.0])
    photo = setup.draw(stroke((30.0, 40.3), (48.0, 40.3), -100), noise=0.0)
    grid = strip_grid(start, end, 0.5, 0.05, 0.02)
    dark = resample(photo, setup.face, grid).mean(axis=1).argmin()
    # (-dy, dx) of a line along x points down.
    assert (dark - (grid.rows - 1) / 2) * 0.02 == pytest.approx(0.3, abs=0.021)


def test_a_strip_reaches_from_start_to_end_and_to_both_sides():
    start, end = np.array([3.0, 4.0]), np.array([15.0, 20.0])
    grid = strip_grid(start, end, 0.7, 0.05, 0.02)
    assert grid.rows == 71
    middle = grid.origin_mm + 35 * 0.02 * grid.across
    np.testing.assert_allclose(middle, start, atol=1e-12)
    last = middle + (grid.columns - 1) * 0.05 * grid.along
    assert np.hypot(*(last - end)) < 0.05 + 1e-9
    np.testing.assert_allclose(grid.along, [0.6, 0.8])
    np.testing.assert_allclose(grid.across, [-0.8, 0.6])


def test_what_is_finer_than_the_grid_becomes_its_mean(hold_camera):
    setup = hold_camera()
    y, x = np.mgrid[:560, :640]
    checks = np.where((x + y) % 2, 200, 100).astype(np.uint8)
    # 0.31 mm are 6.2 px: sampled bare, the pattern would beat.
    grid = Grid(np.array([30.0, 38.0]), X, Y, 0.31, 0.31, 60, 40)
    np.testing.assert_allclose(resample(checks, setup.face, grid), 150, atol=1.5)


def test_a_grid_may_leave_the_picture(hold_camera):
    setup = hold_camera()
    photo = np.tile(np.linspace(0, 250, 640).astype(np.uint8), (560, 1))
    # The picture ends 16 mm to the right of its middle at x = 40 mm.
    grid = Grid(np.array([50.0, 45.0]), X, Y, 0.05, 0.05, 400, 5)
    sampled = resample(photo, setup.face, grid)
    assert np.isfinite(sampled).all()
    np.testing.assert_allclose(sampled[:, 200:], 250, atol=1)


@pytest.mark.parametrize("turn_deg", [0.0, 90.0, 211.0])
def test_turning_grid_and_camera_together_changes_nothing(hold_camera, turn_deg):
    rng = np.random.default_rng(3)
    blotches = rng.integers(0, 256, (560, 640)).astype(np.uint8)
    turn = np.radians(turn_deg)
    along = np.array([np.cos(turn), np.sin(turn)])
    across = np.array([-along[1], along[0]])
    # A camera that is rolled with the plate's axes sees them where it saw x and y.
    setup = hold_camera(roll_deg=turn_deg)
    corner = np.array([40.0, 45.0]) - 5 * along - 4 * across
    grid = Grid(corner, along, across, 0.05, 0.05, 200, 160)
    plain = Grid(np.array([35.0, 41.0]), X, Y, 0.05, 0.05, 200, 160)
    turned = resample(blotches, setup.face, grid)
    straight = resample(blotches, hold_camera().face, plain)
    assert np.abs(turned - straight).mean() < 0.5
