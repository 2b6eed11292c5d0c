"""The deviations as bars, with their uncertainty and the tolerance: where each stroke begins and ends.

Coordinates are those of the drawing, x right and y down; its width is `WIDTH`.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scribegauge.report import reportwords
from scribegauge.report.reading import Reading
from scribegauge.report.words import angle_word, side_name, side_word, typographic
from scribetarget.wording import digits

WIDTH = 400.0
ROW = 24.0
LEFT, RIGHT = 52.0, 322.0
_TOP = 8.0
_AXIS = 24.0
# Air at both ends, as a share of the largest stroke.
_AIR = 1.08
_STEPS = (1.0, 2.0, 5.0, 10.0)
_TICKS_EACH_WAY = 3.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One side or angle: its bar from zero to `end`, its uncertainty from `low` to `high`.

    All three are None where nothing was measured; `word` is the verdict, or why there is none.
    """

    name: str
    y: float
    end: float | None
    low: float | None
    high: float | None
    word: str


@dataclass(frozen=True, slots=True)
class Plot:
    """A whole drawing; `band` is the tolerance, None where nothing was to be judged."""

    title: str
    bars: tuple[Bar, ...]
    zero: float
    band: tuple[float, float] | None
    ticks: tuple[tuple[float, str], ...]
    axis_y: float
    height: float


@dataclass(frozen=True, slots=True)
class _Row:
    name: str
    deviation: float | None
    expanded: float | None
    word: str


def side_plot(reading: Reading) -> Plot | None:
    """Lay out the deviations of the sides; None where no side was measured.

    Parameters
    ----------
    reading : Reading
    """
    rows = [
        _Row(side_name(s), s.deviation_mm, s.U_mm, side_word(reading, s)) for s in reading.sides
    ]
    return _plot(reportwords.SIDES, rows, reading.tolerance_side_mm)


def angle_plot(reading: Reading) -> Plot | None:
    """Lay out the deviations of the angles; None where no angle was measured.

    Parameters
    ----------
    reading : Reading
    """
    rows = [_Row(a.at, a.deviation_deg, a.U_deg, angle_word(a)) for a in reading.angles]
    return _plot(reportwords.ANGLES, rows, reading.tolerance_angle_deg)


def _plot(title: str, rows: Sequence[_Row], tolerance: float | None) -> Plot | None:
    reaches = [
        abs(row.deviation) + row.expanded
        for row in rows
        if row.deviation is not None and row.expanded is not None
    ]
    if not reaches:
        return None
    half = _AIR * max(*reaches, tolerance or 0.0, 1e-9)
    axis_y = _TOP + ROW * len(rows) + 4
    return Plot(
        title=title,
        bars=tuple(_bar(row, k, half) for k, row in enumerate(rows)),
        zero=_x(0.0, half),
        band=None if tolerance is None else (_x(-tolerance, half), _x(tolerance, half)),
        ticks=tuple((_x(value, half), text) for value, text in _ticks(half)),
        axis_y=axis_y,
        height=axis_y + _AXIS,
    )


def _x(value: float, half: float) -> float:
    return round((LEFT + RIGHT) / 2 + value / half * (RIGHT - LEFT) / 2, 2)


def _bar(row: _Row, k: int, half: float) -> Bar:
    y = _TOP + ROW * (k + 0.5)
    if row.deviation is None or row.expanded is None:
        return Bar(row.name, y, None, None, None, row.word)
    ends = (row.deviation, row.deviation - row.expanded, row.deviation + row.expanded)
    end, low, high = (_x(value, half) for value in ends)
    return Bar(row.name, y, end, low, high, row.word)


def _ticks(half: float) -> list[tuple[float, str]]:
    """Give round numbers on the axis, about three each way."""
    rough = half / _TICKS_EACH_WAY
    ten = 10.0 ** math.floor(math.log10(rough))
    step = next(s * ten for s in _STEPS if s * ten >= rough * (1 - 1e-9))
    places = max(-math.floor(math.log10(step) + 1e-9), 0)
    count = math.floor(half / step + 1e-9)
    return [
        (k * step, typographic(digits(k * step, places, "+")) if k else "0")
        for k in range(-count, count + 1)
    ]
