"""Photos that people took: none shows the target, each is refused, and none tells where it was taken."""

import base64
import io
import json
import re
from pathlib import Path

import pytest
from PIL import ExifTags, Image

PHOTOS = Path(__file__).parents[2] / "fixtures" / "photos"
RIGHT = ("--layout", "layout.toml", "--thickness", "0.8", "--bars", "60.06,59.88")
OUTPUTS = ("--json", "r.json", "--overlay", "o.png", "--report", "p.html")
pytestmark = pytest.mark.usefixtures("folder")

CODES = {
    "no-target/ball_screw.jpg": "no_target",
    "no-target/building.jpg": "no_target",
    "no-target/clock_motion.jpg": "no_target",
    "no-target/qrcode_dark.jpg": "no_target",
    "no-target/steel_rule.jpg": "no_target",
    "no-target/stuff.jpg": "no_target",
    "no-target/surface_scratch__4001.jpg": "photo_too_small",
    "foreign-markers/aruco_ring.jpg": "foreign_sheet",
    "foreign-markers/img_02.jpg": "foreign_sheet",
    "exif-orientation/Portrait_8.jpg": "no_target",
    "robustness/pillow/truncated_jpeg.jpg": "photo_truncated",
    "robustness/pillow/invalid-exif.jpg": "photo_too_small",
    "heic/truncated.heic": "photo_truncated",
    "heic/corrupted.heic": "photo_unreadable",
}
# Degrees, minutes, seconds, as a phone writes them, north and east: in the sea.
LATITUDE, LONGITUDE = (48.0, 21.0, 37.25), (9.0, 43.0, 51.75)
TOLD = re.compile(r"gps|latitude|longitude|48\.3603|9\.7310|37\.25|51\.75|place of the class", re.I)
XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><p exif:GPSLatitude="48,21.6208N"/></x:xmpmeta>'


@pytest.mark.parametrize("name", CODES)
def test_real_photos_without_the_target_are_refused(run, name) -> None:
    ended = run("check", PHOTOS / name, *RIGHT, *OUTPUTS)
    assert ended.status == 3
    assert ended.err.startswith("scribegauge: ")
    assert ended.err.count("\n") == 1
    reading = json.loads(Path("r.json").read_text())
    assert [reason["code"] for reason in reading["reasons"]] == [CODES[name]]
    assert Path("o.png").stat().st_size > 0
    assert Path("p.html").stat().st_size > 0


def with_place(photo: bytes) -> bytes:
    """Write down where a photo was taken, in its EXIF, its XMP, its comment and its thumbnail."""
    image = Image.open(io.BytesIO(photo))
    exif = image.getexif()
    exif[ExifTags.Base.ImageDescription] = "The place of the class"
    gps = exif.get_ifd(ExifTags.IFD.GPSInfo)
    gps |= {1: "N", 2: LATITUDE, 3: "E", 4: LONGITUDE}
    # Pillow has no other way to add one.
    exif._ifds[ExifTags.IFD.GPSInfo] = gps
    stream = io.BytesIO()
    image.save(
        stream, "JPEG", quality="keep", exif=exif, xmp=XMP, comment=b"place of the class 48.3603"
    )
    return stream.getvalue()


def pictures_in(page: str) -> list[bytes]:
    return [
        base64.b64decode(data) for data in re.findall(r"data:image/\w+;base64,([\w+/=]+)", page)
    ]


def assert_no_place_in(picture: bytes) -> None:
    image = Image.open(io.BytesIO(picture))
    image.load()
    assert not image.getexif()
    assert not TOLD.search(" ".join(f"{k} {v!r}" for k, v in image.info.items()))
    assert b"GPS" not in picture[:4096]
    assert b"place of" not in picture


@pytest.mark.parametrize("status", [0, 3])
def test_no_output_tells_where_the_photo_was_taken(run, shot, status) -> None:
    other = (PHOTOS / "no-target" / "building.jpg").read_bytes()
    tagged = with_place(other if status else shot.photo)
    place = Image.open(io.BytesIO(tagged)).getexif().get_ifd(ExifTags.IFD.GPSInfo)
    assert float(place[2][2]) == LATITUDE[2]  # it is really there
    Path("tagged.jpg").write_bytes(tagged)
    ended = run("check", "tagged.jpg", *RIGHT, *OUTPUTS)
    assert ended.status == status
    page = Path("p.html").read_text()
    texts = [
        ended.out.decode(),
        ended.err,
        Path("r.json").read_text(),
        re.sub(r"base64,[\w+/=]+", "", page),
    ]
    for text in texts:
        assert not TOLD.search(text)
    shown = pictures_in(page)
    assert shown or status
    for picture in (Path("o.png").read_bytes(), *shown):
        assert_no_place_in(picture)
