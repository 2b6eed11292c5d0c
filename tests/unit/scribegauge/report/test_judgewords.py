"""Grades, chances and random trials in words, wherever a reading is shown."""

import csv
from dataclasses import replace

import pytest

from scribegauge.report.csvtable import readings_csv
from scribegauge.report.htmlfile import page_of, write_report
from scribegauge.report.judgereading import (
    AngleTrials,
    CriterionReading,
    GradeReading,
    SideTrials,
    TrialsReading,
)
from scribegauge.report.judgewords import either, grade_sentences, odds_sentence, trial_rows
from scribegauge.report.overlaywords import facts_of
from scribegauge.report.sentences import verdict_of
from scribegauge.report.settings import settings_of
from scribegauge.report.table import table
from scribegauge.report.words import headline

LARGEST = CriterionReading("largest_mm", 0.2134, 0.031, ("B", "C"))
TURN = CriterionReading("rms_deg", 0.8, 0.12, ("B",))
GRADE = GradeReading(("B", "C"), (LARGEST, TURN))


def test_one_grade_or_several():
    assert either(("B",)) == "B"
    assert either(("B", "C")) == "B or C"
    assert either(("A", "B", "C")) == "A, B or C"


def test_a_grade_says_what_it_is_by():
    first, sides, angles = grade_sentences(GRADE)
    assert first.startswith("Grade: B or C. U reaches over a border")
    assert sides == "Largest deviation of the sides: 0.213 ± 0.031 mm, B or C."
    assert angles == "Deviation of the angles (root mean square): 0.80 ± 0.12°, B."
    sure = GradeReading(("B",), (CriterionReading("rms_mm", None, None, ("A", "B")),))
    assert grade_sentences(sure) == [
        "Grade: B.",
        "Deviation of the sides (root mean square): nothing measured.",
    ]


def test_the_grade_is_in_table_and_page(make_reading, photo):
    reading = replace(make_reading(), grade=GRADE)
    for sentence in grade_sentences(GRADE):
        assert sentence in " ".join(table(reading).split())
        assert sentence in verdict_of(reading).more
    assert "Grade: B or C" in write_report(photo, reading).decode()
    judged = replace(make_reading(tolerance_mm=0.05), grade=GRADE)
    assert grade_sentences(GRADE)[0] in verdict_of(judged).more


def undecided(reading):
    sides = list(reading.sides)
    sides[1] = replace(sides[1], verdict="undecided", p_conform=0.6184)
    sides[2] = replace(sides[2], verdict="within", p_conform=0.99)
    return replace(reading, sides=tuple(sides))


def test_the_chance_of_what_is_undecided(make_reading):
    reading = undecided(make_reading(tolerance_mm=0.5))
    said = "Undecided; the chance that it is within: B–C 62 %."
    assert odds_sentence(reading) == said
    assert said in table(reading)
    assert said in verdict_of(reading).more
    assert odds_sentence(make_reading(tolerance_mm=0.5)) == ""


def tried(reading, agrees=(True, None, False)):
    sides = tuple(
        replace(side, trials=SideTrials(20.0, 0.017, 19.9, 19.9663, 0.005, agrees[k % 3]))
        for k, side in enumerate(reading.sides)
    )
    trials = AngleTrials(108.1, 0.04, 108.02, 108.18, 0.005, agrees=True)
    angles = tuple(replace(angle, trials=trials) for angle in reading.angles)
    return replace(reading, sides=sides, angles=angles, trials=TrialsReading(100_000, 7))


def test_trials_beside_the_budget(make_reading):
    rows = trial_rows(tried(make_reading()))
    assert rows[0] == "Random trials, 100 000, seed 7: half of what holds 95 %"
    # U is 0.034: 0.0333 at 95 %.
    assert rows[2].split() == ["A–B", "0.033", "0.033", "agree"]
    assert rows[3].split(maxsplit=3) == ["B–C", "0.033", "0.033", "too few trials to tell"]
    assert rows[4].split() == ["C–D", "0.033", "0.033", "differ"]
    assert rows[7].split() == ["A", "0.080", "0.078", "agree"]
    assert len(rows) == 2 + 5 + 5
    assert "\n".join(rows) in table(tried(make_reading()))
    assert max(map(len, rows)) <= 80
    assert trial_rows(make_reading()) == []


def test_few_readings_widen_the_budgets_95_percent(make_reading):
    reading = tried(make_reading())
    few = replace(reading.sides[0], degrees_of_freedom=3)
    rows = trial_rows(replace(reading, sides=(few, *reading.sides[1:])))
    # Student's t with 3 degrees of freedom: 3.18 instead of 1.96.
    assert rows[2].split()[2] == "0.054"


@pytest.fixture
def by_class(make_reading):
    """A reading judged by a class, whose sides are allowed different amounts."""
    reading = make_reading(tolerance_mm=0.5)
    sides = tuple(
        replace(side, tolerance_mm=0.2 if k % 2 else 0.3) for k, side in enumerate(reading.sides)
    )
    angles = tuple(replace(a, tolerance_deg=0.5, verdict="within") for a in reading.angles)
    return replace(
        reading,
        sides=sides,
        angles=angles,
        tolerance_side_mm=None,
        tolerance_angle_deg=0.5,
        tolerance_class="m",
    )


def test_a_class_is_named_where_no_number_holds_for_all(by_class):
    said = " ".join(headline(by_class).split())
    assert "All 5 sides within ISO 2768-m." in said
    assert "All 5 angles within 0.5°." in said
    assert "All five sides are within ISO 2768-m." in " ".join(verdict_of(by_class).first.split())
    tolerance = dict(settings_of(by_class))["Tolerance"]
    assert " ".join(tolerance.split()) == "angles ±0.5°, ISO 2768-m"
    assert any("allowed" in fact and "ISO" in fact for fact in facts_of(by_class, ()))


def test_each_row_of_the_spreadsheet_has_its_own_tolerance(by_class):
    rows = csv.DictReader(readings_csv([by_class], ("side",)).decode().splitlines())
    assert [row["tolerance_mm"] for row in rows] == ["0.3", "0.2", "0.3", "0.2", "0.3"]
    rows = csv.DictReader(readings_csv([by_class], ("angle",)).decode().splitlines())
    assert {row["tolerance_deg"] for row in rows} == {"0.5"}


def test_the_page_draws_a_band_only_where_one_tolerance_holds_for_all(by_class, photo):
    page = page_of(photo, by_class)
    assert page.judged
    assert [plot.band is None for plot in page.plots] == [True, False]
    assert page.banded
    without = page_of(photo, replace(by_class, tolerance_angle_deg=None))
    assert not without.banded
    assert b"the shaded band" not in write_report(photo, without.reading)
