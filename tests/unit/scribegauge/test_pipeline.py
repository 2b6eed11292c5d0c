"""From photo to reading on one small picture of a regular pentagon."""

import json
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest

from scribegauge.errors import PhotoError, UseError
from scribegauge.figure.hints import Hints
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.marks.record import LineMark
from scribegauge.photo.record import LensFacts, Photo
from scribegauge.pipeline import Request, check
from scribegauge.simulate.bench import LIGHTS, Bench, scene_for_layout
from scribegauge.simulate.hand import Hand
from scribegauge.simulate.render import render
from scribegauge.simulate.scene import CameraModel
from scribegauge.simulate.sensor import focal_35mm
from scribegauge.simulate.truth import truth_of
from scribetarget.camera import Camera

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference" / "regular_polygons.json"
EXACT = json.loads(REFERENCE.read_text(encoding="utf-8"))["polygons"][2]
RADIUS_MM = 17.0
ANGLES = 2 * np.pi * np.arange(5) / 5
PENTAGON = RADIUS_MM * np.column_stack([np.cos(ANGLES), np.sin(ANGLES)])
SIDE_MM = RADIUS_MM * float(EXACT["side_over_circumradius"])
CAMERA = CameraModel(size_px=(1000, 750), f_px=780.0, centre_px=(501.0, 373.0))
NAMES = ("A", "B", "C", "D", "E")


def profile():
    values = np.array([780.0, 1.0, 501.0, 373.0, *CAMERA.dist])
    spread = np.array([0.5, 1e-5, 0.3, 0.3, 1e-3, 2e-3, 2e-5, 2e-5, 2e-3])
    return Camera(1000, 750, values, np.diag(spread**2), "profile", "Bench Model 1")


def request(**other):
    layout = Layout("Five equal sides", PENTAGON, NAMES, Tolerance(0.3, 0.8))
    known = {
        "layout": layout,
        "thickness_mm": 1.0,
        "bars_mm": ((60.06, 59.94),),
        "camera": profile(),
    }
    return Request(**(known | other))


@pytest.fixture(scope="module")
def scene():
    bench = Bench(camera=CAMERA, print_scale=(1.001, 0.999), lamp=LIGHTS["soft"], tilt_deg=(12, 15))
    hand = Hand(corner_mm=0.0, rule_mm=0.0, strays=2, width_mm=0.08)
    return scene_for_layout(PENTAGON, seed=6, size="S", finish="matte", bench=bench, hand=hand)


@pytest.fixture(scope="module")
def picture(scene):
    rgb = render(scene, 6)
    facts = LensFacts("Bench", "Model 1", None, float(focal_35mm(CAMERA)), None, None)
    return Photo("plate.jpg", "0" * 64, rgb, cv2.cvtColor(rgb, cv2.COLOR_RGB2GRAY), facts)


@pytest.fixture(scope="module")
def reading(picture):
    return check((picture,), request())


def test_a_regular_pentagon_is_read_as_one(reading):
    off_mm = np.array([side.measured_mm - SIDE_MM for side in reading.sides])
    expanded = np.array([side.U_mm for side in reading.sides])
    assert np.abs(off_mm).max() < 0.1
    assert np.all(np.abs(off_mm) < 1.5 * expanded)
    off_deg = np.array(
        [a.measured_deg - float(EXACT["interior_angle_deg"]) for a in reading.angles]
    )
    assert np.abs(off_deg).max() < 0.5
    assert np.all(np.abs(off_deg) < 1.5 * np.array([a.U_deg for a in reading.angles]))
    # The angles of a closed figure add up whatever the hand did.
    total = sum(angle.measured_deg for angle in reading.angles)
    assert total == pytest.approx(float(EXACT["sum_interior_angles_deg"]), abs=1e-6)
    # Drawn small so that the test is quick: a little soft, and nothing else is wrong with it.
    assert {reason.code for reason in reading.reasons} <= {"slightly_blurred"}


def test_u_is_of_use_and_judges(reading):
    assert all(0.01 < side.U_mm < 0.15 for side in reading.sides)
    assert {side.verdict for side in reading.sides} == {"within"}
    assert "outside" not in {angle.verdict for angle in reading.angles}


def test_corners_lie_where_they_were_scribed(reading, scene):
    truth = truth_of(scene)
    seen = np.array([vertex.photo_px for vertex in reading.vertices])
    gaps = np.linalg.norm(seen[:, None] - truth.corners_px[None], axis=-1)
    assert gaps.min(axis=1).max() < 1.0
    # Each vertex once, in the order of the layout.
    nearest = gaps.argmin(axis=1)
    assert set((np.roll(nearest, -1) - nearest) % 5) == {1}


@pytest.fixture
def already_found(monkeypatch):
    """Skip the first look for lines: what it found is known from the reading."""

    def skip(lines):
        marks = tuple(_mark(line) for line in lines)
        monkeypatch.setattr("scribegauge.marks.survey.find_lines", lambda *_: marks)
        for slow in ("marks.survey.find_arcs", "pipeline.find_pricks"):
            monkeypatch.setattr(f"scribegauge.{slow}", lambda *_, **__: ())

    return skip


def _mark(line):
    ends, none = np.array([line.start_mm, line.end_mm]), np.zeros((2, 2))
    known = (line.width_mm, -9.0, line.look, line.seen, -9.0)
    return LineMark(ends, none, 0.01, 0.0, *known, hinted=False)


def test_without_bars_and_thickness_the_reading_is_wider_and_warns(picture, reading, already_found):
    already_found(reading.lines)
    bare = check((picture,), request(bars_mm=(), thickness_mm=None))
    codes = {reason.code for reason in bare.reasons}
    assert {"bars_not_measured", "thickness_not_given"} <= codes
    assert bare.status == "warned"
    # Lengths by 0.2 % of 20 mm (u) and 0.45 mm at some 110 mm; the shape stays.
    assert all(b.U_mm > 1.5 * a.U_mm for a, b in zip(reading.sides, bare.sides, strict=True))
    assert all(b.U_mm > 2 * 0.002 * SIDE_MM for b in bare.sides)
    off = [a.measured_deg - 108.0 for a in bare.angles]
    assert np.abs(off).max() < 0.6


def test_hints_find_a_figure_that_its_lines_do_not_give_away(picture, reading, already_found):
    already_found(reading.lines[:1])
    with pytest.raises(PhotoError, match="do not make up"):
        check((picture,), request())
    rng = np.random.default_rng(8)
    corners = np.array([vertex.photo_px for vertex in reading.vertices])
    # Half a millimetre off, and named from another corner.
    rough = np.roll(corners, -2, axis=0) + rng.uniform(-3, 3, (5, 2))
    sides = {k: rough[[k, (k + 1) % 5]] for k in range(5)}
    again = check((picture,), request(hints=(Hints(sides),)))
    for k, side in enumerate(again.sides):
        assert side.measured_mm == pytest.approx(reading.sides[(k + 2) % 5].measured_mm, abs=0.02)
    assert [line.hinted for line in again.lines if line.side] == [True] * 5
    assert "hint_shows_nothing" not in {reason.code for reason in again.reasons}


def test_a_hint_beside_every_line_makes_up_none(picture, reading, already_found):
    already_found(reading.lines[:5])
    corners = np.array([vertex.photo_px for vertex in reading.vertices])
    middle = corners.mean(axis=0)
    inside = middle + 0.6 * (corners[[0, 1]] - middle)
    told = check((picture,), request(hints=(Hints({0: inside}),)))
    assert "hint_shows_nothing" in {reason.code for reason in told.reasons}
    assert "hint_shows_nothing" in {reason.code for reason in told.sides[0].reasons}
    assert not any(line.hinted for line in told.lines)


def test_a_side_that_the_first_look_missed_is_sought(picture, reading, already_found):
    already_found([line for k, line in enumerate(reading.lines[:5]) if k != 3])
    again = check((picture,), request())
    for old, new in zip(reading.sides, again.sides, strict=True):
        assert new.measured_mm == pytest.approx(old.measured_mm, abs=0.02)


@pytest.mark.parametrize(
    "vertices",
    [
        [[0.0, 0], [31, 0], [31, 27], [0, 27]],  # no corner of it is there
        [[0.0, 0], [9, 0], [-12.36, 38.04]],  # 108 degrees, but sides of 9 and 40 mm
    ],
)
def test_a_layout_of_another_figure_is_refused(picture, reading, already_found, vertices):
    already_found(reading.lines)
    shape = np.array(vertices)
    other = Layout("Another", shape, NAMES[: len(shape)], Tolerance(None, None))
    with pytest.raises(PhotoError) as error:
        check((picture,), request(layout=other))
    assert error.value.code == "figure_not_found"


def test_a_figure_larger_than_the_window_is_the_wrong_layout(picture):
    large = Layout("Large", 4 * PENTAGON, NAMES, Tolerance(None, None))
    with pytest.raises(UseError, match="larger than"):
        check((picture,), request(layout=large))


def test_of_several_photos_the_bad_one_is_named(picture):
    empty = replace(picture, name="dark.jpg", rgb=picture.rgb * 0, grey=picture.grey * 0)
    with pytest.raises(Exception, match=r"dark\.jpg") as error:
        check((empty, picture), request())
    assert error.value.code
