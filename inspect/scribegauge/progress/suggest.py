"""What to practise next, and why."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scribegauge.progress.habits import Habit
from scribegauge.progress.record import Attempt, Measured, Score
from scribegauge.report.words import decimals_for

# What the hand does now, not what it did in autumn.
RECENT = 5


@dataclass(frozen=True, slots=True)
class Suggestion:
    """The next exercise and its reason."""

    exercise: str
    reason: str


@dataclass(frozen=True, slots=True)
class _Weakness:
    """Something that moves lines by so many mm."""

    size_mm: float
    U_mm: float
    words: str
    exercise: str


def suggest(attempts: Sequence[Attempt], habits: Sequence[Habit]) -> Suggestion:
    """Choose the exercise for what is weakest.

    Everything is compared by how many mm it moves a line on the plate: a habit that stands goes
    first, because it is the same on every plate and one change of the hand takes it away.

    Parameters
    ----------
    attempts : sequence of Attempt
        At least one, in the order they were made.
    habits : sequence of Habit
        As `habits_of` returned them.
    """
    recent = [each.score for each in attempts[-RECENT:]]
    standing = next((habit for habit in habits if habit.stands), None)
    if standing is not None:
        return Suggestion(_exercise_for(standing), standing.sentence)
    found = [weakness for weakness in _weaknesses(recent) if weakness.size_mm > weakness.U_mm]
    if not found or _all_within(recent):
        return Suggestion(
            "The next figure: one more side, or a construction with more steps.",
            _within_reason(recent, found),
        )
    worst = max(found, key=lambda weakness: weakness.size_mm)
    digits = decimals_for(worst.U_mm)
    size = f"{worst.size_mm:.{digits}f} ± {worst.U_mm:.{digits}f} mm"
    plates = "the last plate" if len(recent) == 1 else f"the last {len(recent)} plates"
    return Suggestion(worst.exercise, f"On {plates} {worst.words} {size}, more than anything else.")


def _exercise_for(habit: Habit) -> str:
    exercises = {
        "long": "Ten lines of one length: set the dividers on the rule, scribe, measure with a "
        "caliper, and set again until they agree.",
        "aside": "Lines through two pricks: hold the scriber at one slant, its point on the rule's "
        "lower edge; a second pass shows the offset.",
        "turned": "Lines through two pricks far apart: set the rule at the near prick, then at the "
        "far one, and look at the near one again before scribing.",
        "opening": "Step a circle in six with the dividers' nut locked, holding them at the head "
        "only; the sixth step must meet the first.",
    }
    if habit.name in exercises:
        return exercises[habit.name]
    if habit.name.startswith("corner_"):
        corner = habit.name.removeprefix("corner_")
        return (
            f"The same figure again, begun at corner {corner}, so that it takes no other's error."
        )
    return "The same construction again, and that step twice: the second time beside the first."


def _weaknesses(recent: Sequence[Score]) -> list[_Weakness]:
    rows = []
    for numbers, words, exercise in (
        (
            [score.side_rms_mm for score in recent],
            "sides are off by",
            "The same figure again in another size, every length set on the rule twice.",
        ),
        (
            [_moved(score) for score in recent],
            "angles move the ends of sides by",
            "Squares and right angles: erect perpendiculars with the dividers, no square.",
        ),
        (
            [score.prick_mm for score in recent],
            "pricks miss their corners by",
            "A grid of crossing lines, pricked at each crossing: feel the point drop in, then press.",
        ),
        (
            [_too_wide(score) for score in recent],
            "lines are wider than the tolerance by",
            "A row of single light strokes with a scriber sharpened afresh.",
        ),
    ):
        seen = [number for number in numbers if number is not None]
        if seen:
            mean = sum(number.value for number in seen) / len(seen)
            spread = math.sqrt(sum(number.U**2 for number in seen)) / len(seen)
            rows.append(_Weakness(mean, spread, words, exercise))
    return rows


def _moved(score: Score) -> Measured | None:
    """Return what the angles' error amounts to at the end of a side [mm]."""
    angle = score.angle_rms_deg
    if angle is None:
        return None
    arm = math.radians(1) * score.size_mm
    return Measured(angle.value * arm, angle.U * arm, angle.U_shared * arm)


def _too_wide(score: Score) -> Measured | None:
    width = score.line_width_mm
    if width is None or score.tolerance_mm is None or width.value <= score.tolerance_mm:
        return None
    return Measured(width.value - score.tolerance_mm, width.U, width.U_shared)


def _all_within(recent: Sequence[Score]) -> bool:
    judged = [score for score in recent if score.within + score.outside + score.undecided]
    return bool(judged) and all(s.outside + s.undecided == 0 for s in judged)


def _within_reason(recent: Sequence[Score], found: Sequence[_Weakness]) -> str:
    if _all_within(recent):
        return "Everything that was judged on the last plates is within its tolerance."
    if not found:
        return "No error on the last plates exceeds its measuring uncertainty."
    return "Nothing stands out."
