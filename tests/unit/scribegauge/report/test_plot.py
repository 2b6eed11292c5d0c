"""The bars of the report: each stroke ends where its number says."""

from dataclasses import replace

import pytest

from scribegauge.report.plot import LEFT, RIGHT, angle_plot, side_plot


def scale_of(plot):
    """Zero [drawing] and units per mm, read off the axis' own labels."""
    ticks = [(x, float(text.replace("\N{MINUS SIGN}", "-"))) for x, text in plot.ticks]
    (x0, v0), (x1, v1) = ticks[0], ticks[-1]
    per = (x1 - x0) / (v1 - v0)
    return x0 - v0 * per, per


def test_bars_and_whiskers_end_where_the_numbers_say(make_reading):
    reading = make_reading(count=7, tolerance_mm=0.05)
    plot = side_plot(reading)
    zero, per_mm = scale_of(plot)
    assert plot.zero == pytest.approx(zero, abs=0.02)
    for bar, side in zip(plot.bars, reading.sides, strict=True):
        assert bar.end == pytest.approx(zero + side.deviation_mm * per_mm, abs=0.05)
        assert bar.low == pytest.approx(bar.end - side.U_mm * per_mm, abs=0.05)
        assert bar.high == pytest.approx(bar.end + side.U_mm * per_mm, abs=0.05)
        assert LEFT <= bar.low < bar.high <= RIGHT
        assert bar.word == side.verdict
    low, high = plot.band
    assert (high - low) / per_mm == pytest.approx(0.1, rel=0.01)
    assert (high + low) / 2 == pytest.approx(zero, abs=0.02)


def test_a_tolerance_wider_than_all_bars_is_still_shown(make_reading):
    plot = side_plot(make_reading(count=4, tolerance_mm=3.0))
    assert LEFT < plot.band[0] < plot.band[1] < RIGHT
    assert scale_of(plot)[1] * 6.0 == pytest.approx(plot.band[1] - plot.band[0], abs=0.1)


@pytest.mark.parametrize("size", [1e-4, 0.03, 1.0, 7.0, 9.99])
def test_the_axis_has_few_round_ticks_that_tell_themselves_apart(make_reading, size):
    reading = make_reading(count=3)
    sides = tuple(replace(s, deviation_mm=size, U_mm=size / 10) for s in reading.sides)
    texts = [text for _, text in side_plot(replace(reading, sides=sides)).ticks]
    assert 3 <= len(texts) <= 9
    assert len(set(texts)) == len(texts)
    assert "0" in texts


def test_what_was_not_measured_has_a_word_and_no_bar(make_reading):
    plot = side_plot(make_reading(count=5, lost=(1,)))
    gone = [bar for bar in plot.bars if bar.end is None]
    assert {bar.word for bar in gone} == {"not seen", "no corner"}
    assert plot.band is None
    assert side_plot(make_reading(count=3, lost=(0, 1, 2))) is None


def test_angles_have_their_own_plot(make_reading):
    reading = make_reading(count=5)
    zero, per_deg = scale_of(angle_plot(reading))
    angle = reading.angles[0]
    end = angle_plot(reading).bars[0].end
    assert end == pytest.approx(zero + angle.deviation_deg * per_deg, abs=0.05)
