"""Two small pictures of one pentagon: places refer to the first, whichever is the better one."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from scribegauge import pipeline
from scribegauge.errors import PhotoError
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.photo.record import LensFacts, Photo
from scribegauge.pipeline import Request, check
from scribegauge.simulate.bench import LIGHTS, Bench, filling_pose, scene_for_layout
from scribegauge.simulate.hand import Hand
from scribegauge.simulate.render import render
from scribegauge.simulate.scene import CameraModel
from scribegauge.simulate.sensor import focal_35mm
from scribegauge.simulate.truth import truth_of
from scribetarget.camera import Camera
from scribetarget.spec import load_specs

pytestmark = pytest.mark.slow

RADIUS_MM = 17.0
ANGLES = 2 * np.pi * np.arange(5) / 5
PENTAGON = RADIUS_MM * np.column_stack([np.cos(ANGLES), np.sin(ANGLES)])
SIDE_MM = 2 * RADIUS_MM * np.sin(np.pi / 5)
CAMERA = CameraModel(size_px=(1240, 930), f_px=967.0, centre_px=(621.0, 463.0))
BENCH = Bench(camera=CAMERA, print_scale=(1.001, 0.999), lamp=LIGHTS["soft"], tilt_deg=(18, 22))


def photo_of(scene, name, noise=0.0):
    rgb = render(scene, 6).astype(float)
    rgb += np.random.default_rng(1).normal(0, noise, rgb.shape) if noise else 0.0
    rgb = np.clip(np.round(rgb), 0, 255).astype(np.uint8)
    facts = LensFacts("Bench", "Model 1", None, float(focal_35mm(CAMERA)), None, None)
    return Photo(name, name, rgb, cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), facts)


def request():
    values = np.array([CAMERA.f_px, 1.0, *CAMERA.centre_px, *CAMERA.dist])
    spread = np.array([0.5, 1e-5, 0.3, 0.3, 1e-3, 2e-3, 2e-5, 2e-5, 2e-3])
    camera = Camera(*CAMERA.size_px, values, np.diag(spread**2), "profile", "Bench Model 1")
    layout = Layout("Five equal sides", PENTAGON, tuple("ABCDE"), Tolerance(None, None))
    return Request(layout, None, ((60.06, 59.94),), camera)


@pytest.fixture(scope="module", autouse=True)
def _looked_at_once():
    """A photo shows the same in every check of it; arcs are of no interest here, and slow."""
    looks, look = {}, pipeline.look_at

    def remembered(photo, request):
        if photo.name not in looks:
            looks[photo.name] = look(photo, request)
        return looks[photo.name]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pipeline, "look_at", remembered)
        patch.setattr("scribegauge.look.look_at", remembered)
        patch.setattr("scribegauge.marks.survey.find_arcs", lambda *_: ())
        yield


@pytest.fixture(scope="module")
def scenes():
    hand = Hand(corner_mm=0.0, rule_mm=0.0, strays=2, width_mm=0.08)
    first = scene_for_layout(PENTAGON, seed=6, size="S", finish="matte", bench=BENCH, hand=hand)
    side_mm = load_specs()["S"].side_mm
    # Seeds of poses that lean to different sides.
    return [
        replace(first, pose=filling_pose(BENCH, side_mm, np.random.default_rng(k))) for k in (3, 8)
    ]


@pytest.fixture(scope="module")
def worse_and_better(scenes):
    return photo_of(scenes[0], "worse.jpg", noise=4.0), photo_of(scenes[1], "better.jpg")


@pytest.fixture(scope="module")
def reading(worse_and_better):
    return check(worse_and_better, request())


def test_places_are_those_of_the_first_photo_though_it_is_the_worse(reading, scenes):
    truth = truth_of(scenes[0])
    seen = np.array([vertex.photo_px for vertex in reading.vertices])
    gaps = np.linalg.norm(seen[:, None] - truth.corners_px[None], axis=-1)
    assert gaps.min(axis=1).max() < 1.0
    for prick in reading.pricks:
        true = np.array(list(truth.pricks_px.values()))
        assert np.linalg.norm(true - prick.photo_px, axis=1).min() < 2.0
    outline = np.array(reading.plate.outline_px)
    assert np.all(outline.min(axis=0) < seen.min(axis=0))
    assert np.all(outline.max(axis=0) > seen.max(axis=0))


def test_two_photos_tell_the_thickness_that_nobody_gave(reading):
    assert abs(reading.plate.height_mm - BENCH.thickness_mm) < 1.5 * reading.plate.U_height_mm
    assert reading.plate.U_height_mm < 0.4
    off = np.array([side.measured_mm - SIDE_MM for side in reading.sides])
    assert np.all(np.abs(off) < 1.5 * np.array([side.U_mm for side in reading.sides]))
    (reason,) = [each for each in reading.reasons if each.code == "thickness_not_given"]
    assert "the photos put its face" in reason.text


def test_a_plate_carried_away_between_photos_is_refused(scenes, worse_and_better):
    x, y = scenes[1].plate_origin_mm
    carried = replace(scenes[1], plate_origin_mm=(x + 2.5, y - 1.5))
    with pytest.raises(PhotoError) as error:
        check((worse_and_better[0], photo_of(carried, "carried.jpg")), request())
    assert error.value.code == "plate_elsewhere"
