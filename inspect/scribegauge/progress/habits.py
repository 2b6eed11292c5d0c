"""What one hand does again and again, as far as chance does not explain it."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import binom

from scribegauge.progress.comparisons import holm
from scribegauge.progress.measures import Measure, Series, kind_of, series_of
from scribegauge.progress.record import Attempt, Measured, Score
from scribegauge.progress.regression import Values, estimate
from scribegauge.progress.sizefactor import size_factor
from scribegauge.progress.trend import LEAST_PLATES
from scribegauge.report.words import decimals_for

#: All questions asked of one pupil together give a false answer so often.
LEVEL = 0.05
# A construction names a step wrongly on fewer than one plate in twenty.
_FALSE_NAMES = 0.05


@dataclass(frozen=True, slots=True)
class Habit:
    """One question that was asked of the plates.

    Attributes
    ----------
    name : str
        Stable, for scripts.
    sentence : str
        What it is, with its size and U.
    chance : float
        How often a hand without the habit would look so.
    plates : int
    stands : bool
        Whether chance does not explain it, all questions taken together.
    """

    name: str
    sentence: str
    chance: float
    plates: int
    stands: bool


def _same(_size_mm: float) -> float:
    return 1.0


def _none(_score: Score) -> Measured | None:
    return None


_LONG = Measure("long", "sides", "mm", "", lambda s: s.long_mm, size_factor)
_ASIDE = Measure("aside", "lines", "mm", "", lambda s: s.aside_mm, _same)
_TURNED = Measure("turned", "lines", "mrad", "", lambda s: s.turned_mrad, _same)
_OPENING = Measure("opening", "dividers", "mm", "", lambda s: s.opening_mm, _same)


def habits_of(attempts: Sequence[Attempt]) -> tuple[Habit, ...]:
    """Ask all questions that the plates allow; the ones that stand come first.

    Parameters
    ----------
    attempts : sequence of Attempt
        Of one pupil.
    """
    asked = [*_signed(attempts), *_corners(attempts), *_steps(attempts)]
    stands = holm([habit.chance for habit in asked], LEVEL)
    told = [replace(habit, stands=stand) for habit, stand in zip(asked, stands, strict=True)]
    return tuple(sorted(told, key=lambda habit: (not habit.stands, habit.chance)))


def _signed(attempts: Sequence[Attempt]) -> Iterator[Habit]:
    yield from _tested(
        _LONG,
        attempts,
        "sides come out {size} too long as a rule",
        "sides come out {size} too short as a rule",
    )
    yield from _tested(
        _ASIDE,
        attempts,
        "lines lie {size} to the right of their pricks, the way they run round the figure",
        "lines lie {size} to the left of their pricks, the way they run round the figure",
    )
    yield from _tested(
        _TURNED,
        attempts,
        "lines are turned clockwise by {size} from their pricks",
        "lines are turned anticlockwise by {size} from their pricks",
    )
    yield from _tested(
        _OPENING,
        attempts,
        "the dividers open through a figure: each step is {size} longer than the one before",
        "the dividers close through a figure: each step is {size} shorter than the one before",
    )


def _tested(
    measure: Measure, attempts: Sequence[Attempt], above: str, below: str
) -> Iterator[Habit]:
    series = series_of(measure, attempts)
    if len(series.attempts) >= LEAST_PLATES:
        yield _habit(series, above, below)


def _habit(series: Series, above: str, below: str) -> Habit:
    count = len(series.attempts)
    found = estimate(np.ones((count, 1)), series.values)
    value, half = float(found.coefficients[0]), found.half_width(0)
    digits = decimals_for(half)
    unit = "°" if series.measure.unit == "°" else f" {series.measure.unit}"
    size = f"{abs(value):.{digits}f} ± {half:.{digits}f}{unit}"
    text = (above if value > 0 else below).format(size=size)
    sentence = f"{text[0].upper()}{text[1:]} ({count} plates)."
    return Habit(series.measure.name, sentence, found.chance(0), count, stands=False)


def _corners(attempts: Sequence[Attempt]) -> Iterator[Habit]:
    """Ask of each corner of each figure that can be told apart whether it errs one way."""
    kinds: dict[str, list[Attempt]] = defaultdict(list)
    for attempt in attempts:
        if attempt.score.corners:
            kinds[kind_of(attempt.score)].append(attempt)
    for made in kinds.values():
        names = [name for name, _ in made[0].score.corners]
        for name in names:
            seen = [each for each in made if name in dict(each.score.corners)]
            if len(seen) >= LEAST_PLATES:
                yield _corner(name, seen)


def _corner(name: str, seen: Sequence[Attempt]) -> Habit:
    measure = Measure(f"corner_{name}", "corner", "°", "", _none, _same)
    values = np.array([dict(each.score.corners)[name] for each in seen])
    u = np.array([each.score.u_corner_deg for each in seen])
    none = np.zeros(len(seen))
    series = Series(measure, tuple(seen), Values(values, u, none, np.zeros(len(seen), np.int64)))
    where = f"corner {name} of {seen[-1].score.title}"
    return _habit(series, f"{where} is {{size}} too wide", f"{where} is {{size}} too narrow")


def _steps(attempts: Sequence[Attempt]) -> Iterator[Habit]:
    """Ask of each step that was ever named whether it is named oftener than by chance."""
    plates = Counter(each.score.method for each in attempts if each.score.method)
    named: Counter[tuple[str, str, int]] = Counter()
    texts = {}
    for each in attempts:
        for found in each.score.findings:
            key = (each.score.method, found.kind, found.number)
            named[key] += 1
            texts[key] = found.text
    for key, times in named.items():
        count = plates[key[0]]
        if count >= LEAST_PLATES:
            chance = float(binom.sf(times - 1, count, _FALSE_NAMES))
            sentence = f"On {times} of {count} plates step {key[2]} stands out. Last: {texts[key]}"
            yield Habit(f"step_{key[1]}_{key[2]}", sentence, chance, count, stands=False)
