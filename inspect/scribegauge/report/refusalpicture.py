"""The overlay's stand-in for a photo that could not be judged: the photo, and why."""

from PIL import ImageFont

from scribegauge.photo.record import Photo
from scribegauge.report import typeface
from scribegauge.report.drawing import Drawing, Photograph, Shape, Words
from scribegauge.report.drawingstyle import INK, PAPER
from scribegauge.report.frame import WIDTH_PX
from scribegauge.report.labels import TEXT_PX
from scribegauge.report.overlay import png
from scribegauge.report.reading import Reading
from scribegauge.report.strokes import paint
from scribegauge.report.svgdrawing import svg_file
from scribegauge.report.words import headline, one_line, tidy, typographic

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
    return png(paint(refusal_drawing(photo, reading)))


def write_refusal_svg(photo: Photo | None, reading: Reading) -> bytes:
    """Draw the same as SVG.

    Parameters
    ----------
    photo, reading : as for `draw_refusal`
    """
    words = headline(reading)
    return svg_file(refusal_drawing(photo, reading), reading.title or words, words)


def refusal_drawing(photo: Photo | None, reading: Reading) -> Drawing:
    """Set the reason above the photo."""
    room = WIDTH_PX - 2 * _EDGE_PX
    rows = typeface.wrapped(
        tidy(typographic(headline(reading))), typeface.regular(TEXT_PX), room, _MOST_ROWS
    )
    title = _title(reading.title, typeface.bold(_TITLE_PX), room)
    shapes: list[Shape] = [
        Words(title, (_EDGE_PX, 12 + _ROW_PX), _TITLE_PX, INK, bold=True, room_px=room)
    ]
    for k, row in enumerate(rows, 2):
        shapes.append(Words(row, (_EDGE_PX, 12 + _ROW_PX * k), TEXT_PX, INK, room_px=room))
    height = 48.0 + _ROW_PX * (len(rows) + 1)
    if photo is not None:
        shown = _fitted(photo, height)
        shapes.append(shown)
        height += shown.height_px
    return Drawing(WIDTH_PX, height, tuple(shapes), PAPER)


def _title(title: str, font: ImageFont.FreeTypeFont, room_px: float) -> str:
    return typeface.fitted(one_line(title, _TITLE_COLUMNS), font, room_px)


def _fitted(photo: Photo, top_px: float) -> Photograph:
    """Lay the whole photo into the overlay's width."""
    high, wide = photo.rgb.shape[:2]
    scale = min(WIDTH_PX / wide, _TALLEST_PX / high)
    width, height = max(round(wide * scale), 1), max(round(high * scale), 1)
    left = (WIDTH_PX - width) // 2
    return Photograph(photo.rgb, (left - 0.5, top_px - 0.5), width, height)
