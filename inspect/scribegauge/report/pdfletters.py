"""The letters of a PDF: packed with the program, and what of a text they can show."""

import unicodedata
from functools import cache
from html import escape

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from scribegauge.report import typeface
from scribegauge.report.cleantext import clean
from scribegauge.report.visualorder import visual

REGULAR, BOLD = "Report", "Report-Bold"
MISSING = "\N{WHITE SQUARE}"
# Without a shape of their own: joiners, selectors, marks of direction.
_SHAPELESS = frozenset({"Cf", "Mn", "Me"})


@cache
def letters() -> frozenset[int]:
    """Make the letters known to the PDF writer; return all that both weights have."""
    known = []
    for name, file in ((REGULAR, typeface.REGULAR), (BOLD, typeface.BOLD)):
        font = TTFont(name, str(typeface.FOLDER / file))
        pdfmetrics.registerFont(font)
        known.append(frozenset(font.face.charToGlyph))
    pdfmetrics.registerFontFamily(REGULAR, normal=REGULAR, bold=BOLD, italic=REGULAR)
    return known[0] & known[1]


def drawn(text: str) -> str:
    """Return one line of text as it is drawn: in order of place, a square for missing letters."""
    return visual("".join(_shown(character) for character in clean(text)))


def marked_up(text: str) -> str:
    """Return text for a paragraph: as drawn, and nothing in it taken for markup."""
    return escape(drawn(text), quote=False)


def lacking(text: str) -> bool:
    """Tell whether letters of a text are missing."""
    return any(_shown(character) == MISSING != character for character in clean(text))


def _shown(character: str) -> str:
    if ord(character) in letters():
        return character
    return "" if unicodedata.category(character) in _SHAPELESS else MISSING
