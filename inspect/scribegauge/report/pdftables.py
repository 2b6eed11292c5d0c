"""The tables of the report as a PDF has them."""

from collections.abc import Iterator, Sequence

from scribegauge.report import reportwords as say
from scribegauge.report.cells import Measured
from scribegauge.report.constructioncells import ConstructionCells, PartCells
from scribegauge.report.htmlfile import Page
from scribegauge.report.pdfblocks import SMALL, Block, Sheet, heading, table, words
from scribegauge.report.words import shown_word

# Of the width, where few columns would lie far apart.
_NARROW = 0.6


def measured_table(
    caption: str, kind: str, rows: Sequence[Measured], width_pt: float
) -> list[Block]:
    """Set the sides or the angles."""
    told = any(row.word for row in rows)
    head = [kind, *say.MEASURED_COLUMNS, *([say.VERDICT] if told else [])]
    cells = [
        [*(row.name, row.intended, row.measured, row.deviation, row.expanded), shown_word(row.word)]
        for row in rows
    ]
    cells = [row[: len(head)] for row in cells]
    shares = (0.85, 1.3, 1.4, 1.4, 0.95, 1.5)[: len(head)]
    return table(Sheet(head, cells, frozenset({5}), shares, caption), width_pt)


def prick_table(page: Page, width_pt: float) -> Iterator[Block]:
    """Set the pricks."""
    if page.pricks:
        rows = [[row.name, row.off, row.expanded, row.diameter] for row in page.pricks]
        sheet = Sheet(say.PRICK_COLUMNS, rows, frozenset(), (1, 1, 1, 1), say.PRICKS_CAPTION)
        yield from heading(say.PRICKS)
        yield from table(sheet, _NARROW * width_pt)


def arc_table(page: Page, width_pt: float) -> Iterator[Block]:
    """Set circles and arcs."""
    if page.arcs:
        rows = [[a.name, a.radius, a.expanded, a.centre, a.sweep, a.remark] for a in page.arcs]
        yield from heading(say.ARCS)
        yield from table(Sheet(say.ARC_COLUMNS, rows, frozenset({5}), (1, 1, 1, 1, 1, 4)), width_pt)


def meeting_table(page: Page, width_pt: float) -> Iterator[Block]:
    """Set where marks should meet, and what is remarkable about corners."""
    if not (page.meetings or page.work_notes):
        return
    yield from heading(say.MEETINGS)
    if page.meetings:
        rows = [[m.at, m.marks, m.miss, m.expanded] for m in page.meetings]
        sheet = Sheet(
            say.MEETING_COLUMNS, rows, frozenset({1}), (0.6, 3, 1, 1), say.MEETINGS_CAPTION
        )
        yield from table(sheet, 0.8 * width_pt)
    for note in page.work_notes:
        yield words(note, SMALL)


def quality_table(page: Page, width_pt: float) -> Iterator[Block]:
    """Set the quality of the lines."""
    if page.qualities:
        rows = [[q.name, q.width, q.word, q.wander, q.remark] for q in page.qualities]
        sheet = Sheet(say.QUALITY_COLUMNS, rows, frozenset({2, 4}), (1, 1.6, 2, 1.8, 5))
        yield from heading(say.QUALITY)
        yield from table(sheet, width_pt)
        yield words(say.QUALITY_NOTE, SMALL)


def line_table(page: Page, width_pt: float) -> Iterator[Block]:
    """Set how well the lines were seen."""
    if page.lines:
        rows = [
            [row.name, row.width, f"{row.look}{say.HINTED if row.hinted else ''}", row.seen]
            for row in page.lines
        ]
        sheet = Sheet(say.LINE_COLUMNS, rows, frozenset({2}), (1, 1, 3, 1))
        yield from heading(say.LINES)
        yield from table(sheet, 0.8 * width_pt)
        yield words(f"{say.LINES_NOTE} {say.other_lines(page.other_lines)}", SMALL)


def construction_blocks(construction: ConstructionCells | None, width_pt: float) -> Iterator[Block]:
    """Set what the construction could give, what the hand added, and the steps."""
    if construction is None:
        return
    yield from heading(say.CONSTRUCTION)
    for sentence in construction.sentences:
        yield words(sentence)
    yield from _parts(say.PARTS_SIDES, say.SIDE, construction.sides, width_pt)
    yield from _parts(say.PARTS_ANGLES, say.ANGLE, construction.angles, width_pt)
    if construction.steps:
        rows = [
            [
                str(row.number),
                f"{row.words} – {say.STANDS_OUT}" if row.named else row.words,
                *(row.own, row.expanded, row.inherited),
            ]
            for row in construction.steps
        ]
        sheet = Sheet(
            say.STEP_COLUMNS, rows, frozenset({1}), (0.7, 6, 1.2, 1, 1.2), say.STEPS_CAPTION
        )
        yield from table(sheet, width_pt)
    yield words(f"{say.PUBLISHED}: {'; '.join(construction.sources)}.", SMALL)


def _parts(caption: str, kind: str, rows: Sequence[PartCells], width_pt: float) -> Iterator[Block]:
    cells = [
        [row.name, row.intended, row.method, row.scribed, row.method_off, row.hand_off]
        for row in rows
    ]
    sheet = Sheet((kind, *say.PARTS_COLUMNS), cells, frozenset(), (1,) * 6, caption)
    yield from table(sheet, 0.8 * width_pt)
