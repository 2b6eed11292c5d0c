"""All that can be said of one pupil's plates, in sentences; page and terminal show the same."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from scribegauge.progress.habits import Habit, habits_of
from scribegauge.progress.measures import MEASURES, Series, equipment_of, kind_of, series_of
from scribegauge.progress.record import Attempt
from scribegauge.progress.suggest import Suggestion, suggest
from scribegauge.progress.trend import Trend, level_of, trend_of, trend_sentence
from scribegauge.report.words import decimals_for


@dataclass(frozen=True, slots=True)
class Followed:
    """One measure with its change and the sentence on it."""

    series: Series
    trend: Trend | None
    sentence: str


@dataclass(frozen=True, slots=True)
class KindLine:
    """One kind of figure: what it is, how many plates, its mean side error."""

    title: str
    method: str
    sizes: str
    plates: int
    side_error: str


@dataclass(frozen=True, slots=True)
class Summary:
    """Everything that is shown of a pupil."""

    pupil: str
    attempts: tuple[Attempt, ...]
    measures: tuple[Followed, ...]
    habits: tuple[Habit, ...]
    suggestion: Suggestion
    kinds: tuple[KindLine, ...]
    equipment: tuple[str, ...]

    @property
    def standing(self) -> tuple[Habit, ...]:
        """Habits that chance does not explain."""
        return tuple(habit for habit in self.habits if habit.stands)


def summary_of(pupil: str, attempts: Sequence[Attempt]) -> Summary:
    """Work out all that can be said.

    Parameters
    ----------
    pupil : str
    attempts : sequence of Attempt
        At least one, in the order they were made.
    """
    followed = []
    for measure in MEASURES:
        series = series_of(measure, attempts)
        trend = trend_of(series)
        followed.append(Followed(series, trend, trend_sentence(series, trend)))
    habits = habits_of(attempts)
    return Summary(
        pupil,
        tuple(attempts),
        tuple(followed),
        habits,
        suggest(attempts, habits),
        _kinds(attempts),
        _equipment(attempts),
    )


def text_of(summary: Summary) -> str:
    """Return what the terminal shows."""
    first, last = summary.attempts[0].made, summary.attempts[-1].made
    count = len(summary.attempts)
    rows = [f"{summary.pupil}: {count} plate{'s' * (count > 1)}, {first} to {last}", ""]
    rows += [followed.sentence for followed in summary.measures]
    rows += ["", *(habit.sentence for habit in summary.standing), habits_words(summary)]
    rows += [*summary.equipment, "", f"Next: {summary.suggestion.exercise}"]
    return "\n".join([*rows, f"Why: {summary.suggestion.reason}"]) + "\n"


def habits_words(summary: Summary) -> str:
    """Say how many questions were asked, so that nobody reads too much into an answer."""
    asked, stand = len(summary.habits), len(summary.standing)
    if asked == 0:
        return "Habits: too few plates to ask for any."
    questions = f"{asked} question{'s' * (asked > 1)}"
    if stand == 0:
        return f"Habits: {questions} asked, and chance explains all that was seen."
    return (
        f"Habits: {questions} asked, {stand} answered with yes; all together give a false yes to "
        "one pupil in twenty."
    )


def _kinds(attempts: Sequence[Attempt]) -> tuple[KindLine, ...]:
    kinds: dict[str, list[Attempt]] = defaultdict(list)
    for attempt in attempts:
        kinds[kind_of(attempt.score)].append(attempt)
    return tuple(_kind(made) for made in kinds.values())


def _kind(made: Sequence[Attempt]) -> KindLine:
    newest = made[-1].score
    sizes = sorted({f"{each.score.size_mm:.0f}" for each in made}, key=float)
    series = series_of(MEASURES[0], made)
    found = level_of(series)
    words = "one plate" if len(made) == 1 else "not seen"
    if found is not None:
        half = found.half_width(0)
        digits = decimals_for(half)
        words = f"{found.coefficients[0]:.{digits}f} ± {half:.{digits}f} mm"
    elif series.attempts:
        half = 2 * float(series.values.u_own[0] ** 2 + series.values.u_shared[0] ** 2) ** 0.5
        digits = decimals_for(half)
        words = f"{series.values.values[0]:.{digits}f} ± {half:.{digits}f} mm"
    return KindLine(newest.title, newest.method, ", ".join(sizes), len(made), words)


def _equipment(attempts: Sequence[Attempt]) -> tuple[str, ...]:
    """Say when camera or sheet was changed, and what that does to the comparison."""
    rows = []
    for before, after in pairwise(attempts):
        old, new = equipment_of(before.score), equipment_of(after.score)
        names = ("camera", "sheet")
        what = [name for name, a, b in zip(names, old, new, strict=True) if a != b]
        if what:
            rows.append(f"{after.made}: other {' and '.join(what)}")
    if not rows:
        return ()
    shown = rows if len(rows) <= 6 else [*rows[:6], f"and {len(rows) - 6} more changes"]  # noqa: PLR2004
    return (
        f"Measured with other equipment from: {'; '.join(shown)}. What one camera and sheet have in "
        "common is taken into U of every change across it.",
    )
