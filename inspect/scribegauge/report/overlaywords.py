"""All words of the overlay: on the picture, in its key and among its facts."""

from collections.abc import Sequence

from scribegauge.report.constructionreading import StepReading
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
    side_name,
    tidy,
    typographic,
    with_uncertainty,
)

FOUND = "scribed side, as found"
INTENDED = "figure as intended"
UNSEEN = "side not seen"
PRICK = "prick"
_STEP_COLUMNS = 90


def other_marks(reading: Reading) -> str:
    """Name what is drawn thin: lines and arcs that are no side."""
    return "other line or arc" if reading.arcs else "other line"


def enlarged(factor: int) -> str:
    """Say how much deviations are enlarged."""
    return "deviation, true size" if factor == 1 else f"deviation, drawn {TIMES}{factor}"


def wrong_step_key(step: StepReading) -> str:
    """Name in the key the step that went wrong first."""
    return f"step {step.number}: first error"


def value_of(side: SideReading, lost: str) -> str:
    """Say a side's deviation and verdict in one row, or why it has none."""
    return side_forms(side, lost, "")[0][0]


def verdict_shown(verdict: str | None) -> str:
    """Give the verdict where it is not ``within``."""
    return verdict if verdict in {"outside", "undecided"} else ""


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
        return "not seen"
    return f"no corner {' or '.join(lost)}".replace(" ", KEEP)


def step_form(step: StepReading) -> list[str]:
    """Give the label of the step that went wrong first."""
    return [f"step{KEEP}{step.number}"]


def wrong_step_sentence(step: StepReading) -> str:
    """Say where the error entered."""
    what = one_line(step.words, _STEP_COLUMNS)
    return f"The error entered at step {step.number}: {what}."


def facts_of(reading: Reading, left_out: Sequence[str]) -> list[str]:
    """Give the short facts below the key; `left_out` names sides and angles without words."""
    plate = reading.plate
    typical = typical_side(reading.sides)
    parts = []
    if typical is not None and typical.U_mm is not None:
        parts = [f"+ too long or wide, {MINUS} too short or narrow"]
        parts.append(f"± is U (k = 2), typically {typical.U_mm:.{decimals_for(typical.U_mm)}f} mm")
    parts += _allowed(reading)
    verdicts = [*(s.verdict for s in reading.sides), *(a.verdict for a in reading.angles)]
    if "undecided" in verdicts:
        parts.append("undecided: this photo cannot tell")
    parts.append(f"photo of {one_line(when(reading.photos[0].taken), 40)}")
    if plate is not None:
        parts.append(f"target {plate.target_size}")
    if left_out:
        parts.append(f"no room for the words of {named(left_out)}: see the table")
    return parts


def _allowed(reading: Reading) -> list[str]:
    parts = []
    if reading.tolerance_side_mm is not None:
        parts.append(f"±{reading.tolerance_side_mm:g} mm")
    if reading.tolerance_angle_deg is not None:
        parts.append(f"±{reading.tolerance_angle_deg:g}°")
    if reading.tolerance_class is not None:
        parts.append(class_name(reading))
    return [f"allowed {', '.join(parts)}"] if parts else []


def described(reading: Reading, factor: int) -> str:
    """Describe the picture for whoever does not see it."""
    sides = "; ".join(
        f"{side_name(s)} {value_of(s, 'not measured')}".replace(KEEP, " ") for s in reading.sides
    )
    how = f", deviations drawn {factor} times as large" if factor > 1 else ""
    return tidy(
        f"The plate with the scribed figure, the figure as intended and how far each corner is off{how}. "
        f"Deviations of the sides: {sides}."
    )
