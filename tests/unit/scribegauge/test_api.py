"""What Python programs may call; measuring itself is tested with a photo in tests/system."""

import json
import subprocess
import sys
from dataclasses import FrozenInstanceError
from pathlib import Path

import pytest

import scribegauge
from scribegauge import api
from scribegauge.errors import PhotoError
from scribetarget.errors import BarsError, CameraError, CameraFileError, SheetError, SightingError

KEPT = Path(__file__).parents[3] / "fixtures" / "readings"
LAYOUT = "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [40, 0], [40, 26], [0, 26]]\n"


@pytest.fixture
def asked(monkeypatch, tmp_path):
    """Put a stand-in for the measuring, which notes what it was asked; the photos' names with it."""
    noted = []

    def measure(photos, request):
        noted.append((photos, request))
        return "reading"

    monkeypatch.setattr(api, "measure", measure)
    monkeypatch.setattr(api, "load_photo", Shown)
    monkeypatch.chdir(tmp_path)
    Path("bracket.toml").write_text(LAYOUT)
    return noted


class Shown:
    """A photo as far as `check` looks into it."""

    def __init__(self, path):
        self.name = self.sha256 = str(path)


def test_what_is_given_reaches_the_measuring(asked):
    told = {"thickness_mm": 0.8, "thickness_error_mm": 0.02, "caliper_error_mm": 0.03}
    assert scribegauge.check("a.jpg", "bracket.toml", trials=50_000, **told) == "reading"
    ((photos, request),) = asked
    assert [photo.name for photo in photos] == ["a.jpg"]
    assert request.layout.names == ("A", "B", "C", "D")
    assert {name: getattr(request, name) for name in told} == told
    assert (request.trials, request.bars_mm, request.camera, request.hints) == (
        50_000,
        (),
        None,
        (),
    )


@pytest.mark.parametrize(
    ("given", "pairs"),
    [
        ((100.1, 99.9), ((100.1, 99.9),)),
        ([100.1, 99.9], ((100.1, 99.9),)),
        ([(100.1, 99.9), (100, 99.8)], ((100.1, 99.9), (100.0, 99.8))),
        ((), ()),
    ],
)
def test_bars_are_one_pair_or_several(asked, given, pairs):
    scribegauge.check(["a.jpg", Path("b.jpg")], Path("bracket.toml"), bars_mm=given)
    assert asked[0][1].bars_mm == pairs
    assert len(asked[0][0]) == 2


def test_hints_are_read_for_the_layout_s_names(asked):
    Path("hints.toml").write_text("hints = 1\n[photo2.sides]\nA-B = [[8, 9], [90, 91]]\n")
    scribegauge.check(["a.jpg", "b.jpg"], "bracket.toml", hints="hints.toml")
    first, second = asked[0][1].hints
    assert not first.sides
    assert list(second.sides) == [0]


@pytest.mark.parametrize(
    ("code", "told"),
    [
        ("number_absurd", {"thickness_mm": 80}),
        ("number_absurd", {"thickness_mm": float("nan")}),
        ("number_absurd", {"thickness_mm": "0.8"}),
        ("number_absurd", {"thickness_mm": True}),
        ("number_absurd", {"thickness_error_mm": 0.0}),
        ("number_absurd", {"caliper_error_mm": 2.0}),
        ("number_absurd", {"trials": 100}),
        ("bars_absurd", {"bars_mm": [100.1, 99.9, 100.2]}),
        ("bars_absurd", {"bars_mm": "100.1,99.9"}),
        ("bars_twice", {"bars_mm": (100.1, 99.9), "sheet": "M-1"}),
        ("camera_missing", {"camera": "phone.json"}),
        ("hints_missing", {"hints": "hints.toml"}),
    ],
)
def test_a_wrong_call_is_told_with_its_cure(asked, code, told):
    with pytest.raises(scribegauge.UseError) as caught:
        scribegauge.check("a.jpg", "bracket.toml", **told)
    assert caught.value.code == code
    assert caught.value.cure
    assert asked == []


@pytest.mark.usefixtures("asked")
def test_photos_are_counted():
    with pytest.raises(scribegauge.UseError, match="No photo"):
        scribegauge.check([], "bracket.toml")
    with pytest.raises(scribegauge.UseError, match="the same photo"):
        scribegauge.check(["a.jpg", "a.jpg"], "bracket.toml")


@pytest.mark.usefixtures("asked")
@pytest.mark.parametrize(
    ("error", "family"),
    [
        (SightingError, scribegauge.PhotoError),
        (CameraError, scribegauge.PhotoError),
        (PhotoError, scribegauge.PhotoError),
        (BarsError, scribegauge.UseError),
        (SheetError, scribegauge.UseError),
        (CameraFileError, scribegauge.UseError),
    ],
)
def test_every_error_is_of_one_family(monkeypatch, error, family):
    def measure(*_):
        raise error("a_code", "It is so.", "Do this.")

    monkeypatch.setattr(api, "measure", measure)
    with pytest.raises(family) as caught:
        scribegauge.check("a.jpg", "bracket.toml")
    assert (caught.value.code, caught.value.text, caught.value.cure) == (
        *("a_code", "It is so."),
        "Do this.",
    )


@pytest.mark.parametrize("path", sorted(KEPT.glob("*.json")), ids=lambda path: path.stem)
def test_a_reading_comes_back_as_it_was_written(path, tmp_path):
    reading = scribegauge.read(path)
    document = json.loads(path.read_text())
    assert isinstance(reading, scribegauge.Reading)
    assert reading.status == document["status"]
    for side, row in zip(reading.sides, document["sides"], strict=True):
        assert (side.start, side.end, side.measured_mm) == (
            *(row["from"], row["to"]),
            row["measured_mm"],
        )
    scribegauge.write(reading, tmp_path / "again.json")
    assert scribegauge.read(str(tmp_path / "again.json")) == reading
    with pytest.raises(FrozenInstanceError):
        reading.status = "measured"


def test_all_that_was_added_to_readings_comes_back_typed():
    reading = scribegauge.read(KEPT / "pentagon.json")
    assert reading.construction.steps[1].named is True
    assert reading.grade.possible == ("D",)
    assert reading.trials.count == 20_000
    assert reading.sides[0].trials.agrees is True
    assert reading.arcs[0].radius_mm == pytest.approx(41.162, abs=1e-3)
    assert reading.meetings[0].marks
    assert reading.covariance.matrix_mm_deg[0][0] > 0


def test_what_a_later_program_added_is_left_out(tmp_path):
    document = json.loads((KEPT / "pentagon.json").read_text())
    before = scribegauge.read(KEPT / "pentagon.json")
    document["weather"] = {"damp": True}
    document["sides"][0]["colour"] = "bright"
    document["construction"]["steps"][0]["seconds"] = 12
    (tmp_path / "later.json").write_text("\ufeff" + json.dumps(document), encoding="utf-8")
    assert scribegauge.read(tmp_path / "later.json") == before


@pytest.mark.parametrize(
    ("code", "data"),
    [
        ("reading_file", b""),
        ("reading_file", b"\xff\xd8\xff\xe0 a photo"),
        ("reading_file", b'layout = 1\ntitle = "x"'),
        ("reading_file", b'{"camera": 1}'),
        ("reading_file", b"[1, 2]"),
        ("reading_file", b'{"reading": 1, "status": "measured"}'),
        ("reading_version", b'{"reading": 2}'),
    ],
)
def test_another_file_is_refused_by_name_with_a_cure(tmp_path, code, data):
    path = tmp_path / "other.json"
    path.write_bytes(data)
    with pytest.raises(scribegauge.UseError) as caught:
        scribegauge.read(path)
    assert caught.value.code == code
    assert caught.value.text.startswith("other.json: ")
    assert caught.value.cure


def test_no_such_file(tmp_path):
    for place in (tmp_path / "none.json", tmp_path, "a\0b"):
        with pytest.raises(scribegauge.UseError) as caught:
            scribegauge.read(place)
        assert caught.value.code == "reading_missing"


@pytest.mark.parametrize("number", ["1e999", "-1e999", "NaN", "Infinity"])
def test_no_number_is_infinite(tmp_path, number):
    text = (KEPT / "heptagon.json").read_text()
    document = json.loads(text)
    document["sides"][0]["measured_mm"] = 12345.5
    path = tmp_path / "endless.json"
    path.write_text(json.dumps(document).replace("12345.5", number))
    with pytest.raises(scribegauge.UseError) as caught:
        scribegauge.read(path)
    assert caught.value.code == "reading_file"


def test_importing_it_loads_nothing_heavy():
    code = "import scribegauge, sys; dir(scribegauge); print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = {name.partition(".")[0] for name in done.stdout.split()}
    assert "scribegauge" in loaded
    assert loaded & {"click", "cv2", "jinja2", "msgspec", "numpy", "PIL", "scipy"} == set()


def test_every_public_name_is_there_and_no_other():
    for name in scribegauge.__all__:
        assert getattr(scribegauge, name) is not None
        assert name in dir(scribegauge)
    with pytest.raises(AttributeError, match="no attribute 'measure'"):
        _ = scribegauge.measure


@pytest.mark.parametrize("name", ["check", "read", "write"])
def test_docstrings_tell_shapes_units_and_errors(name):
    told = getattr(scribegauge, name).__doc__
    assert "Parameters\n" in told
    assert "Raises\n" in told
