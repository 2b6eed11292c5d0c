"""Pictures as data that a page carries within itself."""

import base64

import cv2
import numpy as np

from scribegauge.report.drawing import Picture

#: Base64 adds a third: a page of one overlay and seven corners stays below 700 kB.
PICTURE_BYTES = 350_000
# Tried in turn until the file is small enough; the last is taken as it is.
_WIDTHS_AND_QUALITIES = (
    *((1600, 88), (1600, 80), (1600, 70), (1400, 70)),
    *((1200, 70), (1000, 65), (800, 60)),
)


def jpeg_within(picture: Picture, at_most_bytes: int) -> bytes:
    """Write a picture as JPEG of at most a given size, as good as that allows.

    Parameters
    ----------
    picture : ndarray, shape (H, W, 3), uint8
        RGB; wider than 1600 px is made smaller.
    at_most_bytes : int
        Kept for any picture of less than some ten megapixels of noise.
    """
    data = b""
    for width_px, quality in _WIDTHS_AND_QUALITIES:
        data = jpeg(narrowed(picture, width_px), quality)
        if len(data) <= at_most_bytes:
            break
    return data


def narrowed(picture: Picture, width_px: int) -> Picture:
    """Make a picture at most so wide."""
    height, width = picture.shape[:2]
    if width <= width_px:
        return picture
    size = (width_px, max(round(height * width_px / width), 1))
    return np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)


def jpeg(picture: Picture, quality: int) -> bytes:
    """Write a picture as JPEG; nothing but the pixels goes along."""
    options = (cv2.IMWRITE_JPEG_QUALITY, quality, cv2.IMWRITE_JPEG_OPTIMIZE, 1)
    good, data = cv2.imencode(".jpg", cv2.cvtColor(picture, cv2.COLOR_RGB2BGR), options)
    if not good:
        raise ValueError("the picture could not be written as JPEG")
    return data.tobytes()


def data_uri(data: bytes) -> str:
    """Write a JPEG as a data URI."""
    return "data:image/jpeg;base64," + base64.b64encode(data).decode("ascii")
