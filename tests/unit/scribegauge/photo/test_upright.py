"""The orientation is followed once, whatever the format."""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from scribegauge.photo.load import load_photo, photo_from_bytes

PHOTOS = Path(__file__).parents[4] / "fixtures" / "photos"

#: Stored picture for each tag from the upright one, straight from the standard's words (EXIF
#: 2.32, tag 112: where row 0 and column 0 of the stored picture lie), in numpy, not in Pillow.
STORED = {
    1: lambda upright: upright,
    2: lambda upright: upright[:, ::-1],
    3: lambda upright: upright[::-1, ::-1],
    4: lambda upright: upright[::-1],
    5: lambda upright: upright.transpose(1, 0, 2),
    6: lambda upright: upright.transpose(1, 0, 2)[::-1],
    7: lambda upright: upright[::-1, ::-1].transpose(1, 0, 2),
    8: lambda upright: upright.transpose(1, 0, 2)[:, ::-1],
}


def scene():
    picture = np.zeros((320, 480, 3), np.uint8)
    picture[:160, :240] = (250, 20, 20)
    picture[:160, 240:] = (20, 250, 20)
    picture[160:, :240] = (20, 20, 250)
    return picture


@pytest.mark.parametrize("tag", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP", "AVIF"])
def test_every_tag_in_every_format(tag, kind):
    stored = np.ascontiguousarray(STORED[tag](scene()))
    exif = Image.Exif()
    exif[0x0112] = tag
    stream = io.BytesIO()
    Image.fromarray(stored).save(stream, kind, exif=exif)
    photo = photo_from_bytes(stream.getvalue(), "a")
    assert photo.rgb.shape == (320, 480, 3)
    assert np.abs(photo.rgb.astype(int) - scene()).mean() < 4


@pytest.mark.parametrize("set_name", ["Landscape", "Portrait"])
def test_photographs_of_one_scene_come_out_alike(set_name):
    photos = [load_photo(p) for p in sorted((PHOTOS / "exif-orientation").glob(f"{set_name}_*"))]
    assert len(photos) == {"Landscape": 9, "Portrait": 5}[set_name]
    shape = {"Landscape": (300, 450), "Portrait": (450, 300)}[set_name]
    first = photos[0].grey.astype(int)
    for photo in photos:
        assert photo.grey.shape == shape
        # Each has its own number printed in it and was made smaller by itself; a wrong turn
        # differs by 30 levels and more.
        assert np.abs(photo.grey - first).mean() < 6, photo.name
        assert np.abs(photo.grey[::-1] - first).mean() > 30


def test_heic_arrow_points_up():
    """The outline of an arrow: a tip at the top, a straight base at the bottom."""
    photo = load_photo(PHOTOS / "heic" / "arrow.heic")
    assert photo.grey.shape == (4032, 3024)
    ink = np.asarray(Image.fromarray(photo.grey).resize((189, 252))) < 90
    rows = np.flatnonzero(ink.any(axis=1))
    extent = np.array([np.ptp(np.flatnonzero(ink[row])) for row in rows])
    assert extent[:5].max() < 0.1 * extent.max()
    assert extent[-5:].max() > 0.3 * extent.max()
