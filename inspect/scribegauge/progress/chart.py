"""One measure over time as a drawing: plates with U, limits, moving average, what was changed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from scribegauge.progress.controlcharts import ewma_chart, individuals_chart
from scribegauge.progress.measures import Series, equipment_of, kind_of
from scribegauge.progress.trend import LEAST_PLATES, MONTH_DAYS, Trend, changes_of_equipment

Array = NDArray[np.float64]
Place = tuple[float, float]

WIDTH, HEIGHT = 760.0, 210.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 14.0, 16.0, 26.0
#: More points than this are a smear; the newest are shown.
MOST_POINTS = 300
SHAPES = ("circle", "square", "diamond", "triangle")
_TICKS = 4
_FEW_DAYS = 40


@dataclass(frozen=True, slots=True)
class Dot:
    """One plate: its place, the ends of its U, its shape, what it says when pointed at."""

    x: float
    y: float
    low: float
    high: float
    shape: str
    words: str
    outside: bool


@dataclass(frozen=True, slots=True)
class Chart:
    """Everything the template draws, in px of the drawing.

    `centre`, `upper`, `lower` and `average` are lines, empty with too few plates; `changes` are
    places across with what was changed; ticks are places with their words.
    """

    dots: tuple[Dot, ...]
    centre: str
    upper: str
    lower: str
    average: str
    changes: tuple[tuple[float, str], ...]
    across: tuple[tuple[float, str], ...]
    up: tuple[tuple[float, str], ...]
    ranges: tuple[Place, ...]
    range_limit: float | None
    outside: tuple[str, ...]
    left_out: int


@dataclass(frozen=True, slots=True)
class _Lines:
    """Centre, limits, moving average and ranges of a series, in its unit."""

    centre: Array
    width: float
    average: Array
    ranges: Array
    range_limit: float


def comparable(series: Series, trend: Trend | None) -> Array:
    """Return the values with every kind of figure brought to the mean level of all."""
    values = series.values.values
    return values if trend is None else values - trend.shifts


def draw_chart(series: Series, trend: Trend | None) -> Chart | None:
    """Draw one measure over time.

    Where a change is known, limits and average run along it: a hand that gets better is not out of
    control.

    Parameters
    ----------
    series : Series
    trend : Trend or None

    Returns
    -------
    Chart or None
        None without plates.
    """
    count = len(series.attempts)
    if count == 0:
        return None
    kept = slice(max(count - MOST_POINTS, 0), count)
    values = comparable(series, trend)
    half = 2 * np.hypot(series.values.u_own, series.values.u_shared)
    lines = _lines(series, values, trend)
    highest = float((values + half)[kept].max())
    if lines is not None:
        highest = max(highest, float((lines.centre + lines.width)[kept].max()))
    return _drawn(series, kept, (values, half), lines, highest or 1.0)


def _lines(series: Series, values: Array, trend: Trend | None) -> _Lines | None:
    if len(values) < LEAST_PLATES:
        return None
    centre = np.full(len(values), float(values.mean()))
    if trend is not None and trend.known:
        start = trend.start
        months = np.array([(each.made - start).days for each in series.attempts]) / MONTH_DAYS
        centre = trend.mean_level + trend.per_month * months
    chart = individuals_chart(values - centre)
    average = ewma_chart(values - centre, 0.0, chart.sigma).averages + centre
    return _Lines(centre, 3 * chart.sigma, average, chart.ranges, chart.upper_range)


def _drawn(
    series: Series, kept: slice, seen: tuple[Array, Array], lines: _Lines | None, highest: float
) -> Chart:
    days = [each.made for each in series.attempts[kept]]
    step = _step(highest)
    most = step * math.ceil(highest / step)
    x, y = _across(days), _Up(most)
    values, half = (each[kept] for each in seen)
    off = _outside(values, lines, kept)
    dots = tuple(
        Dot(x[k], y(v), y(v - h), y(v + h), shape, words, bool(out))
        for k, (v, h, shape, words, out) in enumerate(
            zip(values, half, _shapes(series, kept), _words(series, kept, seen), off, strict=True)
        )
    )
    return Chart(
        dots,
        *_paths(x, y, lines, kept),
        changes=_changes(series, kept, x),
        across=_day_ticks(days),
        up=tuple((y(k * step), f"{k * step:g}") for k in range(round(most / step) + 1)),
        ranges=() if lines is None else _range_places(x, y, lines, kept),
        range_limit=None if lines is None else y(lines.range_limit),
        outside=tuple(dot.words for dot in dots if dot.outside),
        left_out=kept.start,
    )


@dataclass(frozen=True, slots=True)
class _Up:
    """From a value to its place in the drawing; below 0 and above the frame it is at the edge."""

    most: float

    def __call__(self, value: float) -> float:
        share = min(max(float(value) / self.most, 0.0), 1.0)
        return round(HEIGHT - BOTTOM - share * (HEIGHT - TOP - BOTTOM), 1)


def _across(days: Sequence[date]) -> list[float]:
    span = max((days[-1] - days[0]).days, 1)
    room = WIDTH - LEFT - RIGHT - 24
    places = [LEFT + 12 + room * (day - days[0]).days / span for day in days]
    return [round(place, 1) for place in places]


def _step(highest: float) -> float:
    """Return a step of 1, 2 or 5 that makes some four ticks."""
    rough = highest / _TICKS
    ten = 10.0 ** math.floor(math.log10(rough))
    return float(next(ten * k for k in (1, 2, 5, 10) if ten * k >= rough * 0.999))


def _day_ticks(days: Sequence[date]) -> tuple[tuple[float, str], ...]:
    """Label the first days of months; for a few weeks, the first and last day."""
    span = max((days[-1] - days[0]).days, 1)
    room = WIDTH - LEFT - RIGHT - 24
    wanted = [days[0], days[-1]] if span < _FEW_DAYS else _months(days[0], days[-1])
    every = max(math.ceil(len(wanted) / 9), 1)
    ticks = dict.fromkeys(wanted[::every])
    return tuple(
        (round(LEFT + 12 + room * (day - days[0]).days / span, 1), f"{day}") for day in ticks
    )


def _months(first: date, last: date) -> list[date]:
    day, found = first.replace(day=1), []
    while day <= last:
        if day >= first:
            found.append(day)
        day = date(day.year + day.month // 12, day.month % 12 + 1, 1)
    return found


def _outside(values: Array, lines: _Lines | None, kept: slice) -> Array:
    if lines is None:
        return np.zeros(len(values), dtype=bool)
    return np.asarray(np.abs(values - lines.centre[kept]) > lines.width)


def _shapes(series: Series, kept: slice) -> list[str]:
    kinds = list(dict.fromkeys(kind_of(each.score) for each in series.attempts))
    places = [kinds.index(kind_of(each.score)) for each in series.attempts[kept]]
    return [SHAPES[min(place, len(SHAPES) - 1)] for place in places]


def _words(series: Series, kept: slice, seen: tuple[Array, Array]) -> list[str]:
    unit = "°" if series.measure.unit == "°" else f" {series.measure.unit}"
    values, half = (each[kept] for each in seen)
    return [
        f"{each.made} {each.score.title}: {value:.3f} ± {u:.3f}{unit}"
        for each, value, u in zip(series.attempts[kept], values, half, strict=True)
    ]


def _paths(
    x: Sequence[float], y: _Up, lines: _Lines | None, kept: slice
) -> tuple[str, str, str, str]:
    if lines is None:
        return "", "", "", ""
    rows = (lines.centre, lines.centre + lines.width, lines.centre - lines.width, lines.average)
    drawn = [" ".join(f"{a},{y(b)}" for a, b in zip(x, row[kept], strict=True)) for row in rows]
    return drawn[0], drawn[1], drawn[2], drawn[3]


def _range_places(x: Sequence[float], y: _Up, lines: _Lines, kept: slice) -> tuple[Place, ...]:
    first = max(kept.start, 1)
    ranges = lines.ranges[first - 1 :]
    return tuple((place, y(size)) for place, size in zip(x[-len(ranges) :], ranges, strict=True))


def _changes(series: Series, kept: slice, x: Sequence[float]) -> tuple[tuple[float, str], ...]:
    found = []
    for place in changes_of_equipment(series):
        if place <= kept.start:
            continue
        before = equipment_of(series.attempts[place - 1].score)
        after = equipment_of(series.attempts[place].score)
        names = ("other camera", "other sheet")
        what = [n for n, old, new in zip(names, before, after, strict=True) if old != new]
        k = place - kept.start
        found.append((round((x[k - 1] + x[k]) / 2, 1), " and ".join(what)))
    return tuple(found)
