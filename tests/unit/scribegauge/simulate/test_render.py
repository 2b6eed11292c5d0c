"""The photo agrees with its truth: ring, plate height, chance, finish, shadow."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from scribegauge.simulate.bench import Bench, scene_for_layout
from scribegauge.simulate.hand import Hand
from scribegauge.simulate.pinhole import camera_centre_mm, rays_mm
from scribegauge.simulate.render import radiance_of, render
from scribegauge.simulate.scene import CameraModel, Lamp, Prick, Shadow
from scribegauge.simulate.truth import plate_to_target_mm, seen_px, truth_of
from scribetarget.spec import load_specs

FIGURE = [[0, 0], [30, 0], [30, 20], [0, 20]]
SMALL = CameraModel(size_px=(1000, 750), f_px=800, centre_px=(501.0, 373.0))
BENCH = Bench(camera=SMALL, print_scale=(1.002, 0.998))
LACQUERED = scene_for_layout(
    FIGURE,
    seed=5,
    size="S",
    finish="lacquer",
    bench=replace(BENCH, lamp=Lamp(share=0.0, sky_lean=0.0)),
    hand=Hand(width_mm=0.12, slope=0.4, strays=0, prick_mm=0),
)
SCENE = scene_for_layout(FIGURE, seed=3, size="S", bench=BENCH)


@pytest.fixture(scope="module")
def photo():
    return render(SCENE, 3)


@pytest.fixture(scope="module")
def lacquered():
    return radiance_of(LACQUERED, 1).mean(axis=2)


@pytest.fixture(scope="module")
def light():
    return radiance_of(SCENE, 3)


def _ring_seen(picture, size):
    spec = load_specs()[size]
    board = cv2.aruco.CharucoBoard(
        (spec.squares_per_side,) * 2,
        spec.square_mm,
        spec.marker_mm,
        cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36H11),
        np.arange(spec.first_marker_id, spec.last_marker_id + 1),
    )
    grey = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    corners, ids, _, _ = cv2.aruco.CharucoDetector(board).detectBoard(grey)
    fine = cv2.cornerSubPix(grey, corners.reshape(-1, 2).copy(), (4, 4), (-1, -1), (3, 30, 1e-4))
    return fine.astype(np.float64), ids.ravel()


def test_the_ring_is_where_the_truth_says(photo):
    corners, ids = _ring_seen(photo, "S")
    truth = truth_of(SCENE)
    where = {int(i): p for i, p in zip(truth.ring_ids, truth.ring_px, strict=True)}
    known = np.isin(ids, truth.ring_ids)  # OpenCV also offers the window's corners
    off = corners[known] - np.array([where[int(i)] for i in ids[known]])
    assert len(off) == len(truth.ring_ids)
    assert np.median(np.hypot(*off.T)) < 0.06
    np.testing.assert_allclose(off.mean(axis=0), 0, atol=0.02, err_msg="px")


def test_the_face_stands_one_thickness_above_the_paper():
    spots = tuple(
        Prick(f"spot {x} {y}", (x, y), diameter_mm=1.2, slope=0.01, burr=0.0)
        for x, y in ((-14.0, -8.0), (14.0, -8.0), (14.0, 8.0))
    )
    scene = scene_for_layout(FIGURE, seed=8, size="S", finish="lacquer", bench=BENCH)
    plate = replace(scene.plate, thickness_mm=2.0, lines=(), pricks=spots)
    scene = replace(scene, plate=plate)
    grey = radiance_of(scene, 8).mean(axis=2).astype(np.float64)
    centre = camera_centre_mm(scene.pose)
    truth = truth_of(scene)
    for role, true_mm in truth.pricks_mm.items():
        u, v = _bright_middle(grey, truth.pricks_px[role])
        apparent = centre[:2] - rays_mm(u, v, scene.camera, scene.pose) * centre[2]
        lowered = centre[:2] + (apparent - centre[:2]) * (-centre[2] - 2.0) / -centre[2]
        np.testing.assert_allclose(lowered, true_mm, atol=0.006, err_msg="mm")
        assert np.linalg.norm(apparent - true_mm) > 0.1


def _bright_middle(grey, start):
    column, row = np.round(start).astype(int)
    bright = grey[row - 6 : row + 7, column - 6 : column + 7]
    bright = np.clip(bright - 1.2 * np.median(np.concatenate([bright[0], bright[-1]])), 0, None)
    v, u = np.mgrid[-6:7, -6:7]
    return column + np.sum(bright * u) / bright.sum(), row + np.sum(bright * v) / bright.sum()


@pytest.mark.parametrize("side", [0, 1, 2, 3])
def test_lines_run_through_the_true_corners(lacquered, side):
    truth = truth_of(LACQUERED)
    ends = np.stack([truth.corners_mm[side], truth.corners_mm[(side + 1) % 4]])
    way = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    along = ends[0] + np.linspace(0.1, 0.9, 600)[:, None] * (ends[1] - ends[0])
    off_mm = np.linspace(-0.6, 0.6, 61)
    across = off_mm[:, None, None] * np.array([-way[1], way[0]])
    px = seen_px(LACQUERED, (along + across).reshape(-1, 2), 1.0).reshape(61, -1, 2)
    u, v = px.astype(np.float32).transpose(2, 0, 1)
    tone = cv2.remap(lacquered, u, v, cv2.INTER_LINEAR).mean(axis=1)
    bright = np.clip(tone - 1.5 * np.median(tone), 0, None)
    assert bright.max() > 0.05
    np.testing.assert_allclose(np.sum(bright * off_mm) / bright.sum(), 0, atol=0.008, err_msg="mm")


def test_the_same_seed_gives_the_same_photo(photo):
    again = scene_for_layout(FIGURE, seed=3, size="S", bench=BENCH)
    assert np.array_equal(render(again, 3), photo)
    assert not np.array_equal(render(again, 4), photo)


def test_brushing_is_rough_across_the_grain():
    scene = replace(SCENE, plate=replace(SCENE.plate, grain_deg=0.0, lines=(), pricks=()))
    at = plate_to_target_mm(
        scene, np.array([[x, y] for y in np.arange(-6, 6, 0.4) for x in np.arange(-10, 10, 0.4)])
    )
    px = seen_px(scene, at, 1.0).astype(np.float32)
    grey = radiance_of(scene, 2).mean(axis=2)
    tone = cv2.remap(grey, px[:, :1], px[:, 1:], cv2.INTER_LINEAR).reshape(30, 50)
    assert np.abs(np.diff(tone, axis=0)).mean() > 1.5 * np.abs(np.diff(tone, axis=1)).mean()


def test_a_shadow_darkens_its_side_only(light):
    shadow = Shadow(through_mm=(42, 42), towards_deg=0, softness_mm=1, left=0.4)
    ratio = radiance_of(replace(SCENE, shadows=(shadow,)), 3) / light
    near, far = seen_px(SCENE, np.array([[18.0, 14.0], [66.0, 14.0]]), 0.0).round().astype(int)
    np.testing.assert_allclose(ratio[near[1], near[0]], 1, atol=1e-3)
    np.testing.assert_allclose(ratio[far[1], far[0]], 0.4, atol=1e-3)


def test_without_a_plate_the_window_is_paper():
    bare = radiance_of(replace(SCENE, plate=None), 3)
    middle = seen_px(SCENE, np.array([[42.0, 42.0]]), 0.0)[0].round().astype(int)
    np.testing.assert_allclose(bare[middle[1], middle[0], 1], SCENE.lamp.rgb[1], rtol=0.02)
