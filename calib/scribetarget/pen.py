"""One PDF page, drawn in millimetres from the paper's top-left corner, y down."""

from collections.abc import Iterable
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas

from scribetarget.paper import Paper

FONT = "Helvetica"
MM_PT = 72 / 25.4  # points in a millimetre


class Pen:
    """Draws on one page in pure black; equal strokes give equal bytes."""

    def __init__(self, paper: Paper, title: str) -> None:
        self._height_mm = paper.height_mm
        self._stream = BytesIO()
        size_pt = (paper.width_mm * MM_PT, paper.height_mm * MM_PT)
        self._canvas = Canvas(self._stream, pagesize=size_pt, invariant=1, pageCompression=1)
        self._canvas.setTitle(title)
        self._canvas.setViewerPreference("PrintScaling", "None")
        self._canvas.setFillGray(0)

    def fill(self, outlines_mm: Iterable[NDArray[np.float64]]) -> None:
        """Fill closed outlines (K, 2) as one shape by the even-odd rule, without a stroke."""
        path = self._canvas.beginPath()
        for outline in outlines_mm:
            first, *others = outline.tolist()
            path.moveTo(*self._at(*first))
            for point in others:
                path.lineTo(*self._at(*point))
            path.close()
        self._canvas.drawPath(path, stroke=0, fill=1, fillMode=FILL_EVEN_ODD)

    def text(self, words: str, at_mm: tuple[float, float], size_pt: float) -> None:
        """Write with the left end of the base line at a point."""
        self._canvas.setFont(FONT, size_pt)
        self._canvas.drawString(*self._at(*at_mm), words)

    def text_upwards(self, words: str, at_mm: tuple[float, float], size_pt: float) -> None:
        """Write from the bottom to the top, with the lower end of the base line at a point."""
        self._canvas.saveState()
        self._canvas.translate(*self._at(*at_mm))
        self._canvas.rotate(90)
        self._canvas.setFont(FONT, size_pt)
        self._canvas.drawString(0, 0, words)
        self._canvas.restoreState()

    def finish(self) -> bytes:
        """Close the page and return the document."""
        self._canvas.showPage()
        self._canvas.save()
        return self._stream.getvalue()

    def _at(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        return x_mm * MM_PT, (self._height_mm - y_mm) * MM_PT


def width_mm(words: str, size_pt: float) -> float:
    """Return how long a text will be."""
    width_pt: float = stringWidth(words, FONT, size_pt)
    return width_pt / MM_PT
