"""The corners enlarged, side by side, for the foot of an overlay."""

from collections.abc import Sequence

from scribegauge.report import closeupwords as said
from scribegauge.report.closeupdrawing import close_up_drawing, key_samples
from scribegauge.report.closeups import SPAN, SPAN_MM, CloseUp
from scribegauge.report.drawing import Drawing, Shape, Words, grounded, placed
from scribegauge.report.drawingstyle import INK, PAPER
from scribegauge.report.frame import WIDTH_PX
from scribegauge.report.labels import TEXT_PX

_EDGE_PX, _GAP_PX = 36, 28
_EACH_ROW = 4
_TILE_PX = (WIDTH_PX - 2 * _EDGE_PX - (_EACH_ROW - 1) * _GAP_PX) / _EACH_ROW
_NOTE_PX, _ROW_PX = 32, 60


def strip(close_ups: Sequence[CloseUp]) -> Drawing:
    """Set corners in rows, each with its name and what misses it; nothing without corners.

    Parameters
    ----------
    close_ups : sequence of CloseUp
    """
    if not close_ups:
        return Drawing(WIDTH_PX, 0.0, ())
    shapes: list[Shape] = [
        Words(said.heading(SPAN_MM), (_EDGE_PX, 56), TEXT_PX, INK, bold=True, room_px=WIDTH_PX)
    ]
    top = 84.0
    top = _keyed(shapes, close_ups, top)
    for first in range(0, len(close_ups), _EACH_ROW):
        row = close_ups[first : first + _EACH_ROW]
        top += _row(shapes, row, top)
    return Drawing(WIDTH_PX, top + 12, tuple(shapes), PAPER)


def _keyed(shapes: list[Shape], close_ups: Sequence[CloseUp], top: float) -> float:
    """Set the key in two columns; return where the next row begins."""
    samples = key_samples(
        pricked=any(each.rings for each in close_ups),
        passed=any(each.passing for each in close_ups),
    )
    size = _ROW_PX - 10
    for k, (drawing, text) in enumerate(samples):
        x, y = _EDGE_PX + (k % 2) * WIDTH_PX / 2, top + (k // 2) * _ROW_PX
        shapes += placed(grounded(drawing), (x, y), size / drawing.width_px)
        foot = (x + size + 20, y + size / 2 + 0.35 * _NOTE_PX)
        shapes.append(Words(text, foot, _NOTE_PX, INK, room_px=WIDTH_PX / 2 - size - 60))
    return top + (len(samples) + 1) // 2 * _ROW_PX + 8


def _row(shapes: list[Shape], row: Sequence[CloseUp], top: float) -> float:
    most = max(len(each.notes) for each in row)
    for k, each in enumerate(row):
        x = _EDGE_PX + k * (_TILE_PX + _GAP_PX)
        drawing = close_up_drawing(each)
        shapes += placed(drawing.shapes, (x, top), _TILE_PX / SPAN)
        foot = top + _TILE_PX + 44
        shapes.append(Words(each.name, (x, foot), TEXT_PX, INK, bold=True, room_px=_TILE_PX))
        for number, note in enumerate(each.notes, 1):
            at = (x, foot + number * (_NOTE_PX + 10))
            shapes.append(Words(note, at, _NOTE_PX, INK, room_px=_TILE_PX))
    return _TILE_PX + 44 + most * (_NOTE_PX + 10) + 34
