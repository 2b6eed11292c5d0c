"""How long words are on paper, and rows of a paragraph."""

from scribegauge.drawings.record import Item, Words
from scribegauge.drawings.svgfile import CAPITALS
from scribegauge.report import typeface

_FINE = 100  # of a font's size: lengths to a hundredth of a letter


def width_mm(text: str, height_mm: float, *, bold: bool = False) -> float:
    """Return how long words of a capitals' height are."""
    font = typeface.bold(_FINE) if bold else typeface.regular(_FINE)
    return font.getlength(text) / _FINE * height_mm / CAPITALS


def rows_of(text: str, room_mm: float, height_mm: float) -> list[str]:
    """Break a paragraph into rows that are no longer than there is room."""
    rows: list[str] = []
    for word in text.split():
        joined = f"{rows[-1]} {word}" if rows else word
        if rows and width_mm(joined, height_mm) <= room_mm:
            rows[-1] = joined
        else:
            rows.append(word)
    return rows


def paragraph(
    text: str, at_mm: tuple[float, float], room_mm: float, height_mm: float
) -> tuple[list[Item], float]:
    """Set a paragraph.

    Parameters
    ----------
    text : str
    at_mm : (float, float)
        Left end of the first row, at the middle of its capitals.
    room_mm : float
    height_mm : float
        Of capitals.

    Returns
    -------
    (list of Words, float)
        And where the next row would stand [mm].
    """
    x, y = at_mm
    words: list[Item] = []
    for row in rows_of(text, room_mm, height_mm):
        words.append(Words((x, y), row, height_mm, "rule", "start"))
        y += row_mm(height_mm)
    return words, y


def row_mm(height_mm: float) -> float:
    """Return the distance of rows."""
    return 1.95 * height_mm
