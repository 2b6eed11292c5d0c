"""The overlay's letters: DejaVu Sans, packed with the program (see fonts/README.md)."""

from functools import cache
from pathlib import Path

from PIL import ImageFont

_FOLDER = Path(__file__).parent / "fonts"


@cache
def regular(size_px: int) -> ImageFont.FreeTypeFont:
    """Open DejaVu Sans."""
    return ImageFont.truetype(str(_FOLDER / "DejaVuSans.ttf"), size_px)


@cache
def bold(size_px: int) -> ImageFont.FreeTypeFont:
    """Open DejaVu Sans Bold."""
    return ImageFont.truetype(str(_FOLDER / "DejaVuSans-Bold.ttf"), size_px)


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
