"""A construction set out in cells of text, for the page."""

from dataclasses import dataclass

from scribegauge.report.constructionreading import ConstructionReading, StepReading
from scribegauge.report.constructionwords import construction_sentences
from scribegauge.report.words import DASH, decimals_for, typographic
from scribetarget.wording import digits, say


@dataclass(frozen=True, slots=True)
class PartCells:
    """One side or angle: intended, method, scribed, and the two errors."""

    name: str
    intended: str
    method: str
    scribed: str
    method_off: str
    hand_off: str


@dataclass(frozen=True, slots=True)
class StepCells:
    """One step; `own` says so where the mark was not seen."""

    number: int
    words: str
    own: str
    expanded: str
    inherited: str
    named: bool


@dataclass(frozen=True, slots=True)
class ConstructionCells:
    """Everything the page shows of a construction."""

    sentences: tuple[str, ...]
    sources: tuple[str, ...]
    sides: tuple[PartCells, ...]
    angles: tuple[PartCells, ...]
    steps: tuple[StepCells, ...]


def construction_cells(construction: ConstructionReading | None) -> ConstructionCells | None:
    """Set out a construction; None where the layout names none."""
    if construction is None:
        return None
    return ConstructionCells(
        sentences=tuple(map(typographic, construction_sentences(construction))),
        sources=construction.sources,
        sides=tuple(
            _part(s.side, (s.intended_mm, s.method_mm, s.scribed_mm), s.hand_error_mm, s.U_mm)
            for s in construction.sides
        ),
        angles=tuple(
            _part(a.at, (a.intended_deg, a.method_deg, a.scribed_deg), a.hand_error_deg, a.U_deg)
            for a in construction.angles
        ),
        steps=tuple(map(_step, construction.steps)),
    )


def _part(
    name: str,
    values: tuple[float, float, float | None],
    hand: float | None,
    expanded: float | None,
) -> PartCells:
    intended, method, scribed = values
    places = 3 if expanded is None else decimals_for(expanded)

    def signed(value: float | None) -> str:
        if value is None:
            return DASH
        return typographic(digits(round(value, places) + 0.0, places, "+"))

    return PartCells(
        name=name.replace("-", DASH),
        intended=digits(intended, places),
        method=digits(method, places),
        scribed=DASH if scribed is None else digits(scribed, places),
        method_off=signed(method - intended),
        hand_off=signed(hand),
    )


def _step(step: StepReading) -> StepCells:
    places = 3 if step.U_mm is None else decimals_for(step.U_mm)
    unseen = DASH if step.seen else say("not seen")
    return StepCells(
        number=step.number,
        words=step.words,
        own=unseen if step.own_mm is None else digits(step.own_mm, places),
        expanded=DASH if step.U_mm is None else digits(step.U_mm, places),
        inherited=digits(step.inherited_mm, min(places, 3)),
        named=step.named,
    )
