"""The reading as a plain-text table for a terminal; needs neither colour nor width."""

import statistics
from collections.abc import Sequence

from scribegauge.report.columns import COLUMNS, Row, grid, one_line, paragraph
from scribegauge.report.constructiontable import construction_rows
from scribegauge.report.fittable import fit_rows
from scribegauge.report.judgewords import grade_sentences, odds_sentence, trial_rows
from scribegauge.report.reading import AngleReading, PrickReading, Reading, SideReading, Term
from scribegauge.report.words import (
    DASH,
    angle_word,
    decimals_for,
    headline,
    plain_term,
    shown_word,
    side_name,
    side_word,
    signed,
)
from scribegauge.report.worktable import arc_rows, work_rows
from scribetarget.wording import digits, say

_TERMS_SHOWN = 3
_PLACES_UNMEASURED = 3


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
        fit_rows(reading),
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


def _heads(first: str) -> list[str]:
    return [first, say("intended"), say("measured"), say("deviation"), "U"]


def _sides(reading: Reading) -> list[str]:
    rows = [
        _row(
            side_name(s),
            (s.intended_mm, s.measured_mm, s.deviation_mm, s.U_mm),
            shown_word(side_word(reading, s)),
        )
        for s in reading.sides
    ]
    return grid(_heads(say("Side [mm]")), rows) if rows else []


def _angles(angles: Sequence[AngleReading]) -> list[str]:
    rows = [
        _row(
            a.at,
            (a.intended_deg, a.measured_deg, a.deviation_deg, a.U_deg),
            shown_word(angle_word(a)),
        )
        for a in angles
    ]
    return grid(_heads(say("Angle [°]")), rows) if rows else []


def _row(
    name: str, values: tuple[float, float | None, float | None, float | None], word: str
) -> Row:
    intended, measured, deviation, expanded = values
    if measured is None or deviation is None or expanded is None:
        return Row(name, (digits(intended, _PLACES_UNMEASURED), DASH, DASH, DASH), word)
    own = decimals_for(expanded)
    texts = (digits(intended, own), digits(measured, own), signed(deviation, expanded))
    return Row(name, (*texts, digits(expanded, own)), word)


def _pricks(pricks: Sequence[PrickReading]) -> list[str]:
    rows = []
    for prick in pricks:
        if prick.at and prick.off_corner_mm is not None:
            places = decimals_for(prick.U_mm)
            numbers = (digits(prick.off_corner_mm, places), digits(prick.U_mm, places))
            rows.append(Row(prick.at, numbers))
    return grid([say("Prick [mm]"), say("off corner"), "U"], rows) if rows else []


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
    return [say("Please note"), *lines] if lines else []


def _limits(reading: Reading) -> list[str]:
    typical = typical_side(reading.sides)
    if typical is None or not typical.terms or typical.U_mm is None:
        return []
    places = decimals_for(typical.U_mm)
    name, expanded = side_name(typical), digits(typical.U_mm, places)
    head = say("What limits a typical side ({side}, U {U} mm)", side=name, U=expanded)
    largest: list[Term] = sorted(typical.terms, key=lambda term: -term.u)[:_TERMS_SHOWN]
    rows = [f"{digits(2 * term.u, places):>10} mm  {plain_term(term)}" for term in largest]
    return [*paragraph(head, COLUMNS, "  "), *(one_line_kept(row) for row in rows)]


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
