"""A drawing of lines, dots and words in plain picture coordinates, drawn large and brought down."""

import io
from collections.abc import Sequence

from PIL import Image, ImageDraw

from scribegauge.report import typeface
from scribegauge.report.drawingstyle import INK, PAPER, Colour

Point = tuple[float, float]

# Drawn so many times larger, or thin lines would be jagged.
FINER = 2
TEXT_PX = 22


class Canvas:
    """A picture to draw on; all numbers are pixels of the finished picture.

    Parameters
    ----------
    width_px, height_px : int
    """

    def __init__(self, width_px: int, height_px: int) -> None:
        self._image = Image.new("RGB", (FINER * width_px, FINER * height_px), PAPER)
        self._draw = ImageDraw.Draw(self._image)

    def line(self, points: Sequence[Point], colour: Colour, width_px: float = 1.0) -> None:
        """Draw an open path."""
        large = [(FINER * x, FINER * y) for x, y in points]
        self._draw.line(large, colour, round(FINER * width_px), "curve")

    def box(self, low: Point, high: Point, fill: Colour | None, edge: Colour | None = None) -> None:
        """Draw a rectangle from its upper left to its lower right corner."""
        ends = [FINER * value for value in (*low, *high)]
        self._draw.rectangle(ends, fill, edge, FINER)

    def disc(
        self, at: Point, radius_px: float, fill: Colour | None, edge: Colour | None = None
    ) -> None:
        """Draw a disc, a ring or both."""
        x, y = at
        ends = [x - radius_px, y - radius_px, x + radius_px, y + radius_px]
        self._draw.ellipse([FINER * value for value in ends], fill, edge, round(1.5 * FINER))

    def words(
        self, at: Point, text: str, anchor: str = "ls", colour: Colour = INK, size_px: int = TEXT_PX
    ) -> None:
        """Set one row of words; `anchor` as Pillow names it."""
        font = typeface.regular(FINER * size_px)
        self._draw.text((FINER * at[0], FINER * at[1]), text, colour, font, anchor)

    def heading(self, at: Point, text: str, size_px: int = TEXT_PX) -> None:
        """Set one row of bold words on its base line."""
        font = typeface.bold(FINER * size_px)
        self._draw.text((FINER * at[0], FINER * at[1]), text, INK, font, "ls")

    def rows(self, text: str, width_px: float, most: int) -> list[str]:
        """Break words into rows of a width."""
        return typeface.wrapped(text, typeface.regular(FINER * TEXT_PX), FINER * width_px, most)

    def png(self) -> bytes:
        """Return the picture as a PNG."""
        size = (self._image.width // FINER, self._image.height // FINER)
        sink = io.BytesIO()
        self._image.resize(size, Image.Resampling.BOX).save(sink, "PNG", optimize=True)
        return sink.getvalue()
