"""`scribegauge camera`, from photos on disk to a camera file, and its refusals."""

import json
import shutil

import cv2
import numpy as np
import pytest
from PIL import Image

from scribegauge.cli.main import main
from scribetarget.camerafile import read_camera
from scribetarget.lens import plane_from_photo
from scribetarget.spec import load_specs, marker_squares

SPEC = load_specs()["S"]
WIDTH, HEIGHT = 1200, 900
LENS = np.array([1000.0, 1.0, 603.0, 447.0, 0.03, -0.05, 0.0004, -0.0003, 0.0])
PRINTED = np.array([1.001, 0.999])
BARS = "60.06,59.94"
LEANS = [(4, 0), (22, 0), (25, 90), (22, 180), (28, 270), (16, 45)]
PITCH, MARGIN = 48, 60  # pixels of the drawing: per square, and of white round the board


def drawing():
    """The ring as a fine bitmap."""
    side, low, high = 14, SPEC.ring_squares, 14 - SPEC.ring_squares
    assert SPEC.squares_per_side == side
    level = np.full((side * PITCH, side * PITCH), 205, np.uint8)
    for row, column in np.ndindex(side, side):
        ring = not (low <= row < high and low <= column < high)
        if ring and (row + column) % 2 == 0:
            level[row * PITCH : (row + 1) * PITCH, column * PITCH : (column + 1) * PITCH] = 45
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36H11)
    places = marker_squares(SPEC, SPEC.printed_marker_ids)
    for number, (column, row) in zip(SPEC.printed_marker_ids, places, strict=True):
        bits = np.kron(cv2.aruco.generateImageMarker(dictionary, number, 8) > 0, np.ones((4, 4)))
        top, left = row * PITCH + 8, column * PITCH + 8
        assert bits.shape == (32, 32)  # three quarters of a square are 36 pixels
        bits = cv2.resize(bits, (36, 36), interpolation=cv2.INTER_NEAREST)
        level[top - 2 : top + 34, left - 2 : left + 34] = np.where(bits > 0, 205, 45)
    return cv2.copyMakeBorder(level, *[MARGIN] * 4, cv2.BORDER_CONSTANT, value=205)


def pose(tilt_deg, towards_deg, turn_deg):
    axis = np.radians(tilt_deg) * np.array(
        [np.cos(np.radians(towards_deg)), np.sin(np.radians(towards_deg)), 0]
    )
    turn = cv2.Rodrigues(np.radians([0.0, 0, turn_deg]))[0]
    rotation = cv2.Rodrigues(axis)[0] @ turn
    middle = np.array([SPEC.side_mm / 2, SPEC.side_mm / 2, 0])
    return [*cv2.Rodrigues(rotation)[0].ravel(), *(np.array([0, 0, 145.0]) - rotation @ middle)]


def photograph(level, number):
    """Look the drawing up where the ray of each pixel meets the sheet, finely, then shrink."""
    values = np.array([*LENS, *pose(*LEANS[number], 90.0 * number), *PRINTED])
    coarse = np.mgrid[0 : HEIGHT + 8 : 8, 0 : WIDTH + 8 : 8].astype(float)
    rays = np.column_stack([coarse[1].ravel(), coarse[0].ravel()])
    sheet = plane_from_photo(values, rays, (0.0, 0.0, 0.0)) / PRINTED / SPEC.square_mm
    places = (sheet * PITCH + MARGIN - 0.5).reshape(*coarse.shape[1:], 2).astype(np.float32)
    fine = ((np.arange(3) + 0.5) / 3 - 0.5).astype(np.float32)
    total = np.zeros((HEIGHT, WIDTH))
    at_y, at_x = np.mgrid[0:HEIGHT, 0:WIDTH].astype(np.float32)
    for dy in fine:
        for dx in fine:
            where = cv2.remap(
                places,
                (at_x + dx) / 8,
                (at_y + dy) / 8,
                cv2.INTER_LINEAR,
                borderMode=cv2.BORDER_REPLICATE,
            )
            total += cv2.remap(level, where, None, cv2.INTER_LINEAR, borderValue=205)
    noise = np.random.default_rng(number).normal(0, 1.5, total.shape)
    return np.clip(np.rint(cv2.GaussianBlur(total / 9, (0, 0), 0.6) + noise), 0, 255)


def save(path, level, model):
    exif = Image.Exif()
    exif[0x0110] = model
    exif.get_ifd(0x8769)[0xA405] = 30
    Image.fromarray(level.astype(np.uint8)).save(path, quality=95, exif=exif)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place, level = tmp_path_factory.mktemp("ring"), drawing()
    for number in range(len(LEANS)):
        save(place / f"ring-{number}.jpg", photograph(level, number), "A-12")
    save(place / "table.jpg", np.full((HEIGHT, WIDTH), 120), "A-12")
    return place


@pytest.fixture
def run(folder, tmp_path, capfd):
    def call(*names, bars=BARS, out=None):
        paths = [str(folder / name) for name in names]
        out = tmp_path / "phone.json" if out is None else out
        code = main(["camera", *paths, "--bars", bars, "--out", str(out)])
        return code, out, capfd.readouterr()

    return call


RINGS = [f"ring-{number}.jpg" for number in range(len(LEANS))]


@pytest.mark.slow
def test_photos_become_a_camera_file(run):
    code, out, told = run(*RINGS)
    assert code == 0
    camera = read_camera(out.read_text(), "phone.json")
    away = camera.values - LENS
    assert away @ np.linalg.solve(camera.covariance, away) < 28  # chi-square of 9, one in 1000
    assert abs(away[0]) < 3
    assert (camera.width_px, camera.height_px, camera.name) == (WIDTH, HEIGHT, "A-12")
    assert camera.focal_35mm == 30
    raw = json.loads(out.read_text())
    assert [each["name"] for each in raw["photos"]] == RINGS
    assert len({each["sha256"] for each in raw["photos"]}) == len(RINGS)
    lines = told.out.splitlines()
    assert max(map(len, lines)) <= 80
    assert [line.split()[0] for line in lines[1:7]] == RINGS
    assert f"{camera.values[0]:.2f} px" in told.out
    assert "these are 6" in told.out
    assert told.err == f"Wrote {out}.\n"


@pytest.mark.slow
def test_bad_photos_are_named_and_left_out(run, folder):
    shutil.copy(folder / RINGS[2], folder / "again.jpg")
    (folder / "half.jpg").write_bytes((folder / RINGS[0]).read_bytes()[:9000])
    code, out, told = run(*RINGS[:5], "table.jpg", "half.jpg", "again.jpg")
    assert code == 0
    assert len(json.loads(out.read_text())["photos"]) == 5
    for name in ("table.jpg", "half.jpg", "again.jpg"):
        assert f"Left out {name}: " in told.out
    assert f"same photo as {RINGS[2]}" in told.out


def test_too_few_are_refused_with_what_was_wrong(run):
    code, out, told = run(*RINGS[:3], "table.jpg")
    assert code == 3
    assert not out.exists()
    assert told.err.count("\n") == 1
    assert "Only 3 of the photos" in told.err
    assert "table.jpg: No target" in told.err


@pytest.mark.slow
def test_photos_of_two_phones_are_refused(run, folder):
    with Image.open(folder / RINGS[3]) as image:
        save(folder / "other.jpg", np.asarray(image), "A-13")
    code, _, told = run(*RINGS[:4], "other.jpg")
    assert code == 3
    assert "other.jpg has A-13" in told.err


@pytest.mark.slow
def test_a_dash_is_standard_output_and_the_table_is_left_out(run):
    code, _, told = run(*RINGS[:4], out="-")
    assert code == 0
    assert read_camera(told.out, "-").width_px == WIDTH
    assert told.err == ""


@pytest.mark.parametrize("bars", ["100.1,99.9", "60.06", "60,06"])
def test_bars_of_another_sheet_are_wrong_use(run, bars):
    code, out, told = run(*RINGS[:4], bars=bars)
    assert code == 2
    assert not out.exists()
    assert told.err


def test_what_is_missing_is_said_before_any_work(run, tmp_path, monkeypatch):
    monkeypatch.setattr("scribetarget.detect.find_target", lambda _: pytest.fail("worked"))
    code, _, told = run("ring-0.jpg", "nowhere.jpg")
    assert code == 2
    assert "nowhere.jpg" in told.err
    code, _, told = run("ring-0.jpg", out=tmp_path / "no" / "phone.json")
    assert code == 2
    assert "no folder" in told.err


def test_an_older_file_stays_when_nothing_comes_of_it(run, tmp_path):
    older = tmp_path / "phone.json"
    older.write_text("older")
    code, _, _ = run("table.jpg", "table.jpg", out=older)
    assert code == 3
    assert older.read_text() == "older"
