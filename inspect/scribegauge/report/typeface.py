"""The overlay's letters: DejaVu Sans, packed with the program (see fonts/README.md)."""

from functools import cache
from pathlib import Path

from PIL import ImageFont

FOLDER = Path(__file__).parent / "fonts"
REGULAR, BOLD = "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"
# Letters are measured large, where hinting no longer shows.
_MEASURED_PX = 64


@cache
def _opened(name: str, size_px: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(FOLDER / name), size_px)


def regular(size_px: int) -> ImageFont.FreeTypeFont:
    """Open DejaVu Sans."""
    return _opened(REGULAR, size_px)


def bold(size_px: int) -> ImageFont.FreeTypeFont:
    """Open DejaVu Sans Bold."""
    return _opened(BOLD, size_px)


def fitted(text: str, font: ImageFont.FreeTypeFont, width_px: float) -> str:
    """Cut text that is wider than `width_px`, with an ellipsis."""
    if font.getlength(text) <= width_px:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if font.getlength(text[:middle].rstrip() + "…") <= width_px:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + "…"


def wrapped(text: str, font: ImageFont.FreeTypeFont, width_px: float, rows: int) -> list[str]:
    """Break text into at most `rows` rows; what is left over ends in an ellipsis."""
    out: list[str] = []
    words = text.split(" ")
    while words and len(out) < rows - 1:
        count = 1
        while count < len(words) and font.getlength(" ".join(words[: count + 1])) <= width_px:
            count += 1
        out.append(fitted(" ".join(words[:count]), font, width_px))
        words = words[count:]
    return [*out, fitted(" ".join(words), font, width_px)] if words else out


def length(text: str, size_px: float, *, bold: bool) -> float:
    """Return how wide a row of words is [px]; sizes need not be whole."""
    font = _opened(BOLD if bold else REGULAR, _MEASURED_PX)
    return font.getlength(text) * size_px / _MEASURED_PX
