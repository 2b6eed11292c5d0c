"""A construction compared with the plate in the plain-text table."""

from collections.abc import Sequence

from scribegauge.report.columns import COLUMNS, Row, grid, paragraph
from scribegauge.report.constructionreading import ConstructionReading, StepReading
from scribegauge.report.constructionwords import construction_sentences
from scribegauge.report.words import DASH, decimals_for
from scribetarget.wording import digits, say

_PLACES_UNMEASURED = 3


def construction_rows(construction: ConstructionReading | None) -> list[str]:
    """Set out a construction in lines of at most 80 columns; empty without one."""
    if construction is None:
        return []
    lines: list[str] = []
    for sentence in construction_sentences(construction):
        lines += paragraph(sentence, COLUMNS, "  ")
    heads = [say("intended"), say("method"), say("scribed"), say("method off"), say("hand off")]
    sides = [
        _row(s.side, (s.intended_mm, s.method_mm, s.scribed_mm), s.hand_error_mm, s.U_mm)
        for s in construction.sides
    ]
    angles = [
        _row(a.at, (a.intended_deg, a.method_deg, a.scribed_deg), a.hand_error_deg, a.U_deg)
        for a in construction.angles
    ]
    lines += ["", *grid([say("Side [mm]"), *heads], sides)]
    lines += ["", *grid([say("Angle [°]"), *heads], angles)]
    return [*lines, *_step_rows(construction.steps)]


def _row(
    name: str,
    values: tuple[float, float, float | None],
    hand: float | None,
    expanded: float | None,
) -> Row:
    intended, method, scribed = values
    places = _PLACES_UNMEASURED if expanded is None else decimals_for(expanded)
    cells = (
        digits(intended, places),
        digits(method, places),
        DASH if scribed is None else digits(scribed, places),
        digits(round(method - intended, places) + 0.0, places, "+"),
        DASH if hand is None else digits(round(hand, places) + 0.0, places, "+"),
    )
    return Row(name.replace("-", DASH), cells)


def _step_rows(steps: Sequence[StepReading]) -> list[str]:
    rows = []
    for step in steps:
        places = _PLACES_UNMEASURED if step.U_mm is None else decimals_for(step.U_mm)
        own = DASH if step.seen else say("not seen")
        cells = (
            own if step.own_mm is None else digits(step.own_mm, places),
            DASH if step.U_mm is None else digits(step.U_mm, places),
            digits(step.inherited_mm, min(places, _PLACES_UNMEASURED)),
        )
        word = say("stands out") if step.named else ""
        rows.append(Row(f"{step.number:>3} {step.mark}", cells, word))
    heads = [say("Step [mm]"), say("own"), "U", say("inherited")]
    return ["", *grid(heads, rows)] if rows else []
