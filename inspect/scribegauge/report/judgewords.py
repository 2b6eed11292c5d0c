"""Grades, probabilities and random trials in words and rows."""

from dataclasses import dataclass

import numpy as np

from scribegauge.report.columns import COLUMNS, Row, grid, paragraph
from scribegauge.report.judgereading import CriterionReading, GradeReading
from scribegauge.report.reading import AngleReading, Reading, SideReading
from scribegauge.report.words import decimals_for, side_name
from scribegauge.uncertainty.propagation import COVERAGE_FACTOR, coverage_factor
from scribegauge.uncertainty.trials import PROBABILITY
from scribetarget.wording import digits, later, say

_OF = {
    "largest_mm": later("Largest deviation of the sides"),
    "rms_mm": later("Deviation of the sides (root mean square)"),
    "largest_deg": later("Largest deviation of the angles"),
    "rms_deg": later("Deviation of the angles (root mean square)"),
}
_AGREE = {
    True: later("agree"),
    False: later("differ"),
    None: later("too few trials to tell"),
}
_HUNDRED = 100.0


def grade_sentences(grade: GradeReading) -> list[str]:
    """Say which grade a plate has, and by what.

    Parameters
    ----------
    grade : GradeReading

    Returns
    -------
    list of str
        The grade, then a sentence for each number that was graded.
    """
    first = say("Grade: {grades}.", grades=either(grade.possible))
    if len(grade.possible) > 1:
        why = say("U reaches over a border, or something was not seen: this photo cannot tell.")
        first = f"{first} {why}"
    return [first, *(_criterion(row) for row in grade.criteria)]


def either(names: tuple[str, ...]) -> str:
    """Join names by commas and a last or: ``B``, ``B or C``, ``B, C or D``."""
    if len(names) <= 1:
        return "".join(names)
    return say("{names} or {last}", names=", ".join(names[:-1]), last=names[-1])


def _criterion(row: CriterionReading) -> str:
    what = say(_OF[row.by])
    if row.value is None or row.U is None:
        return say("{what}: nothing measured.", what=what)
    unit = " mm" if row.by.endswith("_mm") else "°"
    places = decimals_for(row.U)
    size = f"{digits(row.value, places)} ± {digits(row.U, places)}{unit}"
    return f"{what}: {size}, {either(row.possible)}."


def odds_sentence(reading: Reading) -> str:
    """Say how probable it is that what is undecided keeps within its tolerance; may be empty."""
    rows = [(side_name(s), s.p_conform) for s in reading.sides if s.verdict == "undecided"]
    rows += [(a.at, a.p_conform) for a in reading.angles if a.verdict == "undecided"]
    told = [f"{name} {_HUNDRED * p:.0f} %" for name, p in rows if p is not None]
    if not told:
        return ""
    return say("Undecided; the chance that it is within: {chances}.", chances=", ".join(told))


def trial_rows(reading: Reading) -> list[str]:
    """Set out what random trials say of each side [mm] and angle [degrees]; empty without trials.

    Parameters
    ----------
    reading : Reading

    Returns
    -------
    list of str
        A head and a row for each, of at most 80 columns: half of the interval that holds 95 % of
        the trials, the same by first order, and whether the two agree.
    """
    if reading.trials is None:
        return []
    count = f"{reading.trials.count:,}".replace(",", " ")
    head = say(
        "Random trials, {count}, seed {seed}: half of what holds 95 %",
        count=count,
        seed=reading.trials.seed,
    )
    rows = [
        _trial_row(side_name(s), _Pair(s.trials.high_mm - s.trials.low_mm, s.U_mm, s))
        for s in reading.sides
        if s.trials is not None and s.U_mm is not None
    ]
    rows += [
        _trial_row(a.at, _Pair(a.trials.high_deg - a.trials.low_deg, a.U_deg, a))
        for a in reading.angles
        if a.trials is not None and a.U_deg is not None
    ]
    heads = ["", say("by trials"), say("by budget")]
    return [*paragraph(head, COLUMNS, "  "), *grid(heads, rows)]


@dataclass(frozen=True, slots=True)
class _Pair:
    """The length of an interval by trials, and U of the same quantity."""

    length: float
    expanded: float
    quantity: SideReading | AngleReading


def _trial_row(name: str, pair: _Pair) -> Row:
    freedom, trials = pair.quantity.degrees_of_freedom, pair.quantity.trials
    # U is taken with k = 2; the factor for just 95 % is 1.96, or more where readings are few.
    k = coverage_factor(np.inf if freedom is None else freedom, PROBABILITY)
    halves = (pair.length / 2, pair.expanded * k / COVERAGE_FACTOR)
    places = decimals_for(pair.expanded)
    cells = tuple(digits(half, places) for half in halves)
    agrees = None if trials is None else trials.agrees
    return Row(name, cells, say(_AGREE[agrees]))
