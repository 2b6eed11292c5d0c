"""From radiance to the file: lens blur, noise, gamma, JPEG with its record of the camera."""

import io
from dataclasses import dataclass
from functools import cache
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.scene import CameraModel

_STEPS: Final = 1 << 15
_FILM_WIDTH_MM: Final = 36.0


@dataclass(frozen=True, slots=True)
class CameraRecord:
    """What the camera writes about itself; `taken` as ``YYYY:MM:DD HH:MM:SS``."""

    maker: str = "Bench"
    model: str = "Model 1"
    focal_mm: float = 5.4
    taken: str = "2026:03:17 19:42:05"


def expose(
    radiance: NDArray[np.float32], camera: CameraModel, rng: np.random.Generator
) -> NDArray[np.uint8]:
    """Turn radiance into an 8-bit sRGB picture.

    Blur comes before the clipping of highlights, as in a lens. Noise has the variance
    ``white * signal + read_noise**2`` electrons, white being `full_well_e`.

    Parameters
    ----------
    radiance : ndarray, shape (H, W, 3), float32
        Paper in the target's middle is 1.
    camera : CameraModel
    rng : numpy Generator

    Returns
    -------
    ndarray, shape (H, W, 3), uint8, RGB
    """
    light = blur(radiance, camera) * np.float32(camera.exposure)
    variance = np.maximum(light, 0) / np.float32(camera.full_well_e)
    variance += np.float32((camera.read_noise_e / camera.full_well_e) ** 2)
    noise = rng.standard_normal(light.shape, dtype=np.float32)
    light += np.sqrt(variance) * noise
    index = np.clip(light * np.float32(_STEPS) + np.float32(0.5), 0, _STEPS).astype(np.uint16)
    levels: NDArray[np.uint8] = _srgb_levels()[index]
    return levels


def blur(radiance: NDArray[np.float32], camera: CameraModel) -> NDArray[np.float32]:
    """Spread light by the lens and by the hand's motion."""
    spread = radiance
    if camera.blur_px > 0:
        spread = cv2.GaussianBlur(spread, (0, 0), camera.blur_px).astype(np.float32)
    length = float(np.hypot(*camera.motion_px))
    if length > 0:
        spread = cv2.filter2D(spread, -1, _motion_kernel(camera.motion_px)).astype(np.float32)
    return spread.copy() if spread is radiance else spread


def encode_jpeg(
    picture: NDArray[np.uint8],
    camera: CameraModel,
    *,
    quality: int = 92,
    record: CameraRecord | None = None,
) -> bytes:
    """Write a picture as JPEG, with EXIF maker, model, date and focal lengths if `record` is given."""
    from PIL import ExifTags, Image  # noqa: PLC0415 - a picture without a file needs no Pillow

    exif = Image.Exif()
    if record is not None:
        exif[ExifTags.Base.Make] = record.maker
        exif[ExifTags.Base.Model] = record.model
        exif[ExifTags.Base.Orientation] = 1
        lens = exif.get_ifd(ExifTags.IFD.Exif)
        lens[ExifTags.Base.DateTimeOriginal] = record.taken
        lens[ExifTags.Base.FocalLength] = record.focal_mm
        lens[ExifTags.Base.FocalLengthIn35mmFilm] = focal_35mm(camera)
    sink = io.BytesIO()
    Image.fromarray(picture).save(sink, "JPEG", quality=quality, subsampling=2, exif=exif)
    return sink.getvalue()


def focal_35mm(camera: CameraModel) -> int:
    """Return the focal length on 36 mm film that gives the same angle across the picture [mm]."""
    return round(camera.f_px * _FILM_WIDTH_MM / max(camera.size_px))


@cache
def _srgb_levels() -> NDArray[np.uint8]:
    """Table from linear light to sRGB levels, IEC 61966-2-1."""
    linear = np.arange(_STEPS + 1) / _STEPS
    curve = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)  # noqa: PLR2004 - the standard's own numbers
    levels = np.round(255 * curve).astype(np.uint8)
    levels.setflags(write=False)
    return levels


def _motion_kernel(motion_px: tuple[float, float]) -> NDArray[np.float32]:
    reach = int(np.ceil(max(abs(motion_px[0]), abs(motion_px[1])) / 2)) + 1
    kernel = np.zeros((2 * reach + 1,) * 2, np.float32)
    ends = [tuple(round((reach + sign * m / 2) * 16) for m in motion_px) for sign in (-1, 1)]
    cv2.line(kernel, ends[0], ends[1], 1.0, 1, cv2.LINE_8, 4)
    unit: NDArray[np.float32] = kernel / kernel.sum()
    return unit
