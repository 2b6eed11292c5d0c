"""All words of the overlay: on the picture, in its key and among its facts."""

from collections.abc import Sequence
from typing import Final

from scribegauge.report.constructionreading import StepReading
from scribegauge.report.judgewords import either
from scribegauge.report.reading import AngleReading, Reading, SideReading
from scribegauge.report.settings import when
from scribegauge.report.table import typical_side
from scribegauge.report.words import (
    KEEP,
    MINUS,
    TIMES,
    class_name,
    decimals_for,
    named,
    one_line,
    shown_word,
    side_name,
    tidy,
    typographic,
    with_uncertainty,
)
from scribetarget.wording import digits, later, plain, say

# Said when they are asked for: each is looked up in the language spoken then.
FOUND: str
INTENDED: str
UNSEEN: str
PRICK: str

_TEXTS: Final[dict[str, str]] = {
    "FOUND": later("scribed side, as found"),
    "INTENDED": later("figure as intended"),
    "UNSEEN": later("side not seen"),
    "PRICK": later("prick"),
}


def __getattr__(name: str) -> str:
    """Give a text in the language spoken (PEP 562)."""
    if name in _TEXTS:
        return say(_TEXTS[name])
    raise AttributeError(name)


_STEP_COLUMNS = 90


def other_marks(reading: Reading) -> str:
    """Name what is drawn thin: lines and arcs that are no side."""
    return say("other line or arc") if reading.arcs else say("other line")


def enlarged(factor: int) -> str:
    """Say how much deviations are enlarged."""
    if factor == 1:
        return say("deviation, true size")
    return say("deviation, drawn {times}", times=f"{TIMES}{factor}")


def wrong_step_key(step: StepReading) -> str:
    """Name in the key the step that went wrong first."""
    return say("step {number}: first error", number=step.number)


def value_of(side: SideReading, lost: str) -> str:
    """Say a side's deviation and verdict in one row, or why it has none."""
    return side_forms(side, lost, "")[0][0]


def verdict_shown(verdict: str | None) -> str:
    """Give the verdict where it is not ``within``."""
    return shown_word(verdict) if verdict in {"outside", "undecided"} else ""


def side_forms(side: SideReading, lost: str, name: str) -> list[list[str]]:
    """Give a side's label in one row and, where it has an uncertainty, in two."""
    before = f"{name} " if name else ""
    if side.deviation_mm is None or side.U_mm is None:
        return [[f"{before}{lost}"]]
    value = typographic(with_uncertainty(side.deviation_mm, side.U_mm, " mm"))
    return _forms(before, value, f"{KEEP}mm", verdict_shown(side.verdict))


def angle_forms(angle: AngleReading) -> list[list[str]]:
    """Give an angle's label in two rows and in one; it names its corner."""
    if angle.deviation_deg is None or angle.U_deg is None:
        return []
    value = typographic(with_uncertainty(angle.deviation_deg, angle.U_deg, "°"))
    return _forms(f"{angle.at} ", value, "°", verdict_shown(angle.verdict))[::-1]


def _forms(before: str, value: str, unit: str, verdict: str) -> list[list[str]]:
    one_row = [f"{before}{value} {verdict}".rstrip()]
    deviation, sign, rest = value.partition(f"{KEEP}±")
    if not sign:
        return [one_row]
    second = f"±{rest.removesuffix(unit)} {verdict}".rstrip()
    return [one_row, [f"{before}{deviation}{unit}", second]]


def lost_words(lost: Sequence[str], *, line_seen: bool) -> str:
    """Say why a side has no length: which corner is missing, or that its line was not seen."""
    if not line_seen:
        return say("not seen")
    return say("no corner {names}", names=either(tuple(lost))).strip().replace(" ", KEEP)


def step_form(step: StepReading) -> list[str]:
    """Give the label of the step that went wrong first."""
    return [say("step {number}", number=step.number).replace(" ", KEEP)]


def wrong_step_sentence(step: StepReading) -> str:
    """Say where the error entered."""
    what = one_line(step.words, _STEP_COLUMNS)
    lead = say("The error entered at step {number}:", number=step.number)
    return f"{lead} {what}."


def facts_of(reading: Reading, left_out: Sequence[str]) -> list[str]:
    """Give the short facts below the key; `left_out` names sides and angles without words."""
    plate = reading.plate
    typical = typical_side(reading.sides)
    parts = []
    if typical is not None and typical.U_mm is not None:
        parts = [say("+ too long or wide, {minus} too short or narrow", minus=MINUS)]
        size = digits(typical.U_mm, decimals_for(typical.U_mm))
        parts.append(say("± is U (k = 2), typically {size} mm", size=size))
    parts += _allowed(reading)
    verdicts = [*(s.verdict for s in reading.sides), *(a.verdict for a in reading.angles)]
    if "undecided" in verdicts:
        parts.append(say("undecided: this photo cannot tell"))
    parts.append(say("photo of {day}", day=one_line(when(reading.photos[0].taken), 40)))
    if plate is not None:
        parts.append(say("target {size}", size=plate.target_size))
    if left_out:
        names = named(left_out)
        parts.append(say("no room for the words of {names}: see the table", names=names))
    return parts


def _allowed(reading: Reading) -> list[str]:
    parts = []
    if reading.tolerance_side_mm is not None:
        parts.append(f"±{plain(reading.tolerance_side_mm)} mm")
    if reading.tolerance_angle_deg is not None:
        parts.append(f"±{plain(reading.tolerance_angle_deg)}°")
    if reading.tolerance_class is not None:
        parts.append(class_name(reading))
    return [say("allowed {limits}", limits=", ".join(parts))] if parts else []


def described(reading: Reading, factor: int) -> str:
    """Describe the picture for whoever does not see it."""
    sides = "; ".join(
        f"{side_name(s)} {value_of(s, say('not measured'))}".replace(KEEP, " ")
        for s in reading.sides
    )
    what = say(
        "The plate with the scribed figure, the figure as intended and how far each corner is off."
    )
    how = ""
    if factor > 1:
        how = say("Deviations are drawn {factor} times as large.", factor=factor)
    numbers = say("Deviations of the sides: {sides}.", sides=sides)
    return tidy(" ".join(part for part in (what, how, numbers) if part))
