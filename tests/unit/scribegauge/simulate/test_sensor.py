"""Noise, blur and the file, each against its own formula."""

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import ExifTags, Image

from scribegauge.simulate.scene import CameraModel
from scribegauge.simulate.sensor import CameraRecord, blur, encode_jpeg, expose, focal_35mm

CAMERA = CameraModel(blur_px=0, exposure=0.5, full_well_e=3000, read_noise_e=10)


def _linear(levels):
    value = levels / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


@pytest.mark.parametrize("radiance", [0.1, 0.5, 1.2])
def test_noise_is_as_strong_as_asked(radiance):
    flat = np.full((120, 120, 3), radiance, np.float32)
    seen = _linear(expose(flat, CAMERA, np.random.default_rng(4)))
    signal = 0.5 * radiance
    wanted = np.hypot(np.sqrt(signal / 3000), 10 / 3000)
    np.testing.assert_allclose(seen.mean(), signal, rtol=3e-3)
    np.testing.assert_allclose(seen.std(), wanted, rtol=0.04)


def test_blur_keeps_light_and_has_its_width():
    point = np.zeros((61, 61, 3), np.float32)
    point[30, 30] = 1
    spread = blur(point, replace(CAMERA, blur_px=1.7))[..., 0].astype(np.float64)
    place = np.arange(61) - 30
    np.testing.assert_allclose(spread.sum(), 1, rtol=1e-4)
    np.testing.assert_allclose(np.sqrt((spread.sum(axis=0) * place**2).sum()), 1.7, rtol=0.02)


def test_motion_spreads_along_its_own_direction():
    point = np.zeros((61, 61, 3), np.float32)
    point[30, 30] = 1
    spread = blur(point, replace(CAMERA, motion_px=(9.0, 0.0)))[..., 0]
    assert np.count_nonzero(spread.sum(axis=0) > 1e-3) in range(8, 12)
    assert np.count_nonzero(spread.sum(axis=1) > 1e-3) == 1
    np.testing.assert_allclose(spread.sum(), 1, rtol=1e-5)


def test_highlights_clip_after_the_blur():
    light = np.zeros((21, 21, 3), np.float32)
    light[10, 10] = 100
    seen = expose(light, replace(CAMERA, blur_px=1.0), np.random.default_rng(0))
    assert np.all(seen[9:12, 9:12] == 255)


def test_the_file_tells_its_camera():
    picture = np.full((40, 60, 3), 128, np.uint8)
    camera = replace(CAMERA, size_px=(3000, 2250), f_px=2250)
    with Image.open(io.BytesIO(encode_jpeg(picture, camera, record=CameraRecord()))) as image:
        exif = image.getexif()
        lens = exif.get_ifd(ExifTags.IFD.Exif)
        assert image.size == (60, 40)
    assert exif[ExifTags.Base.Model] == "Model 1"
    assert lens[ExifTags.Base.FocalLengthIn35mmFilm] == focal_35mm(camera) == 27
    assert lens[ExifTags.Base.DateTimeOriginal].startswith("2026:")


def test_a_file_without_record_says_nothing():
    data = encode_jpeg(np.full((8, 8, 3), 9, np.uint8), CAMERA)
    with Image.open(io.BytesIO(data)) as image:
        assert not dict(image.getexif())
