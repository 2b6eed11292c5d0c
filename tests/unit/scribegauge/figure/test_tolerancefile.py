"""Tolerance and grade tables of a layout file: what is read, and every fault with its line."""

import pytest

from scribegauge.errors import FileFormatError
from scribegauge.figure.layout import GradeBands, Tolerance
from scribegauge.figure.layoutfile import read_layout
from scribegauge.figure.tolerancefile import CLASSES
from scribegauge.verdict import iso2768

GRADED = """layout = 1
tolerance = { iso2768 = "m" }

[grade]
largest_mm = { A = 0.1, B = 0.2, C = 0.4 }
rms_deg = { A = 0.2, B = 0.4, C = 1 }
beyond = "D"

[polygon]
vertices_mm = [[0, 0], [40, 0], [40, 26], [0, 26]]
"""


def refused(text):
    with pytest.raises(FileFormatError) as caught:
        read_layout(text, "blank.toml")
    assert caught.value.code == "layout_invalid"
    return caught.value


def test_a_class_and_grades():
    layout = read_layout(GRADED, "blank.toml")
    assert layout.tolerance == Tolerance(None, None, "m")
    limits = {"largest_mm": (0.1, 0.2, 0.4), "rms_deg": (0.2, 0.4, 1.0)}
    assert layout.grade == GradeBands(("A", "B", "C"), "D", limits)


def test_the_classes_are_those_of_the_standard():
    assert CLASSES == iso2768.CLASSES


def test_a_class_beside_a_number_of_ones_own():
    text = GRADED.replace('iso2768 = "m"', 'iso2768 = "c", side_mm = 0.15')
    assert read_layout(text, "b").tolerance == Tolerance(0.15, None, "c")


def test_tables_written_out_are_read_too():
    head, tail = GRADED.split("[grade]")
    bands = "[grade.rms_mm]\nexcellent = 0.1\ngood = 0.2\n[grade]\nbeyond = 'again'\n"
    layout = read_layout(head + bands + tail[tail.index("[polygon]") :], "b.toml")
    assert layout.grade == GradeBands(("excellent", "good"), "again", {"rms_mm": (0.1, 0.2)})


def test_no_grade_is_none():
    head, tail = GRADED.split("[grade]")
    assert read_layout(head + tail[tail.index("[polygon]") :], "b.toml").grade is None


@pytest.mark.parametrize(
    ("old", "new", "place", "word"),
    [
        ('"m"', '"M"', "line 2, tolerance.iso2768", 'iso2768 = "m"'),
        ('"m"', '"k"', "line 2, tolerance.iso2768", 'iso2768 = "m"'),
        ('"m"', "1", "line 2, tolerance.iso2768", 'iso2768 = "m"'),
        ('"m"', '["m"]', "line 2, tolerance.iso2768", 'iso2768 = "m"'),
        ("iso2768", "iso", "line 2, tolerance.iso", "iso2768"),
        ("[grade]", "[grades]", "line 4, grades", "Did you mean grade?"),
        ("largest_mm", "larges_mm", "line 5, grade.larges_mm", "Did you mean largest_mm?"),
        ("A = 0.1,", "A = 0,", "line 5, grade.largest_mm must have numbers", "E.g. [grade]"),
        ("A = 0.1,", "A = nan,", "line 5, grade.largest_mm must have numbers", "E.g. [grade]"),
        ("A = 0.1,", "A = '1',", "line 5, grade.largest_mm must have numbers", "E.g. [grade]"),
        ("A = 0.1,", "A = 0.3,", "line 5, grade.largest_mm must have rising", "the best grade"),
        ("A = 0.1,", "A = 0.2,", "line 5, grade.largest_mm must have rising", "the best grade"),
        ("A = 0.1,", '"" = 0.1,', "line 5, grade.largest_mm must have short", "E.g. [grade]"),
        ("C = 1 ", "D = 1 ", "line 6, grade.rms_deg must name the same", "E.g. [grade]"),
        ("{ A = 0.2, B = 0.4, C = 1 }", "0.3", "line 6, grade.rms_deg must be a table", "E.g."),
        ("{ A = 0.2, B = 0.4, C = 1 }", "{}", "line 6, grade.rms_deg must be a table", "E.g."),
        ('beyond = "D"', "", "grade.beyond is missing", "beyond for a plate"),
        ('"D"', '"C"', "line 7, grade.beyond is the name of a band", "beyond for a plate"),
        ('"D"', "4", "line 7, grade.beyond must be a short text", "beyond for a plate"),
        ('"D"', '"\\u001b[1m"', "line 7, grade.beyond must be a short text", "beyond for"),
    ],
)
def test_each_fault_has_its_place_and_cure(old, new, place, word):
    assert old in GRADED
    error = refused(GRADED.replace(old, new))
    assert place in error.text
    assert word in error.cure


def test_a_grade_must_be_a_table_with_bands():
    head, tail = GRADED.split("[grade]")
    polygon = tail[tail.index("[polygon]") :]
    assert "line 4, grade must be a table" in refused(f"{head}grade = 3\n{polygon}").text
    text = refused(f'{head}[grade]\nbeyond = "D"\n{polygon}').text
    assert "line 4, [grade] gives no bands (largest_mm, rms_mm, largest_deg, rms_deg)" in text


def test_all_faults_are_told_at_once():
    text = GRADED.replace('"m"', '"M"').replace("B = 0.2", "B = 2").replace("[40, 0]", "[40]")
    said = refused(text).text
    for line in ("line 2, tolerance.iso2768", "line 5, grade.largest_mm", "line 10, polygon"):
        assert line in said
