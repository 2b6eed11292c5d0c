"""The class side by side: same exercise only, by code, with what is common."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from scribegauge.batch.again import again_text, photos_again
from scribegauge.batch.classfile import ClassFile
from scribegauge.batch.classpage import class_page, contact_sheet, results_of, verdict_word
from scribegauge.batch.evening import Finished
from scribegauge.batch.handedin import HandedIn
from scribegauge.report.constructionreading import ConstructionReading, FindingReading
from scribegauge.report.reading import Reading
from scribegauge.simulate.winter import Hand, practise

NOTHING = HandedIn((), (), (), ())
Make = Callable[..., Finished]


@pytest.fixture
def plate() -> Make:
    def make(code: str, hand_mm: float = 0.05, **figure: float) -> Finished:
        seed = sum(code.encode())
        (reading,) = practise(Hand(hand_mm), 1, seed=seed, **figure)  # type: ignore[arg-type]
        return Finished(code, "square", reading, "", f"feedback/{code}.html", "", "", ("a.jpg",))

    return make


def test_only_the_same_exercise_is_compared(plate: Make, what: ClassFile) -> None:
    squares = [plate(code) for code in ("A-01", "A-02", "A-03")]
    others = [plate("A-04", 2.0, corners=6), plate("A-12", 2.0, side_mm=20.0)]
    results = results_of(what, NOTHING, squares + others)
    assert {each.spread.plates for each in results.compared} == {3}
    assert "A-04" not in results.compared[0].sentence
    assert results_of(what, NOTHING, [squares[0], *others]).compared == ()


def test_who_differs_for_sure_is_named(plate: Make, what: ClassFile) -> None:
    rows = [plate(code, 0.0) for code in ("A-01", "A-02", "A-03", "A-04")]
    wild = plate("A-12", 0.4)
    first = results_of(what, NOTHING, [*rows, wild]).compared[0]
    assert first.spread.above == ("A-12",)
    assert "by more than measuring explains, A-12 above the middle of the others." in first.sentence


def test_rows_keep_the_order_of_codes(plate: Make, what: ClassFile) -> None:
    rows = [plate("A-01", 0.4), plate("A-02", 0.0), plate("A-03", 0.2)]
    found = results_of(what, NOTHING, rows).rows
    assert [row.finished.pupil for row in found] == ["A-01", "A-02", "A-03"]
    assert all(row.needs for row in found)


def with_finding(each: Finished, kind: str, number: int) -> Finished:
    finding = FindingReading(kind, number, "c", (), 0.2, 0.05, f"Step {number} was off.")
    construction = ConstructionReading(
        *("stepped", "Stepped", True, (), (), (), (), (), (), (), (), None),
        *((finding,), None, (), (), None, ()),
    )
    return replace(each, reading=replace(each.reading, construction=construction))


def test_common_faults_are_those_of_several_pupils(plate: Make, what: ClassFile) -> None:
    rows = [
        with_finding(plate("A-01"), "opening_set", 3),
        with_finding(plate("A-02"), "opening_set", 3),
        with_finding(plate("A-02"), "line_aside", 5),
        with_finding(plate("A-02"), "line_aside", 5),
    ]
    assert results_of(what, NOTHING, rows).faults == (
        "Step 3, 2 pupils (A-01, A-02). E.g.: Step 3 was off.",
    )


def test_strangers_texts_are_text(plate: Make, what: ClassFile, tmp_path: Path) -> None:
    evil = replace(plate("A-01"), photos=("<script>alert(1)</script>.jpg",))
    results = results_of(what, replace(NOTHING, strangers=("<img src=x>",)), [evil])
    page = class_page(results, tmp_path)
    assert b"<script" not in page
    assert b"<img src=x" not in page
    assert contact_sheet(results, tmp_path) == b""


def without_side(reading: Reading) -> Reading:
    first, *rest = reading.sides
    gone = replace(first, measured_mm=None, deviation_mm=None, U_mm=None, verdict=None)
    return replace(reading, sides=(gone, *rest))


def test_a_plate_seen_in_part_asks_for_a_second_photo(plate: Make) -> None:
    part = plate("A-01")
    part = replace(part, reading=without_side(part.reading))
    assert verdict_word(part.reading) in {"in part", "outside"}
    (again,) = photos_again([part, plate("A-02")])
    assert again.sentence.startswith("Your photo a.jpg does not show side A-B. Please take two")
    assert again_text([]) == "No photo has to be taken again.\n"
