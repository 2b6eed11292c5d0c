"""From a photo to a reading for layouts of circles and pricks, and with a choice of fit."""

import json
from dataclasses import replace

import cv2
import jsonschema
import numpy as np
import pytest

from scribegauge.figure.intended import FitChoice
from scribegauge.figure.layout import Tolerance
from scribegauge.figure.named import figure_layout
from scribegauge.photo.record import LensFacts, Photo
from scribegauge.pipeline import Request, check
from scribegauge.report.frame import straight_frame
from scribegauge.report.jsonfile import from_json, to_json
from scribegauge.report.marksentence import judged_marks
from scribegauge.report.scene import scene_of
from scribegauge.report.schema import schema_text
from scribegauge.report.table import table
from scribegauge.simulate.bench import LIGHTS, Bench, filling_pose
from scribegauge.simulate.render import render
from scribegauge.simulate.scene import (
    CameraModel,
    PaperModel,
    PlateModel,
    Prick,
    Profile,
    Scene,
    ScribedArc,
    ScribedLine,
)
from scribegauge.simulate.sensor import focal_35mm
from scribetarget.camera import Camera
from scribetarget.spec import load_specs

CAMERA = CameraModel(size_px=(1200, 900), f_px=930.0, centre_px=(599.5, 449.5))
LAYOUT = figure_layout(
    "hole-circle", {"pitch_circle_mm": 30, "n": 5}, Tolerance(0.15, None, None, 0.06, 0.15)
)
RADIUS_OFF_MM, PRICK_OFF_MM = 0.12, (0.0, -0.35)
TURN_DEG = 17.0


def plate():
    """A pitch circle set 0.12 mm wide, and hole P2 pricked 0.35 mm too high."""
    (circle,) = LAYOUT.marks.circles
    groove = Profile(width_mm=0.09)
    pricks = [
        Prick(p.name, tuple(np.add(p.at_mm, PRICK_OFF_MM if p.name == "P2" else (0, 0))), 0.4)
        for p in LAYOUT.marks.pricks
    ]
    return PlateModel(
        outline_mm=((-20, -20), (20, -20), (20, 20), (-20, 20)),
        thickness_mm=1.0,
        finish="matte",
        arcs=(ScribedArc("k", circle.centre_mm, circle.radius_mm + RADIUS_OFF_MM, profile=groove),),
        lines=(ScribedLine("stray", (-12, 3), (-4, 5), groove),),
        pricks=tuple(pricks),
    )


@pytest.fixture(scope="module")
def photo():
    bench, spec = Bench(camera=CAMERA, lamp=LIGHTS["soft"], tilt_deg=(8, 10)), load_specs()["S"]
    pose = filling_pose(bench, spec.side_mm, np.random.default_rng(4))
    middle = (spec.side_mm / 2, spec.side_mm / 2)
    paper = PaperModel(size="S")
    scene = Scene(plate(), middle, TURN_DEG, paper, bench.lamp, CAMERA, pose)
    rgb = render(scene, 6)
    facts = LensFacts("Bench", "Model 1", None, float(focal_35mm(CAMERA)), None, None)
    return Photo("holes.jpg", "0" * 64, rgb, cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), facts)


def request(layout):
    values = np.array([930.0, 1.0, 599.5, 449.5, *CAMERA.dist])
    spread = np.array([0.5, 1e-5, 0.3, 0.3, 1e-3, 2e-3, 2e-5, 2e-5, 2e-3])
    camera = Camera(1200, 900, values, np.diag(spread**2), "profile", "Bench Model 1")
    return Request(layout, 1.0, ((60.0, 60.0),), camera)


@pytest.fixture(scope="module")
def reading(photo):
    return check((photo,), request(LAYOUT))


def test_the_circle_is_compared_with_the_one_found(reading):
    (circle,) = reading.circles
    assert circle.arc == 1
    assert circle.deviation_mm == pytest.approx(RADIUS_OFF_MM, abs=1.5 * circle.U_mm)
    assert circle.U_mm < 0.05
    assert circle.verdict == "outside"
    assert circle.off_mm < circle.U_off_mm + 0.1


def test_the_prick_off_its_place_is_told(reading):
    assert all(place.off_mm is not None for place in reading.places)
    worst = max(reading.places, key=lambda place: place.off_mm)
    assert worst.off_mm > 0.15 + worst.U_mm
    assert worst.verdict == "outside"
    # Nothing on the plate says which hole is P0; the bad one ends the chord that came out short.
    (short,) = (d for d in reading.distances if d.verdict == "outside")
    assert worst.name in short.between
    holes = np.array([p.at_mm for p in LAYOUT.marks.pricks])
    true = np.hypot(*(holes[2] + PRICK_OFF_MM - holes[1])) - np.hypot(*(holes[2] - holes[1]))
    assert short.deviation_mm == pytest.approx(true, abs=1.5 * short.U_mm)


def test_distances_agree_with_what_was_pricked(reading):
    holes = np.array([p.centre_mm for p in plate().pricks])
    true = np.linalg.norm(np.roll(holes, -1, axis=0) - holes, axis=1)
    seen = np.array([d.measured_mm for d in reading.distances])
    expanded = np.array([d.U_mm for d in reading.distances])
    # The five may be named from any hole on.
    misses = [np.abs(seen - np.roll(true, k)) / expanded for k in range(5)]
    assert min(miss.max() for miss in misses) < 1.5


def test_what_cannot_be_told_is_said(reading):
    assert (reading.fit.ways, reading.fit.told_by) == (5, "nothing")
    assert "lies alike on itself in 5 ways" in table(reading).replace("\n  ", " ")
    assert reading.sides == ()
    assert reading.angles == ()
    assert ("k", "outside") in judged_marks(reading)


def test_the_reading_file_holds_it_all(reading):
    jsonschema.validate(json.loads(to_json(reading)), json.loads(schema_text()))
    back = from_json(to_json(reading))
    assert back.circles[0].measured_mm == pytest.approx(reading.circles[0].measured_mm, abs=1e-5)
    assert [p.name for p in back.places] == ["P0", "P1", "P2", "P3", "P4"]
    assert back.fit.ways == 5


def test_at_free_size_the_scale_is_told(photo):
    layout = replace(LAYOUT, fit=FitChoice(size_free=True))
    free = check((photo,), request(layout))
    # The pricks are at their places but one, so the size is right whatever the circle is.
    assert free.fit.scale == pytest.approx(1.0, abs=free.fit.U_scale + 0.35 / 15 / 4)
    assert free.fit.U_scale < 0.01
    (circle,) = free.circles
    assert circle.intended_mm == pytest.approx(15.0 * free.fit.scale, abs=1e-6)


def test_the_picture_names_the_holes_and_has_the_intended_circle(reading):
    scene = scene_of(reading, straight_frame(reading))
    assert [corner.name for corner in scene.corners] == ["P0", "P1", "P2", "P3", "P4"]
    (circle,) = scene.circles
    # 30 mm across in a picture that is straightened; holes lie on it but for the one off its place.
    middle, px_per_mm = circle.mean(axis=0), np.ptp(circle[:, 0]) / 30.0
    away = np.hypot(*(np.array([centre for centre, _ in scene.pricks]) - middle).T) / px_per_mm
    assert np.median(away) == pytest.approx(15.0, abs=0.2)
