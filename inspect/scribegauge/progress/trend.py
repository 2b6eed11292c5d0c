"""Whether a hand gets better, and whether that can be known."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from scribegauge.progress.measures import Series, kind_of
from scribegauge.progress.regression import Estimate, columns_of, estimate
from scribegauge.report.words import decimals_for

#: Mean length of a month [days].
MONTH_DAYS = 365.2425 / 12
#: A line through fewer plates has an uncertainty that says nothing.
LEAST_PLATES = 5
CONFIDENCE = 0.95
# A thousandth of a millimetre or of a degree is below anything that is measured here.
_MOST_DECIMALS = 3


@dataclass(frozen=True, slots=True)
class Trend:
    """A steady change.

    Attributes
    ----------
    per_month, U_per_month : float
        Change per month and half of its 95 % confidence interval, in the measure's unit.
    chance : float
        How often a hand that does not change would look at least so much changed.
    scatter : float
        Standard deviation from plate to plate that measuring does not explain.
    levels : tuple of (kind, value)
        Of every kind of figure at `start`.
    shifts : ndarray, shape (n,), float64
        By how much the kind of each plate lies above the mean level, to be taken off.
    start : date
    plates, days : int
    """

    per_month: float
    U_per_month: float
    chance: float
    scatter: float
    levels: tuple[tuple[str, float], ...]
    shifts: NDArray[np.float64]
    start: date
    plates: int
    days: int

    @property
    def known(self) -> bool:
        """Whether the change can be told from none."""
        return self.chance < 1 - CONFIDENCE

    @property
    def mean_level(self) -> float:
        """Return the level at `start` that all kinds are brought to."""
        total = sum(level for _, level in self.levels)
        return total / len(self.levels)


def trend_of(series: Series) -> Trend | None:
    """Fit one steady change for all figures, each kind of figure with a level of its own.

    Kinds are thereby compared with themselves only: a harder figure begun late looks no worse.

    Parameters
    ----------
    series : Series

    Returns
    -------
    Trend or None
        None with too few plates, or when each kind was made on one day only.
    """
    attempts = series.attempts
    if len(attempts) < LEAST_PLATES:
        return None
    start = attempts[0].made
    days = np.array([(each.made - start).days for each in attempts], dtype=np.float64)
    kinds = [kind_of(each.score) for each in attempts]
    columns = columns_of(kinds)
    try:
        found = estimate(np.column_stack([columns, days / MONTH_DAYS]), series.values)
    except ValueError:
        return None
    known = tuple(dict.fromkeys(kinds))
    levels = found.coefficients[:-1]
    return Trend(
        per_month=float(found.coefficients[-1]),
        U_per_month=found.half_width(-1, CONFIDENCE),
        chance=found.chance(-1),
        scatter=found.scatter,
        levels=tuple(zip(known, map(float, levels), strict=True)),
        shifts=columns @ (levels - levels.mean()),
        start=start,
        plates=len(attempts),
        days=int(days[-1]),
    )


def level_of(series: Series) -> Estimate | None:
    """Return the mean of a series as a fit without a change; None with fewer than two plates."""
    if len(series.attempts) < 2:  # noqa: PLR2004 - one has no scatter
        return None
    return estimate(np.ones((len(series.attempts), 1)), series.values)


def trend_sentence(series: Series, trend: Trend | None) -> str:
    """Say whether the hand got better.

    Parameters
    ----------
    series : Series
    trend : Trend or None
        As `trend_of` returned it.
    """
    measure = series.measure
    name = measure.words.capitalize()
    if trend is None:
        return f"{name}: {_too_few(series)}"
    unit = measure.unit if measure.unit == "°" else f" {measure.unit}"
    over = f"({trend.plates} plates in {_weeks(trend.days)})"
    if not trend.known:
        better = _number(trend.U_per_month - trend.per_month, trend)
        worse = _number(trend.U_per_month + trend.per_month, trend)
        return (
            f"{name}: not yet distinguishable from no change; it lies between {better}{unit} better "
            f"and {worse}{unit} worse a month {over}."
        )
    word = "better" if trend.per_month < 0 else "worse"
    size = f"{_number(abs(trend.per_month), trend)} ± {_number(trend.U_per_month, trend)}{unit}"
    return (
        f"{name}: {word} by {size} a month, more than measuring uncertainty and the scatter from "
        f"plate to plate explain {over}."
    )


def _number(value: float, trend: Trend) -> str:
    return f"{value:.{min(decimals_for(trend.U_per_month), _MOST_DECIMALS)}f}"


def _too_few(series: Series) -> str:
    count = len(series.attempts)
    if count < LEAST_PLATES:
        plates = "no plate shows it" if count == 0 else f"{count} plate{'s' * (count > 1)}"
        return f"{plates} so far; a change can be told from {LEAST_PLATES} on."
    return "the plates do not yet tell a change: too few days, or a new figure each time."


def _weeks(days: int) -> str:
    if days < 14:  # noqa: PLR2004 - two weeks
        return f"{days} days"
    return f"{round(days / 7)} weeks"


def changes_of_equipment(series: Series) -> Sequence[int]:
    """Return the plates before which camera or sheet was changed, by their place in the series."""
    groups = series.values.groups
    return [int(k) for k in np.flatnonzero(np.diff(groups)) + 1]
