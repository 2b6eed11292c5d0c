"""Whatever the bytes, a photo or a PhotoError comes out, and nothing is printed."""

import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from scribegauge.errors import PhotoError
from scribegauge.photo.load import photo_from_bytes
from scribegauge.photo.record import Photo


def tiny(kind, **options):
    stream = io.BytesIO()
    levels = np.arange(24 * 16 * 3, dtype=np.uint8).reshape(16, 24, 3)
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "TestCam"
    exif.get_ifd(0x8769)[0x920A] = 4.2
    Image.fromarray(levels).save(stream, kind, exif=exif, **options)
    return stream.getvalue()


TINY = [tiny("JPEG"), tiny("JPEG", progressive=True), tiny("PNG"), tiny("TIFF"), tiny("WEBP")]


def outcome(data):
    try:
        return photo_from_bytes(data, "a", least_side_px=1)
    except PhotoError as error:
        return error


@pytest.mark.parametrize("data", TINY)
def test_the_tiny_ones_are_whole(data):
    assert outcome(data).rgb.shape == (24, 16, 3)


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(TINY), st.data())
def test_changed_bytes(data, draws):
    mutated = bytearray(data)
    for _ in range(draws.draw(st.integers(1, 4))):
        mutated[draws.draw(st.integers(0, len(data) - 1))] = draws.draw(st.integers(0, 255))
    assert isinstance(outcome(bytes(mutated)), Photo | PhotoError)


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(TINY), st.integers(0, 700), st.binary(max_size=40))
def test_cut_and_mended_bytes(data, place, patch):
    assert isinstance(outcome(data[:place] + patch + data[place:]), Photo | PhotoError)
    assert isinstance(outcome(data[:place] + patch), Photo | PhotoError)


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=200))
def test_noise(data):
    assert isinstance(outcome(data), PhotoError)
