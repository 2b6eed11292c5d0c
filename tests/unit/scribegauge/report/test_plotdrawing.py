"""Plots as drawn: bars, whiskers and band begin and end where the numbers say."""

import numpy as np
import pytest

from scribegauge.report import drawingstyle as style
from scribegauge.report.drawing import Area, Path, Words
from scribegauge.report.plot import RIGHT, angle_plot, side_plot
from scribegauge.report.plotdrawing import plot_drawing


@pytest.fixture
def judged(make_reading):
    return make_reading(count=5, lost=(1,), tolerance_mm=0.05)


def of(drawing, kind, **wanted):
    return [
        s
        for s in drawing.shapes
        if isinstance(s, kind) and all(getattr(s, k) == v for k, v in wanted.items())
    ]


def test_bars_are_drawn_from_zero_to_where_the_plot_says(judged):
    plot = side_plot(judged)
    drawing = plot_drawing(plot)
    bars = [bar for bar in plot.bars if bar.end is not None]
    assert len(bars) == 2
    drawn = of(drawing, Area, colour=style.BAR) + of(drawing, Area, colour=style.BAR_OUTSIDE)
    for bar in bars:
        (area,) = [a for a in drawn if abs(a.polygon[:, 1].mean() - bar.y) < 1e-9]
        assert {area.polygon[:, 0].min(), area.polygon[:, 0].max()} == {plot.zero, bar.end}
        outside = bar.word == "outside"
        assert area.colour == (style.BAR_OUTSIDE if outside else style.BAR)
        (word,) = of(drawing, Words, text=bar.word, at=(RIGHT + 8, bar.y + 4))
        assert word.bold is outside
        whiskers = [p.points for p in of(drawing, Path, stroke=style.WHISKER)]
        assert any(np.array_equal(p, [[bar.low, bar.y], [bar.high, bar.y]]) for p in whiskers)


def test_the_band_is_the_tolerance_and_only_where_there_is_one(judged):
    plot = side_plot(judged)
    (band,) = of(plot_drawing(plot), Area, colour=style.BAND)
    assert (band.polygon[:, 0].min(), band.polygon[:, 0].max()) == plot.band
    assert of(plot_drawing(angle_plot(judged)), Area, colour=style.BAND) == []
