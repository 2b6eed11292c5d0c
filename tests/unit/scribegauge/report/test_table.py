"""What a person reads in the terminal."""

from dataclasses import replace

import pytest

from scribegauge.report.reading import Term
from scribegauge.report.table import table, typical_side
from scribegauge.report.words import DASH, decimals_for, headline, one_line, side_name, signed


@pytest.mark.parametrize(
    ("expanded", "places"),
    [(0.034, 3), (0.34, 2), (3.4, 1), (34.0, 0), (0.0996, 2), (0.00994, 4), (0.0, 3)],
)
def test_two_figures_of_the_uncertainty_are_shown(expanded, places):
    assert decimals_for(expanded) == places


def test_a_deviation_follows_its_uncertainty():
    assert signed(0.31234, 0.043) == "+0.312"
    assert signed(-0.31234, 0.43) == "-0.31"
    assert signed(-0.0001, 0.043) == "+0.000"


@pytest.mark.parametrize("lost", [(), (0, 7)])
@pytest.mark.parametrize("title", ["", "Blank", "Zażółć " * 60, "漢字" * 90, "x" * 300])
def test_no_line_is_wider_than_a_terminal(make_reading, title, lost):
    reading = make_reading(count=24, lost=lost, tolerance_mm=0.05, title=title)
    widths = [len(line) for line in table(reading).splitlines()]
    assert max(widths) <= 80
    assert len(widths) > 24 * 3


def test_a_wide_title_counts_double():
    assert one_line("漢" * 90, 80) == "漢" * 39 + "…"
    assert one_line("a" * 80, 80) == "a" * 80


def test_a_title_cannot_command_the_terminal(make_reading):
    text = table(make_reading(title="\x1b[31mred\u202e\r\nnext\x07"))
    assert not any(c in text for c in "\x1b\r\x07\u202e")
    assert text.splitlines()[0] == "[31mred next"


def test_unjudged_headline_gives_count_and_largest_deviation(make_reading):
    said = headline(make_reading(count=6, lost=(2,))).replace("\N{NO-BREAK SPACE}", " ")
    assert said.startswith("3 of 6 sides and 4 of 6 angles measured; largest deviation ")
    sides = [s for s in make_reading(count=6, lost=(2,)).sides if s.deviation_mm is not None]
    worst = max(sides, key=lambda s: abs(s.deviation_mm))
    assert f"{worst.deviation_mm:+.3f} ± 0.034 mm." in said
    assert side_name(worst) in said


def test_judged_headline_names_what_is_out(make_reading):
    reading = make_reading(count=5, tolerance_mm=0.05)
    out = [side_name(s) for s in reading.sides if s.verdict == "outside"]
    assert 0 < len(out) < 5
    assert (
        headline(reading) == f"{5 - len(out)} of 5 sides within 0.05 mm; {', '.join(out)} outside."
    )


def test_all_within_is_said_so(make_reading):
    assert headline(make_reading(tolerance_mm=9.0)) == "All 5 sides within 9 mm."


def test_a_side_not_seen_says_so_with_its_reason(make_reading):
    text = table(make_reading(count=5, lost=(1,)))
    row = next(line for line in text.splitlines() if line.startswith(f"B{DASH}C"))
    assert row.endswith("not seen")
    assert f"B{DASH}C" in text.partition("Please note")[2]
    assert "move the lamp" in " ".join(text.partition("Please note")[2].split())


def test_a_line_seen_without_its_corner_is_told_from_one_not_seen(make_reading):
    text = table(make_reading(count=5, lost=(1,)))
    assert next(x for x in text.splitlines() if x.startswith(f"C{DASH}D")).endswith("no corner")


def test_points_of_a_column_stand_below_each_other(make_reading):
    reading = make_reading(count=5)
    coarse = replace(reading.sides[0], U_mm=0.34)
    text = table(replace(reading, sides=(coarse, *reading.sides[1:])))
    rows = [line for line in text.splitlines() if line[1:2] == DASH]
    assert len({row.index(".") for row in rows}) == 1
    assert len({row.rindex(".") for row in rows}) == 1


def test_verdicts_are_words(make_reading):
    text = table(make_reading(tolerance_mm=0.05))
    assert "outside" in text
    assert "within" in text


def test_limits_are_the_three_largest_terms_in_plain_words(make_reading):
    limits = table(make_reading()).partition("What limits")[2].splitlines()[1:]
    assert [line.split()[0] for line in limits] == ["0.026", "0.018", "0.012"]
    assert "check bars" in limits[0]
    assert "thickness" in limits[1]


def test_a_long_name_of_a_term_is_cut(make_reading):
    reading = make_reading()
    sides = tuple(replace(s, terms=(Term("word " * 40, 0.01),)) for s in reading.sides)
    lines = table(replace(reading, sides=sides)).splitlines()
    assert max(len(line) for line in lines) == 80
    assert lines[-1].endswith("…")


def test_the_typical_side_is_the_median(make_reading):
    sides = [replace(s, U_mm=u) for s, u in zip(make_reading().sides, (5, 1, 4, 2, 3), strict=True)]
    assert typical_side(sides).U_mm == 3
    assert typical_side([]) is None


def test_it_can_be_written_in_a_western_code_page(make_reading):
    table(make_reading(lost=(1,), tolerance_mm=0.05)).encode("cp1252")
