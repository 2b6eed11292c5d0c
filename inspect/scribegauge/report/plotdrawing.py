"""A plot of deviations as a drawing."""

from collections.abc import Iterator

import numpy as np

from scribegauge.report.drawing import Area, Drawing, Path, Points, Shape, Words
from scribegauge.report.drawingstyle import (
    AXIS,
    BAND,
    BAR,
    BAR_OUTSIDE,
    EDGE,
    INK,
    PLOT_TEXT_PX,
    PLOT_WORD_PX,
    RED,
    WHISKER,
    Stroke,
)
from scribegauge.report.plot import LEFT, RIGHT, WIDTH, Bar, Plot
from scribegauge.report.words import shown_word

_TOP = 4.0
_HALF_BAR, _HALF_CAP = 6.0, 4.0
_BELOW_MIDDLE = 4.0
_NAME_ROOM = LEFT - 8


def plot_drawing(plot: Plot) -> Drawing:
    """Draw bars, whiskers, tolerance band and axis.

    Parameters
    ----------
    plot : Plot
    """
    return Drawing(WIDTH, plot.height, tuple(_shapes(plot)))


def _shapes(plot: Plot) -> Iterator[Shape]:
    if plot.band is not None:
        low, high = plot.band
        yield _box(low, _TOP, high, plot.axis_y, BAND)
        for x in plot.band:
            yield _line((x, _TOP), (x, plot.axis_y), EDGE)
    for bar in plot.bars:
        yield from _bar(bar, plot.zero)
    yield _line((plot.zero, _TOP), (plot.zero, plot.axis_y), AXIS)
    yield _line((LEFT, plot.axis_y), (RIGHT, plot.axis_y), AXIS)
    for x, text in plot.ticks:
        yield _line((x, plot.axis_y), (x, plot.axis_y + 4), AXIS)
        yield Words(text, (x, plot.axis_y + 17), PLOT_TEXT_PX, INK, anchor="m")


def _bar(bar: Bar, zero: float) -> Iterator[Shape]:
    y, outside = bar.y, bar.word == "outside"
    yield Words(bar.name, (0.0, y + _BELOW_MIDDLE), PLOT_TEXT_PX, INK, room_px=_NAME_ROOM)
    if bar.end is not None and bar.low is not None and bar.high is not None:
        colour = BAR_OUTSIDE if outside else BAR
        ends = sorted((bar.end, zero))
        yield _box(ends[0], y - _HALF_BAR, ends[1], y + _HALF_BAR, colour)
        yield _line((bar.low, y), (bar.high, y), WHISKER)
        for x in (bar.low, bar.high):
            yield _line((x, y - _HALF_CAP), (x, y + _HALF_CAP), WHISKER)
    at, room = (RIGHT + 8, y + _BELOW_MIDDLE), WIDTH - RIGHT - 8
    ink = RED if outside else INK
    yield Words(shown_word(bar.word), at, PLOT_WORD_PX, ink, bold=outside, room_px=room)


def _line(start: tuple[float, float], end: tuple[float, float], stroke: Stroke) -> Path:
    return Path(np.array([start, end]), stroke)


def _box(
    left: float, top: float, right: float, bottom: float, colour: tuple[int, int, int]
) -> Area:
    corners: Points = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    return Area(corners, colour)
