"""`scribegauge camera`, from photos on disk to a camera file, and its refusals."""

import json
import shutil

import numpy as np
import pytest
from PIL import Image

from scribegauge.cli.main import main
from scribetarget.camerafile import read_camera

BARS = "60.06,59.94"
RINGS = [f"ring-{number}.jpg" for number in range(6)]


@pytest.fixture
def folder(rings):
    return rings.folder


@pytest.fixture
def run(folder, tmp_path, capfd):
    def call(*names, bars=BARS, out=None, more=()):
        paths = [str(folder / name) for name in names]
        out = tmp_path / "phone.json" if out is None else out
        given = ["--bars", bars] if bars else []
        code = main(["camera", *paths, *given, "--out", str(out), *map(str, more)])
        return code, out, capfd.readouterr()

    return call


@pytest.mark.slow
def test_photos_become_a_camera_file(run, rings):
    code, out, told = run(*RINGS)
    assert code == 0
    camera = read_camera(out.read_text(), "phone.json")
    away = camera.values - rings.lens
    assert away @ np.linalg.solve(camera.covariance, away) < 28  # chi-square of 9, one in 1000
    assert abs(away[0]) < 3
    assert (camera.width_px, camera.height_px, camera.name) == (*rings.size_px, "A-12")
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
def test_photos_of_two_phones_are_refused(run, folder, rings):
    with Image.open(folder / RINGS[3]) as image:
        rings.save(folder / "other.jpg", np.asarray(image), "A-13")
    code, _, told = run(*RINGS[:4], "other.jpg")
    assert code == 3
    assert "other.jpg has A-13" in told.err


@pytest.mark.slow
def test_a_dash_is_standard_output_and_the_table_is_left_out(run):
    code, _, told = run(*RINGS[:4], out="-")
    assert code == 0
    assert read_camera(told.out, "-").focal_35mm == 30
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
