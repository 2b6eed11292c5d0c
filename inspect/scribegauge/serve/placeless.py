"""A photo's file without what is nobody's business: place, serial numbers, embedded pictures.

What the measurement goes by stays to the bit: pixels, colour profile, turn, lens and date.
"""

import io
import re
from collections.abc import Iterator
from typing import Any, Final

from PIL import ExifTags, Image

from scribegauge.photo.load import photo_from_bytes
from scribegauge.photo.record import LensFacts

_START, _END, _SCAN = 0xD8, 0xD9, 0xDA
_ALONE: Final = {0x01, *range(0xD0, 0xD9)}
_EXIF_HEAD: Final = b"Exif\0\0"
#: JFIF's density, the colour profile, and Adobe's word on how colours are stored.
_KEPT: Final = {0xE0: b"JFIF\0", 0xE2: b"ICC_PROFILE\0", 0xEE: b"Adobe"}
_APPLICATION: Final = range(0xE0, 0xF0)
_COMMENT: Final = 0xFE
_MARKER: Final = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
_TOP_TAGS: Final = (ExifTags.Base.Make, ExifTags.Base.Model, ExifTags.Base.Orientation)
_LENS_TAGS: Final = (
    ExifTags.Base.FocalLength,
    ExifTags.Base.FocalLengthIn35mmFilm,
    ExifTags.Base.DigitalZoomRatio,
    ExifTags.Base.DateTimeOriginal,
)


def is_jpeg(data: bytes) -> bool:
    """Whether a file begins as a JPEG does."""
    return data[:3] == b"\xff\xd8\xff"


def placeless_jpeg(data: bytes) -> bytes:
    """Return a JPEG's picture with nothing but what measuring goes by; not decoded.

    Parameters
    ----------
    data : bytes
        A whole JPEG; what follows its first picture, such as a second one or another file, is left
        out. One that is damaged is cut where it is.

    Returns
    -------
    bytes
    """
    kept = [data[:2]]
    for number, marker, segment in _segments(data):
        if marker in _APPLICATION:
            head = _KEPT.get(marker)
            if segment[4:10] == _EXIF_HEAD and number == _first_exif(data):
                kept.append(_exif_segment(segment[10:]))
            elif head is not None and segment[4:].startswith(head):
                kept.append(segment)
        elif marker != _COMMENT:
            kept.append(segment)
    return b"".join(kept)


def placeless_png(data: bytes, name: str) -> bytes:
    """Return any other photo decoded, as a lossless PNG with the same pixels and lens facts.

    Raises
    ------
    PhotoError
        As `scribegauge.photo.load.photo_from_bytes`.
    """
    photo = photo_from_bytes(data, name)
    out = io.BytesIO()
    exif = _exif_of(photo.facts)
    Image.fromarray(photo.rgb).save(out, "PNG", compress_level=1, exif=exif.tobytes())
    return out.getvalue()


def _first_exif(data: bytes) -> int:
    return next((n for n, _, segment in _segments(data) if segment[4:10] == _EXIF_HEAD), -1)


def _segments(data: bytes) -> Iterator[tuple[int, int, bytes]]:
    """Yield number, marker and bytes of each segment up to the end of the first picture."""
    at, number = 2, 0
    while at + 2 <= len(data):
        while data[at : at + 2] == b"\xff\xff":  # fill bytes
            at += 1
        marker = data[at + 1] if data[at : at + 1] == b"\xff" else _END
        if marker == _END:
            yield number, marker, data[at : at + 2]
            return
        length = 0 if marker in _ALONE else int.from_bytes(data[at + 2 : at + 4])
        end = at + 2 + length
        if marker == _SCAN:
            found = _MARKER.search(data, end)
            end = len(data) if found is None else found.start()
        yield number, marker, data[at:end]
        at, number = end, number + 1


def _exif_segment(tiff: bytes) -> bytes:
    old, new = Image.Exif(), Image.Exif()
    try:
        old.load(_EXIF_HEAD + tiff)
        lens = dict(old.get_ifd(ExifTags.IFD.Exif))
        _copy(old, new, _TOP_TAGS)
        _copy(lens, new.get_ifd(ExifTags.IFD.Exif), _LENS_TAGS)
        block = new.tobytes()
    except Exception:  # noqa: BLE001 - broken EXIF raises anything; a good picture needs none
        return b""
    block = block if block.startswith(_EXIF_HEAD) else _EXIF_HEAD + block
    return b"\xff\xe1" + (len(block) + 2).to_bytes(2) + block


def _copy(old: Any, new: Any, tags: tuple[int, ...]) -> None:
    for tag in tags:
        if tag in old:
            new[tag] = old[tag]


def _exif_of(facts: LensFacts) -> Image.Exif:
    exif = Image.Exif()
    lens = exif.get_ifd(ExifTags.IFD.Exif)
    taken = (facts.taken or "").replace("-", ":").replace("T", " ")
    top = {ExifTags.Base.Make: facts.maker, ExifTags.Base.Model: facts.model}
    below = {
        ExifTags.Base.FocalLength: facts.focal_mm,
        ExifTags.Base.FocalLengthIn35mmFilm: facts.focal_35mm and round(facts.focal_35mm),
        ExifTags.Base.DigitalZoomRatio: facts.digital_zoom,
        ExifTags.Base.DateTimeOriginal: taken,
    }
    exif.update({tag: value for tag, value in top.items() if value})
    lens.update({tag: value for tag, value in below.items() if value})
    return exif
