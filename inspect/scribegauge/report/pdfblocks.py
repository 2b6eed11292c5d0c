"""Paragraphs, tables and rows of drawings as a PDF's pages are made of them."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import Color
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import HRFlowable, KeepTogether, Paragraph, Spacer, Table, TableStyle

from scribegauge.report import pdfletters
from scribegauge.report.drawingstyle import GROUND, INK, RED, RULE, SOFT, WHITE, Colour
from scribegauge.report.pdfletters import marked_up
from scribegauge.report.words import shown_word

Block = Any  # reportlab has no types

_GAP_PT = 6.0


def paint_of(colour: Colour) -> Color:
    """Give a colour as the PDF writer wants it."""
    red, green, blue = colour
    return Color(red / 255, green / 255, blue / 255)


def _style(name: str, size_pt: float, colour: Colour = INK, **more: object) -> ParagraphStyle:
    settings: dict[str, object] = {
        "fontName": pdfletters.REGULAR,
        "fontSize": size_pt,
        "leading": 1.35 * size_pt,
        "textColor": paint_of(colour),
        "splitLongWords": 1,
        **more,
    }
    return ParagraphStyle(name, **settings)


BODY = _style("body", 9.0, spaceAfter=4)
SMALL = _style("small", 8.0, SOFT, spaceBefore=3, spaceAfter=4)
TITLE = _style("title", 17.0, fontName=pdfletters.BOLD, spaceAfter=6)
LONG_TITLE = _style("long title", 11.0, fontName=pdfletters.BOLD, spaceAfter=6)
HEADING = _style("heading", 12.0, fontName=pdfletters.BOLD, spaceBefore=3, spaceAfter=4)
CAPTION = _style("caption", 9.0, fontName=pdfletters.BOLD, spaceAfter=2)
FIRST = _style("first", 12.0, fontName=pdfletters.BOLD, spaceAfter=4)
CELL = _style("cell", 8.0)
NUMBER = _style("number", 8.0, alignment=TA_RIGHT)
HEAD = _style("head", 7.0, fontName=pdfletters.BOLD)
HEAD_NUMBER = _style("head number", 7.0, fontName=pdfletters.BOLD, alignment=TA_RIGHT)
NAME = _style("name", 8.0, fontName=pdfletters.BOLD)
OUTSIDE = _style("outside", 8.0, RED, fontName=pdfletters.BOLD)


def words(text: str, style: ParagraphStyle = BODY) -> Block:
    """Set a paragraph; nothing in it is taken for markup."""
    return Paragraph(marked_up(text), style)


def led(lead: str, text: str, style: ParagraphStyle = BODY) -> Block:
    """Set a paragraph that begins in bold."""
    return Paragraph(f"<b>{marked_up(lead)}</b> {marked_up(text)}", style)


def heading(text: str) -> list[Block]:
    """Set a heading with its rule; it stays with what follows."""
    rule = HRFlowable(width="100%", thickness=1.2, color=paint_of(INK), spaceBefore=10)
    rule.keepWithNext = 1
    title = words(text, HEADING)
    title.keepWithNext = 1
    return [rule, title]


def boxed(blocks: Sequence[Block], width_pt: float, edge: Colour) -> Block:
    """Set blocks on a ground of their own with a strong edge at the left."""
    table = Table([[list(blocks)]], colWidths=[width_pt])
    table.setStyle(
        TableStyle(
            [
                ("BACKGROUND", (0, 0), (-1, -1), paint_of(GROUND)),
                ("LINEBEFORE", (0, 0), (0, -1), 4, paint_of(edge)),
                ("LEFTPADDING", (0, 0), (-1, -1), 10),
                ("TOPPADDING", (0, 0), (-1, -1), 6),
            ]
        )
    )
    return table


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table: its head, its rows, which columns hold words, and what each takes of the width."""

    head: Sequence[str]
    rows: Sequence[Sequence[str]]
    worded: frozenset[int]
    shares: Sequence[float]
    caption: str = ""


def table(sheet: Sheet, width_pt: float) -> list[Block]:
    """Set a table with its caption; the head comes again on every page."""
    total = sum(sheet.shares)
    cells = [[_head(text, k, sheet) for k, text in enumerate(sheet.head)]]
    cells += [[_cell(text, k, sheet) for k, text in enumerate(row)] for row in sheet.rows]
    top = 0
    if sheet.caption:
        cells.insert(0, [words(sheet.caption, CAPTION), *[""] * (len(sheet.head) - 1)])
        top = 1
    made = Table(
        cells,
        colWidths=[width_pt * share / total for share in sheet.shares],
        repeatRows=top + 1,
        hAlign="LEFT",
    )
    made.setStyle(
        TableStyle(
            [
                *([("SPAN", (0, 0), (-1, 0))] if top else []),
                ("LINEBELOW", (0, top), (-1, top), 1.2, paint_of(INK)),
                ("LINEBELOW", (0, top + 1), (-1, -1), 0.4, paint_of(RULE)),
                *_CELLS,
            ]
        )
    )
    return [made, Spacer(1, _GAP_PT)]


_CELLS = (
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 1),
    ("RIGHTPADDING", (0, 0), (-1, -1), 3),
    ("TOPPADDING", (0, 0), (-1, -1), 1.5),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
)


def _head(text: str, column: int, sheet: Sheet) -> Block:
    worded = column == 0 or column in sheet.worded
    return words(text, HEAD if worded else HEAD_NUMBER)


def _cell(text: str, column: int, sheet: Sheet) -> Block:
    if column == 0:
        return words(text, NAME)
    if column not in sheet.worded:
        return words(text, NUMBER)
    return words(text, OUTSIDE if text == shown_word("outside") else CELL)


def beside(columns: Sequence[Sequence[Block]], width_pt: float, gap_pt: float = 10.0) -> Block:
    """Set columns of blocks side by side, each as wide as the others."""
    return grid([list(columns)], len(columns), width_pt, gap_pt)


def grid(
    rows: Sequence[Sequence[Sequence[Block]]], across: int, width_pt: float, gap_pt: float
) -> Block:
    """Set cells of blocks in rows of so many; a row stays on one page."""
    filled = [[list(cell) for cell in row] + [""] * (across - len(row)) for row in rows]
    made = Table(filled, colWidths=[width_pt / across] * across, hAlign="LEFT")
    made.setStyle(
        TableStyle(
            [
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), gap_pt),
                ("TOPPADDING", (0, 0), (-1, -1), 0),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
                ("BACKGROUND", (0, 0), (-1, -1), paint_of(WHITE)),
            ]
        )
    )
    return made


def together(blocks: Sequence[Block]) -> Block:
    """Keep blocks on one page."""
    return KeepTogether(list(blocks))
