"""The reading as a plain-text table for a terminal; needs neither colour nor width."""

import statistics
from collections.abc import Sequence

from scribegauge.report.constructionwords import construction_rows
from scribegauge.report.judgewords import grade_sentences, odds_sentence, trial_rows
from scribegauge.report.reading import AngleReading, PrickReading, Reading, SideReading, Term
from scribegauge.report.words import (
    DASH,
    angle_word,
    decimals_for,
    headline,
    one_line,
    paragraph,
    plain_term,
    side_name,
    side_word,
    signed,
)
from scribegauge.report.worktable import arc_rows, work_rows

COLUMNS = 80

_NAME = 10
_NUMBER = 12
_TERMS_SHOWN = 3
_HEAD = f"{'intended':>{_NUMBER}}{'measured':>{_NUMBER}}{'deviation':>{_NUMBER}}{'U':>{_NUMBER}}"


def table(reading: Reading) -> str:
    """Set out a reading for a person.

    Parameters
    ----------
    reading : Reading

    Returns
    -------
    str
        Lines of at most 80 columns: what came out, sides and angles with their expanded
        uncertainty (k = 2), pricks, reasons, and what limits the accuracy most.
    """
    blocks = [
        _opening(reading),
        _sides(reading),
        _angles(reading.angles),
        _pricks(reading.pricks),
        arc_rows(reading),
        construction_rows(reading.construction),
        _reasons(reading),
        work_rows(reading),
        _limits(reading),
        trial_rows(reading),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _opening(reading: Reading) -> list[str]:
    title = one_line(reading.title, COLUMNS)
    said = [headline(reading), odds_sentence(reading)]
    rows = [row for sentence in said for row in paragraph(sentence, COLUMNS)]
    grades = grade_sentences(reading.grade) if reading.grade is not None else []
    rows += [row for sentence in grades for row in paragraph(sentence, COLUMNS, "  ")]
    return ([title] if title else []) + rows


def _sides(reading: Reading) -> list[str]:
    sides = reading.sides
    if not sides:
        return []
    places = max((decimals_for(s.U_mm) for s in sides if s.U_mm is not None), default=3)
    return [f"{'Side [mm]':{_NAME}}{_HEAD}"] + [
        _row(
            side_name(s),
            (s.intended_mm, s.measured_mm, s.deviation_mm, s.U_mm),
            places,
            side_word(reading, s),
        )
        for s in sides
    ]


def _angles(angles: Sequence[AngleReading]) -> list[str]:
    if not angles:
        return []
    places = max((decimals_for(a.U_deg) for a in angles if a.U_deg is not None), default=3)
    return [f"{'Angle [°]':{_NAME}}{_HEAD}"] + [
        _row(
            a.at,
            (a.intended_deg, a.measured_deg, a.deviation_deg, a.U_deg),
            places,
            angle_word(a),
        )
        for a in angles
    ]


def _row(
    name: str,
    values: tuple[float, float | None, float | None, float | None],
    places: int,
    word: str,
) -> str:
    intended, measured, deviation, expanded = values
    if measured is None or deviation is None or expanded is None:
        cells = [_cell(f"{intended:.{min(places, 3)}f}", places), *[_cell(DASH, 0)] * 3]
    else:
        own = decimals_for(expanded)
        texts = (f"{intended:.{own}f}", f"{measured:.{own}f}", signed(deviation, expanded))
        cells = [_cell(text, places) for text in (*texts, f"{expanded:.{own}f}")]
    return f"{name:{_NAME}}{''.join(cells)}   {word}".rstrip()


def _cell(text: str, places: int) -> str:
    """Set a number so that the points of a column stand below each other."""
    after = len(text.partition(".")[2])
    point = 1 if after else 0
    wanted = places + 1 if places else 0
    return (text + " " * max(wanted - after - point, 0)).rjust(_NUMBER)


def _pricks(pricks: Sequence[PrickReading]) -> list[str]:
    placed = [p for p in pricks if p.at and p.off_corner_mm is not None]
    if not placed:
        return []
    rows = []
    for prick in placed:
        places = decimals_for(prick.U_mm)
        numbers = (f"{prick.off_corner_mm:.{places}f}", f"{prick.U_mm:.{places}f}")
        rows.append(f"{prick.at:{_NAME}}" + "".join(f"{number:>{_NUMBER}}" for number in numbers))
    return [f"{'Prick [mm]':{_NAME}}{'off corner':>{_NUMBER}}{'U':>{_NUMBER}}", *rows]


def _reasons(reading: Reading) -> list[str]:
    told = {reason.text: "" for reason in reading.reasons[:1] if reading.status == "refused"}
    texts: dict[str, list[str]] = {}
    for reason in reading.reasons:
        if reason.text not in told:
            texts.setdefault(reason.text, [])
    for side in reading.sides:
        for reason in side.reasons:
            texts.setdefault(reason.text, []).append(side_name(side))
    for angle in reading.angles:
        for reason in angle.reasons:
            texts.setdefault(reason.text, []).append(angle.at)
    lines: list[str] = []
    for text, places in texts.items():
        lead = f"{', '.join(places)}: " if places else ""
        lines += paragraph(f"- {lead}{text}", COLUMNS, "  ")
    return ["Please note", *lines] if lines else []


def _limits(reading: Reading) -> list[str]:
    typical = typical_side(reading.sides)
    if typical is None or not typical.terms or typical.U_mm is None:
        return []
    places = decimals_for(typical.U_mm)
    head = f"What limits a typical side ({side_name(typical)}, U {typical.U_mm:.{places}f} mm)"
    largest: list[Term] = sorted(typical.terms, key=lambda term: -term.u)[:_TERMS_SHOWN]
    rows = [f"{2 * term.u:10.{places}f} mm  {plain_term(term)}" for term in largest]
    return [head, *(one_line_kept(row) for row in rows)]


def one_line_kept(row: str) -> str:
    """Cut a row to the width without touching the spaces that set its columns."""
    return row if len(row) <= COLUMNS else row[: COLUMNS - 1] + "…"


def typical_side(sides: Sequence[SideReading]) -> SideReading | None:
    """Give the measured side whose uncertainty is the (lower) median, None when none was measured."""
    found = [s for s in sides if s.U_mm is not None]
    if not found:
        return None
    middle = statistics.median_low([s.U_mm for s in found if s.U_mm is not None])
    return next(s for s in found if s.U_mm == middle)
