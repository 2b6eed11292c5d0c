"""Construction files: what is read, and what is refused with line and key."""

from pathlib import Path

import pytest

from scribegauge.construction.catalogue import names, text_of
from scribegauge.construction.engine import run_exactly
from scribegauge.construction.plan import plan_of
from scribegauge.construction.record import DrawLine
from scribegauge.construction.stepfile import (
    check_construction,
    load_construction,
    read_construction,
)
from scribegauge.errors import FileFormatError

TRIANGLE = """\
construction = 1
title = "Triangle"
exact = true
source = ["Euclid, Elements I.1"]
sizes = { side_mm = 40 }
steps = [  # a remark with { and [
  { point = "A", at_mm = [0, 0] },
  { point = "B", at_mm = ["side_mm", 0] },
  { set = "r", from = ["A", "B"] },
  { circle = "a", about = "A", opening = "r" },
  { circle = "b", about = "B", through = "A" },
  { meet = "C", of = ["a", "b"], left_of = ["A", "B"] },
]

[figure]
vertices = ["A", "B", "C"]
"""


def faults(old: str, new: str) -> list[tuple[int | None, str, str]]:
    assert old in TRIANGLE
    text = TRIANGLE.replace(old, new, 1)
    return [(f.line, f.key, f.text) for f in check_construction(text, "own.toml")]


def test_a_file_is_read_and_its_sides_are_drawn_last() -> None:
    construction = read_construction(TRIANGLE, "own.toml")
    assert (construction.name, construction.title) == ("own", "Triangle")
    plan = plan_of(construction, {"side_mm": 10})
    assert plan.sides == ("A–B", "B–C", "C–A")
    assert [s.number for s in plan.steps if isinstance(s, DrawLine)] == [7, 8, 9]
    places = run_exactly(plan)
    assert places["C"] == pytest.approx(complex(5, -(75**0.5)), abs=1e-12)  # to the left is up


@pytest.mark.parametrize(
    ("old", "new", "line", "key", "what"),
    [
        ("construction = 1", "construction = 2", 1, "construction", "no version"),
        ("construction = 1", "", None, "construction", "is missing"),
        ("title =", "titel =", 2, "titel", "not known"),
        ('title = "Triangle"', "title = 3", 2, "title", "one line of text"),
        ("exact = true", 'exact = "yes"', 3, "exact", "true or false"),
        ('["Euclid, Elements I.1"]', '"Euclid"', 4, "source", "list of texts"),
        ("side_mm = 40", "side_mm = -1", 5, "sizes.side_mm", "above 0"),
        ("side_mm = 40", "Side = 40", 5, "sizes.Side", "small letters"),
        ('["side_mm", 0]', '["size_mm", 0]', 8, "step 2, at_mm", "no size"),
        ('["side_mm", 0]', '["side_mm / 0", 0]', 8, "step 2, at_mm", "divides by zero"),
        ('["side_mm", 0]', '["side_mm"]', 8, "step 2, at_mm", "two numbers"),
        ('["side_mm", 0]', '["open(1)", 0]', 8, "step 2, at_mm", "may hold numbers"),
        ('set = "r", from', 'set = "r", form', 9, "step 3, form", "not known"),
        ('from = ["A", "B"]', 'from = ["A", "A"]', 9, "step 3, from", "twice"),
        ('from = ["A", "B"]', 'from = ["A"]', 9, "step 3, from", "2 marks"),
        ('about = "A", ', "", 10, "step 4, about", "is missing"),
        ('opening = "r"', 'opening = "A"', 10, "step 4, opening", "A is a point"),
        (', through = "A"', "", 11, "step 5, circle", "either through or opening"),
        ('through = "A"', 'through = "C"', 11, "step 5, through", "not there yet"),
        ('circle = "b"', 'circle = "a"', 11, "step 5, circle", "second mark"),
        ('circle = "b"', 'circle = "b c"', 11, "step 5, circle", "name of the mark"),
        (', left_of = ["A", "B"]', "", 12, "step 6, meet", "which of two"),
        ('left_of = ["A", "B"]', 'left_off = ["A", "B"]', 12, "step 6, left_off", "not known"),
        ("left_of", 'nearest_to = "A", left_of', 12, "step 6, meet", "2 rules"),
        ('left_of = ["A", "B"]', 'nearest_to = "A"', 12, "step 6 (mark C)", "tell its two"),
        ('meet = "C"', 'walk = "C"', 12, "step 6", "is none"),
        ('["A", "B", "C"]', '["A", "B", "Z"]', 16, "figure.vertices", "Z"),
        ('["A", "B", "C"]', '["A", "B"]', 16, "figure.vertices", "fewer than three"),
        ("vertices", "vertexes", 16, "figure.vertexes", "not known"),
    ],
)
def test_a_fault_is_told_with_line_and_key(
    old: str, new: str, line: int | None, key: str, what: str
) -> None:
    found = faults(old, new)
    assert any(f[0] == line and f[1] == key and what in f[2] for f in found), found


def test_all_faults_are_told_at_once() -> None:
    text = TRIANGLE.replace("exact = true", "exact = 1").replace('about = "B"', 'about = "Q"')
    with pytest.raises(FileFormatError) as caught:
        read_construction(text, "own.toml")
    assert caught.value.code == "construction_invalid"
    assert "line 3, exact" in caught.value.text
    assert "line 11, step 5, about" in caught.value.text


def test_circles_that_do_not_meet_are_told_from_the_file_s_own_sizes() -> None:
    ((line, key, text),) = faults('set = "r", from = ["A", "B"]', 'set = "r", to_mm = 90')
    assert (line, key) == (12, "step 6 (mark C)")
    assert "do not meet" in text


def test_a_step_s_repeats_are_named_in_a_row() -> None:
    text = TRIANGLE.replace("side_mm = 40", "side_mm = 40, n = 5")
    step = '{ step = "P1", times = "n - 2", along = "a", from = "B", opening = "r", turn = "clockwise" },\n]'
    text = text.replace("]\n\n[figure]", step + "\n\n[figure]")
    plan = plan_of(read_construction(text, "own.toml"))
    assert [s.mark for s in plan.steps if s.number == 7][:3] == ["P1", "P2", "P3"]
    with pytest.raises(ValueError, match="whole number"):
        plan_of(read_construction(text, "own.toml"), {"n": 2.5})
    with pytest.raises(ValueError, match="no size"):
        plan_of(read_construction(text, "own.toml"), {"m": 2})


def test_no_toml_is_said_to_be_none() -> None:
    with pytest.raises(FileFormatError) as caught:
        check_construction("steps = [", "own.toml")
    assert caught.value.code == "construction_syntax"


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    for name, code in (
        ("none.toml", "construction_missing"),
        ("bytes.toml", "construction_unreadable"),
    ):
        with pytest.raises(FileFormatError) as caught:
            load_construction(tmp_path / name)
        assert caught.value.code == code
    (tmp_path / "own.toml").write_text(TRIANGLE, "utf-8")
    assert load_construction(tmp_path / "own.toml").exact


@pytest.mark.parametrize("name", names())
def test_shipped_files_have_no_fault(name: str) -> None:
    assert check_construction(text_of(name), name) == ()


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(FileFormatError) as caught:
        text_of("heptadecagon")
    assert caught.value.code == "construction_unknown"
