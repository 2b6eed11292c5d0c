"""Whatever is wrong with what is given: one sentence with the cure, and nothing half written."""

import io
import json
import struct
import zlib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image, ImageFilter

from scribetarget.camerafile import CameraFacts, camera_text
from scribetarget.priors import camera_from_exif

FIXTURES = Path(__file__).parents[2] / "fixtures" / "photos"
OLD = b"of an earlier reading"
PNG = b"\x89PNG"
pytestmark = pytest.mark.usefixtures("folder")
RIGHT = ("--layout", "layout.toml", "--thickness", "0.8", "--bars", "60.06,59.88")

# What stands in the layout file, and words of the sentence.
LAYOUTS = {
    "layout = 1\n[polygon\n": "line 2",
    "": "Begin the file with: layout = 1",
    "layout = 2\n": "newer program",
    "layout = 1\n": "[polygon] is missing",
    "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [30, 20]]\n": "has 2 points; a figure has 3",
    "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [30, 20], [30, 0], [0, 20]]\n": "A-B and C-D",
    "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [nan, 20], [30, 0]]\n": "point 2",
    "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [30, 20], [30, 0], [30, 0]]\n": "same place",
    "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [9, 0], [20, 0], [9, 9]]\n": "no corner at B",
    "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [4000, 0], [0, 4000]]\n": "largest target",
    "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [0.4, 0], [0, 0.3]]\n": "Give millimetres",
    "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [1e300, 0], [0, 9]]\n": "point 2",
    "layout = 1\ntolerance = { side_mm = -1 }\n[polygon]\nvertices_mm = [[0, 0], [9, 0], [0, 9]]\n": (
        "above 0"
    ),
    "layout = 1\ntolerence = {}\n[polygon]\nvertices_mm = [[0, 0], [9, 0], [0, 9]]\n": (
        "Did you mean tolerance?"
    ),
}

ALL = ("--json", "r.json", "--overlay", "o.png", "--report", "p.html")

# Arguments of `check`, and words of the sentence.
WRONG_USE = [
    ((), "Missing argument 'PHOTO...'"),
    (("plate.jpg",), "Give its layout file with --layout"),
    (("", *RIGHT), "the file's name is empty"),
    (("plate.jpg", "--layout", ""), "the file's name is empty"),
    (("plate.jpg", *RIGHT, "--json", ""), "the file's name is empty"),
    (("plate.jpg", "--layout", "nowhere.toml"), "no layout file nowhere.toml"),
    (("plate.jpg", "--layout", "."), "Check that it is a file"),
    (("plate.jpg", "--layout", "plate.jpg"), "Give the layout file with --layout"),
    (("nowhere.jpg", *RIGHT), "no file nowhere.jpg"),
    (("plate.jpg/plate.jpg", *RIGHT), "no file plate.jpg/plate.jpg"),
    ((".", *RIGHT), "is a folder"),
    (("circle.jpg", *RIGHT), "cannot be opened"),
    (("plate.jpg", "--layout", "layout.toml", "--thickness", "80"), "from 0.05 to 10 mm"),
    (("plate.jpg", "--layout", "layout.toml", "--thickness", "-1"), "no unit"),
    (("plate.jpg", "--layout", "layout.toml", "--thickness", "0,8"), "e.g. 0.8"),
    (("plate.jpg", "--layout", "layout.toml", "--bars", "10,10"), "cannot be 10 mm long"),
    (("plate.jpg", "--layout", "layout.toml", "--bars", "1000,1000"), "cannot be 1000 mm long"),
    (("plate.jpg", "--layout", "layout.toml", "--bars", "60.1"), "both bars"),
    (("plate.jpg", "--layout", "layout.toml", "--bars", "nan,nan"), "both bars"),
    (("plate.jpg", "--layout", "layout.toml", "--bars", "100.1,99.9"), "a size S sheet"),
    (("plate.jpg", *RIGHT, "--bars", "62.9,59.9"), "a size S sheet"),
    (("plate.jpg", "--layout", "large.toml"), "larger than the 60 mm window"),
    (("plate.jpg", *RIGHT, "--camera", "nowhere.json"), "leave --camera out"),
    (("plate.jpg", *RIGHT, "--camera", "layout.toml"), "it is not JSON"),
    (("plate.jpg", *RIGHT, "--camera", "newer.json"), "version 2"),
    (("plate.jpg", *RIGHT, "--camera", "wide.json"), "other proportions"),
    (("plate.jpg", *RIGHT, "--camera", "other.json"), "Calibrate the camera that took this photo"),
    (("plate.jpg", "plate.jpg", *RIGHT), "the same photo"),
    (("plate.jpg", "copy.jpg", *RIGHT), "the same photo"),
    (("-", "-", *RIGHT), "standard input holds only one"),
    (("plate.jpg", *RIGHT, "--json", "nowhere/r.json"), "no folder 'nowhere'"),
    (("plate.jpg", *RIGHT, "--json", "."), "because it is a folder"),
    (("plate.jpg", *RIGHT, "--overlay", "plate.jpg"), "would be overwritten"),
    (("plate.jpg", *RIGHT, "--overlay", "linked.jpg"), "would be overwritten"),
    (("plate.jpg", *RIGHT, "--json", "layout.toml"), "would be overwritten"),
    (("plate.jpg", *RIGHT, "--json", "both", "--report", "both"), "its own file"),
    (("plate.jpg", *RIGHT, "--json", "-", "--overlay", "-"), "its own file"),
    (("plate.jpg", *RIGHT, "--colour"), "No such option '--colour'"),
]

# Photos, the code of the refusal, and words of its cure.
REFUSED = {
    "empty.jpg": ("photo_empty", "Copy the photo"),
    "text.jpg": ("photo_unreadable", "Give the photo as JPEG"),
    "half.jpg": ("photo_truncated", "Copy the photo"),
    "zeros.jpg": ("photo_truncated", "Copy the photo"),
    "dot.png": ("photo_too_small", "as the camera saved it"),
    "huge.png": ("photo_too_large", "once more"),
    "large.png": ("photo_too_large", "normal mode"),
    "white.png": ("no_target", "window of the printed sheet"),
    "mirrored.jpg": ("mirrored", "turn off mirroring"),
    "quarter.jpg": ("target_cut_off", "all four sides of the ring"),
    "far.jpg": ("target_too_small", "Go closer"),
}


def png_head(width_px: int, height_px: int) -> bytes:
    """Announce a large picture in a small file."""
    head = b"IHDR" + struct.pack(">IIBBBBB", width_px, height_px, 8, 2, 0, 0, 0)
    body = b"IDAT" + zlib.compress(bytes(9))
    chunks = (
        struct.pack(">I", len(c) - 4) + c + struct.pack(">I", zlib.crc32(c)) for c in (head, body)
    )
    return PNG + b"\r\n\x1a\n" + b"".join(chunks)


def cut(photo: bytes, box: tuple[int, int, int, int]) -> Image.Image:
    return Image.open(io.BytesIO(photo)).crop(box)


def profile(width_px: int, height_px: int, name: str) -> str:
    camera = replace(camera_from_exif(width_px, height_px, 28.0, name), source="profile")
    return camera_text(camera, CameraFacts("2026-03-17", 0.1, (), ()))


@pytest.fixture
def bad_photos(folder: Path, shot) -> Path:
    photo = shot.photo
    Path("empty.jpg").write_bytes(b"")
    Path("text.jpg").write_text("Side A-B measured with the rule: 31.5 mm\n")
    Path("half.jpg").write_bytes(photo[: len(photo) // 2])
    Path("zeros.jpg").write_bytes(photo[:-9000] + bytes(9000))
    Image.new("RGB", (1, 1)).save("dot.png")
    Path("huge.png").write_bytes(png_head(40_000, 40_000))
    Path("large.png").write_bytes(png_head(10_000, 9_000))
    Image.new("RGB", (640, 480), "white").save("white.png")
    whole = Image.open(io.BytesIO(photo))
    whole.transpose(Image.Transpose.FLIP_LEFT_RIGHT).save("mirrored.jpg")
    cut(photo, (0, 0, 560, 750)).save("quarter.jpg")
    far = Image.new("RGB", whole.size, "white")
    far.paste(whole.resize((400, 300)), (300, 200))
    far.save("far.jpg", quality=95)
    return folder


@pytest.fixture
def earlier(folder: Path) -> Callable[[], list[bytes]]:
    """Leave the files of an earlier reading; return how to see what has become of them."""
    kept = [folder / "r.json", folder / "o.png", folder / "p.html"]
    for path in kept:
        path.write_bytes(OLD)
    return lambda: [path.read_bytes() for path in kept]


def assert_one_sentence(err: str, words: str) -> None:
    assert err.startswith("scribegauge: ")
    assert err.count("\n") == 1
    assert err.endswith((".\n", "?\n"))
    assert words in err


@pytest.mark.usefixtures("earlier")
@pytest.mark.parametrize(("args", "words"), WRONG_USE)
def test_wrong_use_is_told_and_touches_nothing(run, folder, shot, args, words) -> None:
    Path("circle.jpg").symlink_to("circle.jpg")
    Path("linked.jpg").symlink_to("plate.jpg")
    Path("copy.jpg").write_bytes(shot.photo)
    Path("newer.json").write_text('{"camera": 2}')
    Path("wide.json").write_text(profile(1600, 900, "Bench Model 1"))
    Path("other.json").write_text(profile(1200, 900, "Bench Model 2"))
    large = "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [90, 0], [90, 50], [0, 50]]\n"
    Path("large.toml").write_text(large)
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    outputs = () if set(ALL) & set(args) else ALL
    ended = run("check", *args, *outputs)
    assert ended.status == 2
    assert_one_sentence(ended.err, words)
    assert ended.out == b""
    assert {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()} == before


@pytest.mark.parametrize(("text", "words"), LAYOUTS.items())
def test_a_bad_layout_is_told_before_the_photo_is_looked_at(run, text, words) -> None:
    Path("bad.toml").write_text(text)
    ended = run("check", "plate.jpg", "--layout", "bad.toml", "--json", "r.json")
    assert ended.status == 2
    assert_one_sentence(ended.err, words)
    assert "bad.toml" in ended.err
    assert not Path("r.json").exists()


@pytest.mark.usefixtures("bad_photos")
@pytest.mark.parametrize("name", REFUSED)
def test_a_photo_that_cannot_be_judged_is_refused_in_every_file(run, earlier, name) -> None:
    code, cure = REFUSED[name]
    ended = run("check", name, *RIGHT, *ALL)
    assert ended.status == 3
    assert_one_sentence(ended.err, cure)
    assert ended.out == b""
    written, drawn, page = earlier()
    reading = json.loads(written)
    assert reading["reading"] == 1
    assert reading["status"] == "refused"
    assert [reason["code"] for reason in reading["reasons"]] == [code]
    assert ended.err == f"scribegauge: {reading['reasons'][0]['text']}\n"
    assert reading["sides"] == reading["angles"] == reading["vertices"] == reading["pricks"] == []
    assert Image.open(io.BytesIO(drawn)).width == 1600
    assert b"Clock foot" in page


@pytest.mark.parametrize("name", ["building.jpg", "stuff.jpg", "surface_scratch__4001.jpg"])
def test_photos_of_other_things_are_refused(run, name) -> None:
    ended = run("check", FIXTURES / "no-target" / name, *RIGHT)
    assert ended.status == 3
    assert ended.err.count("\n") == 1


def test_a_sheet_without_a_plate_is_refused(run, folder) -> None:
    bare = FIXTURES / "computed-target" / "cam3-10.jpg"
    ended = run("check", bare, "--layout", "layout.toml", "--json", "r.json")
    assert ended.status == 3
    assert_one_sentence(ended.err, "Lay the plate inside the window")
    assert '"no_plate"' in (folder / "r.json").read_text()


@pytest.mark.usefixtures("bad_photos")
def test_of_several_photos_the_bad_one_is_named(run, earlier) -> None:
    ended = run("check", "white.png", "plate.jpg", *RIGHT, *ALL)
    assert ended.status == 3
    assert_one_sentence(ended.err, "white.png: No target sheet")
    assert [photo["name"] for photo in json.loads(earlier()[0])["photos"]] == [
        "white.png",
        "plate.jpg",
    ]


@pytest.mark.usefixtures("bad_photos")
def test_a_full_disk_leaves_all_files_as_they_were(run, earlier) -> None:
    ended = run("check", "white.png", *RIGHT, *ALL, "--json", "/dev/full")
    assert ended.status == 2
    assert_one_sentence(ended.err, "No space left")
    assert earlier() == [OLD, OLD, OLD]


def test_a_photo_out_of_focus_is_refused(run, folder) -> None:
    sharp = Image.open("plate.jpg")
    record = sharp.info["exif"]
    # 1.8 px at some 11 px/mm: every line is smeared over 0.4 mm, the target can still be read.
    sharp.filter(ImageFilter.GaussianBlur(1.8)).save(folder / "soft.jpg", quality=92, exif=record)
    ended = run("check", "soft.jpg", *RIGHT, "--json", "r.json")
    assert ended.status == 3
    assert_one_sentence(ended.err, "Tap on the plate to focus")
    assert '"blurred"' in (folder / "r.json").read_text()
