"""A drawing set into a page of a PDF: strokes and words stay sharp at any size."""

import io
from typing import Any

import numpy as np
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from scribegauge.report import pdfletters
from scribegauge.report.drawing import (
    Area,
    Drawing,
    Path,
    Photograph,
    Points,
    Ring,
    Shape,
    Words,
    grounded,
    pieces,
)
from scribegauge.report.drawingstyle import Colour, Stroke
from scribegauge.report.jpeg import PICTURE_BYTES, jpeg_within

_EDGE = 0.2
_FAR_PX = 1e5


class DrawingBlock(Flowable):  # type: ignore[misc] # reportlab has no types
    """A drawing in the flow of a page.

    Parameters
    ----------
    drawing : Drawing
    width_pt : float
        What it is to be wide.
    align : str
        ``LEFT`` or ``CENTER``.
    """

    def __init__(self, drawing: Drawing, width_pt: float, align: str = "LEFT") -> None:
        super().__init__()
        self._drawing = drawing
        self.width = width_pt
        self.height = width_pt * drawing.height_px / drawing.width_px
        self.hAlign = align

    def wrap(self, *_: float) -> tuple[float, float]:
        """Return the size [pt], whatever there is room for."""
        return self.width, self.height

    def draw(self) -> None:
        """Draw onto the page's canvas."""
        canvas = self.canv
        canvas.saveState()
        frame = canvas.beginPath()
        frame.rect(0, 0, self.width, self.height)
        canvas.clipPath(frame, stroke=0, fill=0)
        scale = self.width / self._drawing.width_px
        canvas.translate(0.5 * scale, self.height - 0.5 * scale)
        canvas.scale(scale, -scale)
        canvas.setLineCap(1)
        canvas.setLineJoin(1)
        for shape in grounded(self._drawing):
            _draw(canvas, shape)
        canvas.restoreState()


def _draw(canvas: Any, shape: Shape) -> None:
    match shape:
        case Path(points, stroke):
            _stroke(canvas, pieces(points, stroke), stroke)
        case Ring(centre, radius, stroke):
            for colour, width in _passes(stroke):
                _pen(canvas, colour, width)
                canvas.circle(*map(float, centre), radius, stroke=1, fill=0)
        case Area(polygon, colour, strength, edge):
            canvas.setFillColorRGB(*_rgb(colour), alpha=strength)
            outline = _path(canvas, [polygon])
            outline.close()
            canvas.drawPath(outline, stroke=0, fill=1)
            if edge is not None:
                _stroke(canvas, [np.vstack([polygon, polygon[:1]])], edge)
        case Words():
            _write(canvas, shape)
        case Photograph():
            _lay(canvas, shape)


def _lay(canvas: Any, shape: Photograph) -> None:
    x, y = shape.corner
    data = ImageReader(io.BytesIO(jpeg_within(shape.picture, PICTURE_BYTES)))
    canvas.saveState()
    canvas.translate(x, y + shape.height_px)
    canvas.scale(1, -1)
    canvas.drawImage(data, 0, 0, shape.width_px, shape.height_px)
    canvas.restoreState()


def _write(canvas: Any, words: Words) -> None:
    font = pdfletters.BOLD if words.bold else pdfletters.REGULAR
    pdfletters.letters()
    text = pdfletters.drawn(words.text)
    wide = canvas.stringWidth(text, font, words.size_px)
    start = {"l": 0.0, "m": -wide / 2, "r": -wide}[words.anchor]
    canvas.saveState()
    canvas.translate(*words.at)
    canvas.rotate(float(np.degrees(words.turn_rad)))
    canvas.scale(1, -1)
    modes = [0] if words.edge is None else [1, 0]
    for mode in modes:
        canvas.saveState()  # the mode outlives its text
        row = canvas.beginText(start, 0)
        row.setFont(font, words.size_px)
        row.setTextRenderMode(mode)
        row.setFillColorRGB(*_rgb(words.colour), alpha=1)
        if words.edge is not None:
            _pen(canvas, words.edge, _EDGE * words.size_px)
        row.textOut(text)
        canvas.drawText(row)
        canvas.restoreState()
    canvas.restoreState()


def _stroke(canvas: Any, parts: list[Points], stroke: Stroke) -> None:
    for colour, width in _passes(stroke):
        _pen(canvas, colour, width)
        canvas.drawPath(_path(canvas, parts), stroke=1, fill=0)


def _passes(stroke: Stroke) -> list[tuple[Colour, float]]:
    plain = (stroke.colour, stroke.width_px)
    if stroke.halo is None:
        return [plain]
    return [(stroke.halo, stroke.width_px + 2 * stroke.halo_px), plain]


def _pen(canvas: Any, colour: Colour, width: float) -> None:
    canvas.setStrokeColorRGB(*_rgb(colour))
    canvas.setLineWidth(width)


def _path(canvas: Any, parts: list[Points]) -> Any:
    path = canvas.beginPath()
    for part in parts:
        near = np.clip(part, -_FAR_PX, _FAR_PX)
        path.moveTo(*map(float, near[0]))
        for x, y in near[1:]:
            path.lineTo(float(x), float(y))
    return path


def _rgb(colour: Colour) -> tuple[float, float, float]:
    red, green, blue = colour
    return red / 255, green / 255, blue / 255
