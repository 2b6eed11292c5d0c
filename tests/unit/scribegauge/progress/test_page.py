"""The page and the drawing of a pupil's weeks."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from xml.etree import ElementTree as ET

import pytest

from scribegauge.progress.chart import (
    BOTTOM,
    HEIGHT,
    LEFT,
    MOST_POINTS,
    RIGHT,
    TOP,
    WIDTH,
    draw_chart,
)
from scribegauge.progress.measures import MEASURES, series_of
from scribegauge.progress.page import progress_page
from scribegauge.progress.record import Attempt, Measured
from scribegauge.progress.summary import summary_of, text_of
from scribegauge.progress.trend import trend_of
from scribegauge.simulate.winter import Hand, practise

Attempts = Callable[..., tuple[Attempt, ...]]


@pytest.fixture
def winter(attempts_of: Attempts) -> tuple[Attempt, ...]:
    hexagons = practise(Hand(0.08), 6, seed=2, corners=6, side_mm=20, start=date(2024, 11, 6))
    return attempts_of(practise(Hand(0.08), 12, seed=1) + hexagons)


def test_the_page_needs_nothing_from_elsewhere_and_is_the_same_twice(
    winter: tuple[Attempt, ...],
) -> None:
    page = progress_page("A-01", winter).decode()
    assert page == progress_page("A-01", winter).decode()
    assert not re.findall(r"(?:src|href|url)\s*[=(]", page)
    assert "Progress of A-01" in page
    for measure in summary_of("A-01", winter).measures:
        assert measure.sentence in page
    for svg in re.findall(r"<svg.*?</svg>", page, re.DOTALL):
        ET.fromstring(svg)  # noqa: S314 - our own text
    assert page.count('aria-label="Moving range') == 1


def test_titles_of_strangers_are_text(winter: tuple[Attempt, ...]) -> None:
    evil = tuple(replace(a, score=replace(a.score, title="<script>x</script>")) for a in winter)
    assert b"<script" not in progress_page("A-01", evil)


def test_every_plate_is_drawn_with_its_u_and_inside_the_frame(winter: tuple[Attempt, ...]) -> None:
    series = series_of(MEASURES[0], winter)
    chart = draw_chart(series, trend_of(series))
    assert chart is not None
    assert len(chart.dots) == 18
    assert {dot.shape for dot in chart.dots} == {"circle", "square"}
    for dot in chart.dots:
        assert LEFT < dot.x < WIDTH - RIGHT
        assert TOP <= dot.high <= dot.y <= dot.low <= HEIGHT - BOTTOM
    assert [dot.x for dot in chart.dots] == sorted(dot.x for dot in chart.dots)
    assert len(chart.ranges) == 17
    assert chart.changes == ()


def test_one_plate_makes_a_page_and_no_limits(attempts_of: Attempts) -> None:
    made = attempts_of(practise(Hand(0.08), 1, seed=1))
    chart = draw_chart(series_of(MEASURES[0], made), None)
    assert chart is not None
    assert (chart.centre, chart.ranges) == ("", ())
    assert b"a change can be told from 5 on" in progress_page("A-01", made)


def test_a_change_of_camera_is_marked(winter: tuple[Attempt, ...]) -> None:
    other = tuple(
        replace(each, score=replace(each.score, camera="other") if k >= 9 else each.score)
        for k, each in enumerate(winter)
    )
    series = series_of(MEASURES[0], other)
    chart = draw_chart(series, trend_of(series))
    assert chart is not None
    ((place, words),) = chart.changes
    assert words == "other camera"
    assert chart.dots[8].x <= place <= chart.dots[9].x
    assert f"from: {other[9].made}: other camera." in text_of(summary_of("A-01", other))


def test_a_plate_beyond_the_limits_is_named(winter: tuple[Attempt, ...]) -> None:
    wild = list(winter)
    wild[4] = replace(wild[4], score=replace(wild[4].score, side_rms_mm=Measured(0.9, 0.04, 0)))
    series = series_of(MEASURES[0], wild)
    chart = draw_chart(series, None)
    assert chart is not None
    assert [str(wild[4].made) in words for words in chart.outside] == [True]


def test_a_very_long_row_is_counted_and_its_newest_part_drawn(
    winter: tuple[Attempt, ...],
) -> None:
    many = tuple(
        replace(winter[k % 18], made=date(2020, 1, 1) + timedelta(days=k)) for k in range(400)
    )
    series = series_of(MEASURES[0], many)
    chart = draw_chart(series, trend_of(series))
    assert chart is not None
    assert (len(chart.dots), chart.left_out) == (MOST_POINTS, 400 - MOST_POINTS)
    assert len(chart.ranges) == MOST_POINTS


def test_the_terminal_says_the_same(winter: tuple[Attempt, ...]) -> None:
    summary = summary_of("A-01", winter)
    text = text_of(summary)
    assert text.startswith("A-01: 18 plates, 2024-10-07 to 2024-12-23\n")
    assert all(measure.sentence in text for measure in summary.measures)
    assert f"Next: {summary.suggestion.exercise}\nWhy: {summary.suggestion.reason}\n" in text
