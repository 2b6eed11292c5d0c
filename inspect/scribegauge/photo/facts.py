"""What the camera wrote about its lens. Place and serial numbers are not read."""

import math
import re
from datetime import date
from typing import Any, Final

from PIL import ExifTags, Image

from scribegauge.photo.record import LensFacts

_LONGEST_TEXT: Final = 64
_TAKEN: Final = re.compile(r"(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d:\d\d:\d\d)")
_LARGEST_MM: Final = 10_000.0


def lens_facts(exif: Image.Exif) -> LensFacts:
    """Read the lens facts; whatever is missing or broken is left out.

    Parameters
    ----------
    exif : PIL.Image.Exif

    Returns
    -------
    LensFacts
        ``digital_zoom`` is 1.0 where the camera says that none was used (EXIF 2.32, tag A404:
        numerator 0); ``taken`` is ISO 8601 without a time zone.
    """
    try:
        lens = dict(exif.get_ifd(ExifTags.IFD.Exif))
    except Exception:  # noqa: BLE001 - broken EXIF raises anything; a good picture needs none
        lens = {}
    zoom = _number(lens.get(ExifTags.Base.DigitalZoomRatio))
    return LensFacts(
        maker=_text(exif.get(ExifTags.Base.Make)),
        model=_text(exif.get(ExifTags.Base.Model)),
        focal_mm=_length_mm(lens.get(ExifTags.Base.FocalLength)),
        focal_35mm=_length_mm(lens.get(ExifTags.Base.FocalLengthIn35mmFilm)),
        digital_zoom=1.0 if zoom == 0 else zoom,
        taken=_taken(lens.get(ExifTags.Base.DateTimeOriginal)),
    )


def orientation(exif: Image.Exif) -> int:
    """Give the orientation tag, 1 to 8; 1 where it is missing or no such number."""
    value = exif.get(ExifTags.Base.Orientation)
    return value if isinstance(value, int) and 1 <= value <= 8 else 1  # noqa: PLR2004


def day_taken(facts: LensFacts, otherwise: date) -> date:
    """Return the day a photo was taken, or another where it does not say or says nonsense."""
    try:
        return date.fromisoformat((facts.taken or "")[:10])
    except ValueError:
        return otherwise


def _text(value: Any) -> str:
    if isinstance(value, bytes):
        value = value.decode("utf-8", "replace")
    if not isinstance(value, str):
        return ""
    shown = "".join(letter for letter in value.split("\0")[0] if letter.isprintable())
    return shown.strip()[:_LONGEST_TEXT]


def _number(value: Any) -> float | None:
    try:
        number = float(value)
    except (TypeError, ValueError, ArithmeticError):
        return None
    return number if math.isfinite(number) and number >= 0 else None


def _length_mm(value: Any) -> float | None:
    number = _number(value)
    return number if number and number < _LARGEST_MM else None


def _taken(value: Any) -> str | None:
    found = _TAKEN.fullmatch(_text(value))
    return f"{found[1]}-{found[2]}-{found[3]}T{found[4]}" if found else None
