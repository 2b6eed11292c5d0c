"""`scribegauge check` from photo to files, on a plate whose truth is known."""

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

GIVEN = ("--thickness", "0.8", "--bars", "60.06,59.88")
NUMBERS = {
    "sides": ["intended_mm", "measured_mm", "deviation_mm", "U_mm"],
    "angles": ["intended_deg", "measured_deg", "deviation_deg", "U_deg"],
}


@pytest.fixture(scope="module")
def measured(shot, layout_text, run, tmp_path_factory):
    """Check the plate once with every output; how it ended, the reading, the folder."""
    folder = tmp_path_factory.mktemp("measured")
    (folder / "plate.jpg").write_bytes(shot.photo)
    (folder / "layout.toml").write_text(layout_text())
    outputs = ("--json", folder / "r.json", "--overlay", folder / "o.png")
    outputs += ("--report", folder / "p.html")
    ended = run("check", folder / "plate.jpg", "--layout", folder / "layout.toml", *GIVEN, *outputs)
    return ended, json.loads((folder / "r.json").read_text()), folder


def values(reading: dict, group: str, key: str) -> np.ndarray:
    return np.array([row[key] for row in reading[group]], dtype=float)


def test_the_truth_lies_within_u(measured, shot) -> None:
    ended, reading, _ = measured
    assert (ended.status, ended.err) == (0, "")
    assert reading["status"] == "measured"
    off_mm = values(reading, "sides", "measured_mm") - shot.truth.sides_mm
    off_deg = values(reading, "angles", "measured_deg") - shot.truth.angles_deg
    assert np.all(np.abs(off_mm) <= values(reading, "sides", "U_mm")), off_mm
    assert np.all(np.abs(off_deg) <= values(reading, "angles", "U_deg")), off_deg


def test_u_is_small_enough_to_be_of_use(measured) -> None:
    _, reading, _ = measured
    assert values(reading, "sides", "U_mm").max() < 0.15
    assert values(reading, "angles", "U_deg").max() < 0.5


def test_corners_lie_where_they_were_scribed(measured, shot) -> None:
    _, reading, _ = measured
    places = np.array([vertex["photo_px"] for vertex in reading["vertices"]])
    np.testing.assert_allclose(places, shot.truth.corners_px, atol=1.0, err_msg="px")


def test_the_json_is_as_agreed(measured) -> None:
    _, reading, _ = measured
    agreed = ["reading", "status", "reasons", "vertices", "sides", "angles", "pricks"]
    assert list(reading)[:7] == agreed
    assert reading["reading"] == 1
    assert [v["name"] for v in reading["vertices"]] == ["A", "B", "C", "D"]
    assert [(s["from"], s["to"]) for s in reading["sides"]] == [
        *map(tuple, ("AB", "BC", "CD", "DA"))
    ]
    assert [a["at"] for a in reading["angles"]] == ["A", "B", "C", "D"]
    for group, (intended, found, deviation, expanded) in NUMBERS.items():
        for row in reading[group]:
            assert row[deviation] == pytest.approx(row[found] - row[intended], abs=2e-5)
            assert row[expanded] > 0
            assert (row["verdict"], row["reasons"]) == ("within", [])


def test_the_table_says_the_same(measured) -> None:
    ended, reading, _ = measured
    text = ended.out.decode()
    assert text.startswith("Clock foot\nAll 4 sides within 0.4 mm. All 4 angles within 1.5°.\n")
    for side in reading["sides"]:
        row = next(r for r in text.splitlines() if r.startswith(f"{side['from']}–{side['to']} "))
        assert float(row.split()[2]) == pytest.approx(side["measured_mm"], abs=0.005)
        assert row.endswith("within")


def test_the_overlay_is_a_picture(measured) -> None:
    with Image.open(measured[2] / "o.png") as picture:
        picture.load()
        assert picture.format == "PNG"
        assert picture.width == 1600


def test_the_report_is_a_page_with_every_side(measured) -> None:
    _, reading, folder = measured
    page = (folder / "p.html").read_text(encoding="utf-8")
    assert page.lower().startswith("<!doctype html>")
    for side in reading["sides"]:
        assert f"{side['from']}–{side['to']}" in page


@pytest.mark.usefixtures("folder")
def test_a_side_that_is_outside_ends_with_1_and_json_alone_on_standard_output(
    run, layout_text
) -> None:
    # B intended 1 mm nearer to A than it was scribed: its two sides and angles are off.
    moved = layout_text(((0, 0), (31, 0), (24, 20), (0, 20)))
    Path("moved.toml").write_text(moved)
    ended = run("check", "plate.jpg", "--layout", "moved.toml", *GIVEN, "--json", "-")
    assert (ended.status, ended.err) == (1, "")
    reading = json.loads(ended.out)
    assert reading["sides"][0]["verdict"] == "outside"
    assert reading["sides"][0]["deviation_mm"] == pytest.approx(1.0, abs=0.2)
    assert reading["sides"][3]["verdict"] == "within"


@pytest.mark.usefixtures("folder")
def test_two_photos_give_one_reading(run, measured, shot) -> None:
    photos = ("plate.jpg", "other.jpg")
    ended = run("check", *photos, "--layout", "layout.toml", *GIVEN, "--json", "-")
    reading = json.loads(ended.out)
    assert (ended.status, reading["status"]) == (0, "measured")
    assert [photo["name"] for photo in reading["photos"]] == list(photos)
    both_mm, first_mm = (values(r, "sides", "measured_mm") for r in (reading, measured[1]))
    assert np.all(both_mm != first_mm)  # the second photo took part in every side
    off_mm = both_mm - shot.truth.sides_mm
    assert np.all(np.abs(off_mm) <= values(reading, "sides", "U_mm")), off_mm


@pytest.mark.usefixtures("folder")
def test_a_photo_from_standard_input_without_anything_else_known(shot, layout_text) -> None:
    Path("plain.toml").write_text(layout_text(tolerance=""))
    command = [sys.executable, "-m", "scribegauge", "check", "-", "--layout", "plain.toml"]
    ended = subprocess.run(
        [*command, "--json", "-"],
        input=shot.photo,
        capture_output=True,
        check=False,
        env=os.environ,
    )
    assert (ended.returncode, ended.stderr) == (0, b"")
    reading = json.loads(ended.stdout)
    assert reading["status"] == "warned"
    codes = [reason["code"] for reason in reading["reasons"]]
    assert codes == ["bars_not_measured", "thickness_not_given"]
    assert reading["sides"][0]["verdict"] is None
    assert reading["photos"][0]["name"] == "-"


@pytest.mark.usefixtures("folder")
def test_another_figure_is_refused(run, layout_text) -> None:
    Path("other.toml").write_text(layout_text(((0, 0), (40, 0), (20, 12))))
    ended = run("check", "plate.jpg", "--layout", "other.toml", *GIVEN, "--json", "r.json")
    assert ended.status == 3
    assert "Check that this layout belongs to this plate" in ended.err
    reading = json.loads(Path("r.json").read_text())
    assert (reading["status"], reading["reasons"][0]["code"]) == ("refused", "figure_not_found")


@pytest.mark.slow
@pytest.mark.usefixtures("folder")
def test_the_demo_leaves_its_files_and_says_what_to_look_at(run) -> None:
    ended = run("demo")
    assert (ended.status, ended.err) == (0, "")
    text = ended.out.decode()
    folder = Path("scribegauge-demo")
    left = {path.name for path in folder.iterdir()}
    assert left == {
        "demo-layout.toml",
        "demo-plate.jpg",
        "overlay.png",
        "reading.json",
        "table.txt",
    }
    for name in ("overlay.png", "reading.json", "table.txt"):
        assert f"{folder}/{name}" in text
    assert (folder / "table.txt").read_text() in text
    reading = json.loads((folder / "reading.json").read_text())
    outside = [side["from"] for side in reading["sides"] if side["verdict"] == "outside"]
    assert outside == ["E"]
    assert Image.open(io.BytesIO((folder / "overlay.png").read_bytes())).width == 1600
    assert max(map(len, text.splitlines())) <= 80
