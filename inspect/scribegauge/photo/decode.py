"""Bytes to an upright RGB picture; Pillow is called here and in its neighbours only."""

import contextlib
import importlib
import io
import threading
import warnings
from collections.abc import Iterator
from typing import Final

import numpy as np
from PIL import (  # noqa: F401 - importing a plugin teaches Pillow its format; all 40 take 0.1 s
    AvifImagePlugin,
    Image,
    JpegImagePlugin,
    MpoImagePlugin,
    PngImagePlugin,
    TiffImagePlugin,
    UnidentifiedImageError,
    WebPImagePlugin,
)

from scribegauge.errors import PhotoError
from scribegauge.photo.colour import to_srgb
from scribegauge.photo.complete import boxes_are_complete, jpeg_is_complete
from scribegauge.photo.facts import lens_facts, orientation
from scribegauge.photo.record import LensFacts
from scribetarget.wording import later, say

#: Three bytes of RGB, four in Pillow and one of grey are 640 MB at this size; a phone's normal
#: mode has 12 to 50 million. Below Pillow's own limit, so that ours speaks first.
MOST_PIXELS: Final = 80_000_000

#: What cameras and phones write. Nothing else is tried: fewer decoders, fewer surprises.
FORMATS: Final = ("JPEG", "MPO", "PNG", "TIFF", "WEBP", "HEIF", "AVIF")

_TURNS: Final = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}

# Silencing warnings changes the interpreter's one list of filters; two threads that do so at
# once would restore it in the wrong order.
_ONE_AT_A_TIME: Final = threading.Lock()

_NEVER_IN_TEXT: Final = bytes(range(9))
_AGAIN: Final = later("Copy the photo from the camera once more, or take it again.")
_AS_JPEG: Final = later("Give the photo as JPEG, PNG, TIFF, WebP or HEIC.")


def decode_upright(data: bytes, name: str) -> tuple[Image.Image, LensFacts]:
    """Decode the first picture of a file and turn it upright, once.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        What to call it in an error.

    Returns
    -------
    image : PIL.Image.Image
        Mode ``RGB``, sRGB, upright, alpha laid on white.
    facts : LensFacts

    Raises
    ------
    PhotoError
        ``photo_unreadable``, ``photo_truncated``, ``photo_too_large``.
    """
    with _quiet():
        image = _opened(data, name)
        _check_size(image, name)
        _load(image, data, name)
        try:
            exif = image.getexif()
        except Exception:  # noqa: BLE001 - broken EXIF raises anything; a good picture needs none
            exif = Image.Exif()
        # A HEIF or TIFF decoder has turned the picture already; their own turn is the one that
        # counts, so the tag must not turn it again.
        turned = image.format in {"HEIF", "TIFF"}
        turn = None if turned else _TURNS.get(orientation(exif))
        try:
            flat = to_srgb(_eight_bits(image))
        except Exception as error:
            raise PhotoError(
                "photo_unreadable",
                say(
                    "{name} holds a kind of picture ({kind}) that cannot be shown in colour.",
                    name=name,
                    kind=image.mode,
                ),
                say("Save it as an ordinary JPEG."),
            ) from error
        return (flat if turn is None else flat.transpose(turn)), lens_facts(exif)


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Keep decoders from talking to the user: what matters of it is checked here."""
    with _ONE_AT_A_TIME, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def _opened(data: bytes, name: str) -> Image.Image:
    """Recognise the format by its content; no pixel is decoded yet."""
    if data[4:8] == b"ftyp":
        _learn_heif(name)
    try:
        return Image.open(io.BytesIO(data), formats=_known_formats())
    except Image.DecompressionBombError as error:
        raise PhotoError(
            "photo_too_large",
            say("{name} claims to have more pixels than any camera.", name=name),
            say(_AGAIN),
        ) from error
    except UnidentifiedImageError as error:
        raise PhotoError(
            "photo_unreadable", say(_what_it_is(data), name=name), say(_AS_JPEG)
        ) from error
    except Exception as error:
        # Decoders fed with damaged files raise nearly anything (struct.error, KeyError, …).
        raise PhotoError(
            "photo_unreadable", say("{name} is damaged or incomplete.", name=name), say(_AGAIN)
        ) from error


def _known_formats() -> tuple[str, ...]:
    return tuple(kind for kind in FORMATS if kind in Image.OPEN)


def _learn_heif(name: str) -> None:
    """Teach Pillow HEIC, only when such a photo comes: the import takes 30 ms."""
    try:
        importlib.import_module("pi_heif").register_heif_opener()
    except ImportError as error:
        raise PhotoError(
            "photo_unreadable",
            say("{name} is a HEIC photo, and the reader for it is not installed.", name=name),
            say("Install pi-heif, or save the photo as JPEG."),
        ) from error


def _check_size(image: Image.Image, name: str) -> None:
    width_px, height_px = image.size
    if width_px * height_px > MOST_PIXELS:
        raise PhotoError(
            "photo_too_large",
            say(
                "{name} is {width} by {height} pixels; more than {most} million are not read.",
                name=name,
                width=width_px,
                height=height_px,
                most=MOST_PIXELS // 1_000_000,
            ),
            say("Take the photo in the camera's normal mode (12 to 50 million pixels)."),
        )


def _load(image: Image.Image, data: bytes, name: str) -> None:
    """Decode every pixel; half a picture is none."""
    whole, fault = _is_complete(image, data), None
    try:
        if whole:
            image.load()
    except Exception as error:  # noqa: BLE001 - as in _opened
        fault = error
    if not whole or fault or _ends_in_filler(image):
        raise PhotoError(
            "photo_truncated",
            say("{name} breaks off before the picture is complete.", name=name),
            say(_AGAIN),
        ) from fault
    _check_size(image, name)  # a HEIF file may decode to another size than it announced


def _is_complete(image: Image.Image, data: bytes) -> bool:
    if image.format in {"JPEG", "MPO"}:
        return jpeg_is_complete(data)
    return image.format not in {"HEIF", "AVIF"} or boxes_are_complete(data)


def _ends_in_filler(image: Image.Image) -> bool:
    """Whether the last row is the exact mid-grey a JPEG decoder fills missing blocks with."""
    width_px, height_px = image.size
    if image.format not in {"JPEG", "MPO"} or image.mode not in {"L", "RGB"}:
        return False
    row = np.asarray(image.crop((0, height_px - 1, width_px, height_px)))
    return bool((row == 128).all())  # noqa: PLR2004 - the level of a block without coefficients


def _eight_bits(image: Image.Image) -> Image.Image:
    """Scale 16-bit grey to 8 bits; Pillow itself would clip it at 255.

    Cameras that measure 10, 12 or 14 bits store them as they are in 16, so full scale is the
    smallest of those that holds the brightest pixel.
    """
    if image.mode in {"I", "F"}:
        raise ValueError(image.mode)  # 32 bits: measurements of something, with no full scale
    if not image.mode.startswith("I;16"):
        return image
    levels = np.asarray(image).astype(np.uint32)
    full = next(2**bits - 1 for bits in (8, 10, 12, 14, 16) if levels.max() < 2**bits)
    return Image.fromarray(((levels * 255 + full // 2) // full).astype(np.uint8))


def _what_it_is(data: bytes) -> str:
    """Say what a file that is no photo seems to be."""
    start = data[:512]
    if start.startswith(b"%PDF"):
        return later("{name} is a PDF, not a photo.")
    if data[4:8] == b"ftyp":
        still = data[8:10] in {b"he", b"mi", b"ms", b"av"}
        if still:
            return later("{name} is a HEIC photo that is damaged or incomplete.")
        return later("{name} is a film, not a photo.")
    if start.startswith((b"GIF8", b"BM", b"8BPS")):
        return later("{name} is a drawing, not a photo from a camera.")
    if not any(byte in _NEVER_IN_TEXT for byte in start):
        return later("{name} holds text, not a photo.")
    return later("{name} is not a photo, or its start is damaged.")
