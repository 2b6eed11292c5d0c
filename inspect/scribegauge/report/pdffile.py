"""The report as PDF: what the page shows, on paper."""

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import SimpleDocTemplate

from scribegauge.photo.record import Photo
from scribegauge.report import closeupwords, pdfletters
from scribegauge.report import reportwords as say
from scribegauge.report.cleantext import clean
from scribegauge.report.closeupdrawing import close_up_drawing
from scribegauge.report.closeups import SHOWN_MM, SPAN_MM
from scribegauge.report.drawing import Drawing, Photograph
from scribegauge.report.drawingstyle import BLUE, RED, SOFT
from scribegauge.report.htmlfile import Page, corner_key, page_of
from scribegauge.report.pdfblocks import (
    BODY,
    CAPTION,
    CELL,
    FIRST,
    LONG_TITLE,
    SMALL,
    TITLE,
    Block,
    beside,
    boxed,
    grid,
    heading,
    led,
    paint_of,
    together,
    words,
)
from scribegauge.report.pdfdrawing import DrawingBlock
from scribegauge.report.pdftables import (
    arc_table,
    construction_blocks,
    line_table,
    measured_table,
    meeting_table,
    prick_table,
    quality_table,
)
from scribegauge.report.plotdrawing import plot_drawing
from scribegauge.report.reading import Reading
from scribetarget.paper import PAPERS, Paper
from scribetarget.wording import spoken

_MARGIN_MM = 14.0
_SIDES = ("leftMargin", "rightMargin", "topMargin", "bottomMargin")
_PADDING_PT = 6.0  # of reportlab's frames, on each side
_LONG_TITLE = 80
_TALLEST_MM = 150.0
_KEY_MM = 6.0
_FOOT_PT = 7.5


@dataclass(frozen=True, slots=True)
class _Room:
    """Width between the margins [pt]."""

    width_pt: float

    @property
    def half_pt(self) -> float:
        """Width of one of two columns."""
        return self.width_pt / 2 - 10.0


def write_pdf(photo: Photo | None, reading: Reading, paper: Paper = PAPERS["a4"]) -> bytes:
    """Write the report as PDF.

    Parameters
    ----------
    photo : Photo or None
        The first photo of the reading, upright; None where none could be read.
    reading : Reading
        A refusal gives a report too: why, and what to do about it.
    paper : Paper

    Returns
    -------
    bytes
        A PDF with its letters and pictures inside. The same photo and reading give the same bytes.
    """
    page = page_of(photo, reading)
    sink = io.BytesIO()
    document = SimpleDocTemplate(
        sink,
        pagesize=(paper.width_mm * mm, paper.height_mm * mm),
        **dict.fromkeys(_SIDES, _MARGIN_MM * mm - _PADDING_PT),
        title=clean(page.title),
        author=clean(reading.program),
        subject=clean(page.verdict.first),
        lang=spoken().tag,
        invariant=1,
    )
    room = _Room((paper.width_mm - 2 * _MARGIN_MM) * mm)
    foot = partial(_foot, title=page.title)
    document.build(list(_story(page, room)), onFirstPage=foot, onLaterPages=foot)
    return sink.getvalue()


def _foot(canvas: Any, document: Any, *, title: str) -> None:
    canvas.saveState()
    pdfletters.letters()
    canvas.setFont(pdfletters.REGULAR, _FOOT_PT)
    canvas.setFillColor(paint_of(SOFT))
    right = document.pagesize[0] - _MARGIN_MM * mm
    canvas.drawRightString(right, 8 * mm, str(document.page))
    canvas.drawString(_MARGIN_MM * mm, 8 * mm, pdfletters.drawn(title[:_LONG_TITLE]))
    canvas.restoreState()


def _story(page: Page, room: _Room) -> Iterator[Block]:
    yield from _top(page, room)
    yield from _figure(page, room)
    yield from _numbers(page, room)
    yield from _corners(page, room)
    for section in (prick_table, arc_table):
        yield from section(page, room.width_pt)
    yield from construction_blocks(page.construction, room.width_pt)
    for section in (meeting_table, quality_table, line_table):
        yield from section(page, room.width_pt)
    yield from _limits(page)
    yield from _settings(page, room)
    yield together([*heading(say.CAUTIONS), words(say.CAUTIONS_TEXT)])
    if any(map(pdfletters.lacking, _strange(page))):
        yield words(say.no_letters(pdfletters.MISSING), SMALL)


def _strange(page: Page) -> Sequence[str]:
    """Give the strings that files and people can put anything into."""
    reasons = [reason.text for reason in page.reading.reasons]
    return [page.title, *reasons, *(value for _, value in page.settings)]


def _top(page: Page, room: _Room) -> Iterator[Block]:
    yield words(f"{say.KIND} {page.date}", SMALL)
    yield words(page.title, LONG_TITLE if len(page.title) > _LONG_TITLE else TITLE)
    verdict = [words(page.verdict.first, FIRST), *(words(text) for text in page.verdict.more)]
    bad = page.any_outside or page.reading.status == "refused"
    yield boxed(verdict, room.width_pt, RED if bad else BLUE)
    if page.reading.status == "warned" and page.reading.reasons:
        yield from heading(say.CARE)
        for reason in page.reading.reasons:
            yield words(f"• {reason.text}")


def _figure(page: Page, room: _Room) -> Iterator[Block]:
    drawing = page.overlay
    if drawing is None and page.photo is not None:
        high, wide = page.photo.rgb.shape[:2]
        picture = Photograph(page.photo.rgb, (-0.5, -0.5), wide, high)
        drawing = Drawing(wide, high, (picture,))
    if drawing is None:
        return
    tallest = _TALLEST_MM * mm * drawing.width_px / drawing.height_px
    figure = DrawingBlock(drawing, min(room.width_pt, tallest), "CENTER")
    figure.spaceBefore = 8.0
    yield figure
    if page.overlay is None:
        yield words(say.NOT_JUDGED, SMALL)


def _numbers(page: Page, room: _Room) -> Iterator[Block]:
    if page.sides:
        yield from heading(say.NUMBERS)
        columns = [
            measured_table(say.SIDES, say.SIDE, page.sides, room.half_pt),
            measured_table(say.ANGLES, say.ANGLE, page.angles, room.half_pt),
        ]
        yield beside(columns, room.width_pt)
        for names, text in page.notes:
            yield words(f"• {names}: {text}")
        judged = f" {say.JUDGED_NOTE}" if page.judged else ""
        yield words(f"{say.NUMBERS_NOTE}{judged}", SMALL)
    if page.plots:
        drawn = [
            [words(plot.title, CAPTION), DrawingBlock(plot_drawing(plot), room.half_pt)]
            for plot in page.plots
        ]
        note = words(say.BAND_NOTE if page.banded else say.PLOT_NOTE, SMALL)
        yield together([*heading(say.DEVIATIONS), beside(drawn, room.width_pt), note])


def _corners(page: Page, room: _Room) -> Iterator[Block]:
    if not page.close_ups:
        return
    wide = SHOWN_MM * mm
    tiles = [
        [
            DrawingBlock(close_up_drawing(each), wide),
            words(each.name, CAPTION),
            *(words(note, CELL) for note in each.notes),
        ]
        for each in page.close_ups
    ]
    rows = [tiles[k : k + 3] for k in range(0, len(tiles), 3)]
    key = [
        [[DrawingBlock(drawing, _KEY_MM * mm), words(text, SMALL)]]
        for drawing, text in corner_key(page)
    ]
    first = [
        *heading(closeupwords.heading(SPAN_MM)),
        grid([[cell[0] for cell in key]], len(key), room.width_pt, 6.0),
        grid(rows[:1], 3, room.width_pt, 0.0),
    ]
    yield together(first)
    if rows[1:]:
        yield grid(rows[1:], 3, room.width_pt, 0.0)
    yield words(closeupwords.NOTE, SMALL)


def _limits(page: Page) -> Iterator[Block]:
    limits = page.limits
    if limits is None:
        return
    side = f"{limits.side.start}–{limits.side.end}"
    blocks = [*heading(say.LIMITS), words(say.limits_intro(side, limits.expanded))]
    for k, row in enumerate(limits.rows, 1):
        size = say.limit_size(row.expanded, row.percent)
        blocks.append(led(f"{k}. {row.cause}:", f"{size} {row.cure}"))
    yield together(blocks)


def _settings(page: Page, room: _Room) -> Iterator[Block]:
    rows = [[[led(name, "")], [words(value, BODY)]] for name, value in page.settings]
    first, *rest = (_setting(row, room) for row in rows)
    yield together([*heading(say.SETTINGS), first])
    yield from rest


def _setting(row: Sequence[Sequence[Block]], room: _Room) -> Block:
    block = grid([row], 2, room.width_pt, 6.0)
    block._argW = [0.25 * room.width_pt, 0.75 * room.width_pt]
    return block
