"""One picture in several formats shows the target's corners in the same places."""

import io
from pathlib import Path

import cv2
import numpy as np
import pi_heif
import pytest
from PIL import Image

from scribegauge.photo.load import photo_from_bytes
from scribetarget.detect import find_ring_part

PHOTOS = Path(__file__).parents[4] / "fixtures" / "photos"


@pytest.fixture(scope="module")
def picture():
    with Image.open(PHOTOS / "computed-target" / "cam3-10.jpg") as image:
        return image.convert("RGB").reduce(3)


@pytest.fixture(scope="module")
def corners_px(picture):
    return find_ring_part(np.asarray(picture.convert("L"))).corners_px


def pillow(picture, kind, **options):
    stream = io.BytesIO()
    picture.save(stream, kind, **options)
    return stream.getvalue()


def sixteen_bits(picture, suffix):
    """Pillow cannot write 16-bit colours."""
    levels = np.asarray(picture)[..., ::-1].astype(np.uint16) * 257
    return cv2.imencode(suffix, levels)[1].tobytes()


def display_p3():
    return pi_heif.open_heif(PHOTOS / "heic" / "arrow.heic").info["icc_profile"]


FORMATS = {
    "PNG, 16 bits": (lambda picture: sixteen_bits(picture, ".png"), 1e-9),
    "TIFF, 16 bits": (lambda picture: sixteen_bits(picture, ".tiff"), 1e-9),
    # A wide gamut changes tones; the corners of grey squares stay within a hundredth of a pixel.
    "JPEG, Display P3": (
        lambda picture: pillow(picture, "JPEG", quality=95, icc_profile=display_p3()),
        0.01,
    ),
    # As a messenger saves it, not made smaller.
    "WebP": (lambda picture: pillow(picture, "WEBP", quality=85), 0.03),
}


@pytest.mark.parametrize("kind", FORMATS)
def test_corners_stay_where_they_are(picture, corners_px, kind):
    encode, within_px = FORMATS[kind]
    photo = photo_from_bytes(encode(picture), kind)
    seen = find_ring_part(photo.grey).corners_px
    assert len(seen) == len(corners_px)
    assert np.sqrt(((seen - corners_px) ** 2).mean()) < within_px
