"""What becomes of a photo's bytes: sizes, tones, refusals."""

import hashlib
import io
import os
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from scribegauge.errors import PhotoError, UseError
from scribegauge.photo.load import LEAST_SIDE_PX, load_photo, photo_from_bytes

PHOTOS = Path(__file__).parents[4] / "fixtures" / "photos"
SCENE = np.random.default_rng(7).integers(0, 256, (320, 400, 3), dtype=np.uint8)


def encoded(image, kind, **options):
    stream = io.BytesIO()
    image.save(stream, kind, **options)
    return stream.getvalue()


def smooth_scene():
    return Image.fromarray(SCENE).resize((40, 32)).resize((400, 320))


def test_record_is_read_only_contiguous_and_hashed(tmp_path):
    data = encoded(Image.fromarray(SCENE), "PNG")
    (tmp_path / "plate.png").write_bytes(data)
    photo = load_photo(tmp_path / "plate.png")
    assert photo.name == "plate.png"
    assert photo.sha256 == hashlib.sha256(data).hexdigest()
    np.testing.assert_array_equal(photo.rgb, SCENE)
    for array in (photo.rgb, photo.grey):
        assert array.dtype == np.uint8
        assert array.flags.c_contiguous
        assert not array.flags.writeable


def test_grey_is_bt601_luma():
    photo = photo_from_bytes(encoded(Image.fromarray(SCENE), "PNG"), "a")
    luma = SCENE @ np.array([0.299, 0.587, 0.114])
    assert np.abs(photo.grey - luma).max() <= 0.51


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF", "WEBP", "AVIF"])
def test_each_format_is_told_by_its_content(kind, tmp_path):
    (tmp_path / "plate.txt").write_bytes(encoded(smooth_scene(), kind))
    photo = load_photo(tmp_path / "plate.txt")
    assert photo.rgb.shape == (320, 400, 3)
    assert np.abs(photo.rgb.astype(int) - np.asarray(smooth_scene())).mean() < 6


def test_standard_input(monkeypatch):
    data = encoded(Image.fromarray(SCENE), "PNG")

    class Piped:
        buffer = io.BytesIO(data)

        def isatty(self):
            return False

    monkeypatch.setattr(sys, "stdin", Piped())
    assert load_photo("-").name == "-"


def test_standard_input_from_a_keyboard(monkeypatch):
    class Keyboard:
        def isatty(self):
            return True

    monkeypatch.setattr(sys, "stdin", Keyboard())
    with pytest.raises(UseError) as caught:
        load_photo(Path("-"))
    assert caught.value.code == "photo_missing"


def test_wrong_paths_are_wrong_use(tmp_path):
    for path, code in [
        (tmp_path / "none.jpg", "photo_missing"),
        (tmp_path, "photo_folder"),
        (tmp_path / "a\0b.jpg", "photo_unopened"),
    ]:
        with pytest.raises(UseError) as caught:
            load_photo(path)
        assert caught.value.code == code
        assert caught.value.cure


def test_a_name_that_is_no_text_can_still_be_printed(tmp_path):
    file = tmp_path / os.fsdecode(b"pl\xffate\n.png")
    file.write_bytes(encoded(Image.fromarray(SCENE), "PNG"))
    load_photo(file).name.encode("utf-8")
    assert "\n" not in load_photo(file).name


@pytest.mark.parametrize(
    ("data", "code", "word"),
    [
        (b"", "photo_empty", "empty"),
        (b"Dear pupils,\n" * 50, "photo_unreadable", "text"),
        (b"%PDF-1.7\n" + bytes(200), "photo_unreadable", "PDF"),
        (b"\0\0\0\x18ftypmp42" + bytes(200), "photo_unreadable", "film"),
        (bytes(1000), "photo_unreadable", "not a photo"),
        (encoded(Image.new("RGB", (1, 1)), "PNG"), "photo_too_small", "1 by 1"),
        (encoded(Image.new("L", (5000, LEAST_SIDE_PX - 1)), "PNG"), "photo_too_small", "5000"),
    ],
)
def test_what_is_no_photo(data, code, word):
    with pytest.raises(PhotoError, match=word) as caught:
        photo_from_bytes(data, "kettle.jpg")
    assert caught.value.code == code
    assert caught.value.text.startswith("kettle.jpg")


def png_of_size(width, height):
    """A PNG header that claims a size, as a decompression bomb does."""
    data = bytearray(encoded(Image.new("L", (1, 1)), "PNG"))
    data[16:24] = width.to_bytes(4) + height.to_bytes(4)
    import zlib

    data[29:33] = zlib.crc32(data[12:29]).to_bytes(4)
    return bytes(data)


@pytest.mark.parametrize("side", [9000, 11_000, 40_000, 200_000])
def test_too_many_pixels_are_refused_before_decoding(side):
    with pytest.raises(PhotoError) as caught:
        photo_from_bytes(png_of_size(side, side), "a.png")
    assert caught.value.code == "photo_too_large"


def test_alpha_is_laid_on_white():
    layered = np.dstack([SCENE, np.full(SCENE.shape[:2], 255, np.uint8)])
    layered[:100, :, 3] = 0
    layered[100:200, :, 3] = 128
    photo = photo_from_bytes(encoded(Image.fromarray(layered), "PNG"), "a")
    assert (photo.rgb[:100] == 255).all()
    np.testing.assert_array_equal(photo.rgb[200:], SCENE[200:])
    half = SCENE[100:200] * (128 / 255) + 127
    np.testing.assert_allclose(photo.rgb[100:200], half, atol=1)


@pytest.mark.parametrize("mode", ["P", "L", "LA", "1", "CMYK"])
def test_other_kinds_of_pixels(mode):
    kind = "TIFF" if mode == "CMYK" else "PNG"
    image = smooth_scene().convert(mode)
    photo = photo_from_bytes(encoded(image, kind), "a")
    np.testing.assert_array_equal(photo.rgb, np.asarray(image.convert("RGB")))


def test_palette_with_a_transparent_colour():
    image = Image.new("P", (400, 320), 0)
    image.putpalette([10, 20, 30, 200, 100, 50])
    image.paste(1, (0, 0, 400, 160))
    photo = photo_from_bytes(encoded(image, "PNG", transparency=1), "a")
    assert (photo.rgb[:160] == 255).all()
    assert (photo.rgb[160:] == (10, 20, 30)).all()


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
@pytest.mark.parametrize("bits", [10, 12, 14, 16])
def test_16_bit_grey_keeps_its_tones(kind, bits):
    levels = np.linspace(0, 2**bits - 1, 400).astype(np.uint16)
    image = Image.fromarray(np.tile(levels, (320, 1)))
    photo = photo_from_bytes(encoded(image, kind), "a")
    np.testing.assert_allclose(photo.grey[0], levels * (255 / (2**bits - 1)), atol=0.51)


def test_32_bit_numbers_are_refused():
    image = Image.fromarray(np.ones((320, 400), np.float32)).convert("F")
    image.info["unused"] = 1
    with pytest.raises(PhotoError) as caught:
        photo_from_bytes(encoded(image, "TIFF"), "a")
    assert caught.value.code == "photo_unreadable"


def test_srgb_profile_changes_nothing():
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    photo = photo_from_bytes(encoded(Image.fromarray(SCENE), "PNG", icc_profile=profile), "a")
    np.testing.assert_array_equal(photo.rgb, SCENE)


def test_broken_profile_changes_nothing():
    photo = photo_from_bytes(encoded(Image.fromarray(SCENE), "PNG", icc_profile=b"?" * 200), "a")
    np.testing.assert_array_equal(photo.rgb, SCENE)


def test_wide_gamut_profile_is_followed():
    data = (PHOTOS / "heic" / "arrow.heic").read_bytes()
    import pi_heif

    profile = pi_heif.open_heif(io.BytesIO(data)).info["icc_profile"]
    red = Image.new("RGB", (400, 320), (200, 80, 60))
    photo = photo_from_bytes(encoded(red, "PNG", icc_profile=profile), "a")
    # Display P3 (200, 80, 60) by its primaries (SMPTE EG 432-1) and the sRGB curve.
    linear = lambda v: np.where(v > 0.04045, ((v + 0.055) / 1.055) ** 2.4, v / 12.92)  # noqa: E731
    srgb_from_p3 = np.array(
        [[1.2249, -0.2247, 0.0], [-0.0420, 1.0419, 0.0], [-0.0197, -0.0786, 1.0979]]
    )
    light = np.clip(srgb_from_p3 @ linear(np.array([200, 80, 60]) / 255), 0, 1)
    wanted = 255 * np.where(light > 0.0031308, 1.055 * light ** (1 / 2.4) - 0.055, 12.92 * light)
    np.testing.assert_allclose(photo.rgb[0, 0], wanted, atol=2)
