"""The overlay's stand-in for a photo that could not be judged: the photo, and why."""

import io

from PIL import Image, ImageDraw

from scribegauge.photo.record import Photo
from scribegauge.report import typeface
from scribegauge.report.frame import WIDTH_PX
from scribegauge.report.labels import TEXT_PX
from scribegauge.report.reading import Reading
from scribegauge.report.words import headline, one_line, tidy, typographic

_PAPER, _INK = (250, 250, 247), (20, 22, 26)
_EDGE_PX, _TITLE_PX, _ROW_PX = 36, 56, 60
_TITLE_COLUMNS, _MOST_ROWS = 120, 12
# An upright photo is shown no taller than it would be lying down.
_TALLEST_PX = 1200


def draw_refusal(photo: Photo | None, reading: Reading) -> bytes:
    """Draw why a photo could not be judged, above the photo.

    Parameters
    ----------
    photo : Photo or None
        None when it could not be opened: then there are only the words.
    reading : Reading
        A refusal.

    Returns
    -------
    bytes
        A PNG as wide as an overlay.
    """
    words = _words(reading)
    shown = None if photo is None else _fitted(photo)
    height = words.height + (0 if shown is None else shown.height)
    picture = Image.new("RGB", (WIDTH_PX, height), _PAPER)
    picture.paste(words, (0, 0))
    if shown is not None:
        picture.paste(shown, ((WIDTH_PX - shown.width) // 2, words.height))
    sink = io.BytesIO()
    picture.save(sink, "PNG", compress_level=1)
    return sink.getvalue()


def _words(reading: Reading) -> Image.Image:
    font, bold = typeface.regular(TEXT_PX), typeface.bold(_TITLE_PX)
    room = WIDTH_PX - 2 * _EDGE_PX
    title = typeface.fitted(one_line(reading.title, _TITLE_COLUMNS), bold, room)
    rows = typeface.wrapped(tidy(typographic(headline(reading))), font, room, _MOST_ROWS)
    lines = [(title, bold), *((row, font) for row in rows)]
    image = Image.new("RGB", (WIDTH_PX, 48 + _ROW_PX * len(lines)), _PAPER)
    draw = ImageDraw.Draw(image)
    for k, (text, face) in enumerate(lines, 1):
        draw.text((_EDGE_PX, 24 + _ROW_PX * k - 12), text, _INK, face, "ls")
    return image


def _fitted(photo: Photo) -> Image.Image:
    """Bring the whole photo into the overlay's width."""
    image = Image.fromarray(photo.rgb)
    scale = min(WIDTH_PX / image.width, _TALLEST_PX / image.height)
    size = (max(round(image.width * scale), 1), max(round(image.height * scale), 1))
    return image.resize(size, Image.Resampling.BILINEAR, reducing_gap=2.0)
