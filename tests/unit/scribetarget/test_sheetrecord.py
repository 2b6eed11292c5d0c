"""A sheet's record: read back as it was written, and refused in a sentence when it is none."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scribetarget.errors import BarsError, SheetError
from scribetarget.printscale import scale_from_bars
from scribetarget.sheetrecord import (
    SheetRecord,
    check_record,
    read_sheet,
    sheet_scale,
    sheet_text,
)
from scribetarget.spec import load_specs

SPECS = load_specs()
DAY = date(2026, 10, 5)
RECORD = SheetRecord(
    name="M-1",
    size="M",
    bars_mm=((100.1, 99.9), (100.08, 99.92)),
    caliper_error_mm=0.03,
    measured=DAY,
    paper='80 g "matt"',
    note="upstairs printer \\ tray 2, für A-12",
    humidity_percent=45.0,
)


@pytest.mark.parametrize("record", [RECORD, SheetRecord("x", "S", ((60.0, 60.0),), 0.02, DAY)])
def test_it_is_read_back_as_it_was_written(record):
    assert read_sheet(sheet_text(record), "sheet-m-1.toml") == record


def printable(text):
    return text.isprintable()


@given(st.text(max_size=40).filter(printable), st.floats(99, 101), st.floats(99, 101))
def test_any_words_and_numbers_survive(note, x_mm, y_mm):
    record = replace(RECORD, note=note, bars_mm=((x_mm, y_mm),))
    check_record(record)
    assert read_sheet(sheet_text(record), "x") == record


def test_a_person_may_write_it_and_add_remarks():
    text = sheet_text(RECORD) + "# measured with the long jaws\nshelf = 'B'\n"
    assert read_sheet(text, "x") == RECORD


@pytest.mark.parametrize(
    ("change", "code", "words"),
    [
        ({"name": "../M-1"}, "sheet_name", "letters a to z"),
        ({"name": ""}, "sheet_name", "letters a to z"),
        ({"name": "a" * 25}, "sheet_name", "24"),
        ({"name": "-x"}, "sheet_name", "letters"),
        ({"name": "Blatt ä"}, "sheet_name", "letters"),
        ({"size": "XL"}, "sheet_invalid", "S, M or L"),
        ({"bars_mm": ()}, "sheet_invalid", "readings"),
        ({"bars_mm": ((60.1, 59.9),)}, "bars_absurd", "size M"),
        ({"caliper_error_mm": 0.0}, "sheet_invalid", "0.001"),
        ({"caliper_error_mm": float("nan")}, "sheet_invalid", "error"),
        ({"humidity_percent": 101.0}, "sheet_invalid", "100 %"),
        ({"note": "two\nlines"}, "sheet_invalid", "one line"),
        ({"paper": "a" * 401}, "sheet_invalid", "400"),
    ],
)
def test_what_makes_no_sense_is_not_written_down(change, code, words):
    with pytest.raises((SheetError, BarsError)) as caught:
        check_record(replace(RECORD, **change))
    assert caught.value.code == code
    assert words in str(caught.value)


TEXT = sheet_text(RECORD)


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("", "sheet_file_broken", "sheet = 1"),
        ("{}", "sheet_file_broken", "not TOML"),
        (TEXT.replace("sheet = 1", "sheet = 2"), "sheet_version", "version 2"),
        (TEXT.replace("sheet = 1", "sheet = true"), "sheet_version", "true".title()),
        (TEXT.replace("2026-10-05", '"2026-10-05"'), "sheet_file_broken", "no date"),
        (TEXT.replace("2026-10-05", "2026-10-05T10:00:00"), "sheet_file_broken", "no date"),
        (TEXT.replace("100.1,", '"100.1",'), "sheet_file_broken", "`bars_mm` is no number"),
        (TEXT.replace("[100.1, 99.9], ", "100.1, "), "sheet_file_broken", "list of pairs"),
        (TEXT.replace("size", "format"), "sheet_file_broken", "'size' is missing"),
        (TEXT.replace("100.1,", "10.1,"), "sheet_file_broken", "10.1 and 99.9"),
        (TEXT.replace("0.03", "inf"), "sheet_file_broken", "caliper"),
        (TEXT.replace("0.03", "1" + "0" * 400), "sheet_file_broken", "large"),
        (TEXT.replace('"M-1"', "7"), "sheet_file_broken", "`name` is no text"),
        (TEXT[: len(TEXT) // 2], "sheet_file_broken", "sheet-m-1.toml"),
    ],
)
def test_a_broken_file_says_what_is_wrong(text, code, words):
    with pytest.raises(SheetError) as caught:
        read_sheet(text, "sheet-m-1.toml")
    assert caught.value.code == code
    assert words in caught.value.text
    assert "sheet-m-1.toml" in caught.value.text


def test_the_scale_is_that_of_its_bars_grown_old_by_the_day():
    scale = sheet_scale(RECORD, SPECS["M"], date(2026, 10, 25))
    typed = scale_from_bars(SPECS["M"], RECORD.bars_mm, 0.03, age_days=20)
    assert scale.values == pytest.approx(typed.values)
    assert scale.covariance == pytest.approx(typed.covariance)
    assert (scale.sheet, scale.measured) == ("M-1", DAY)
    assert scale.bars is not None
    assert scale.bars.age_days == 20


def test_another_size_in_the_photo_is_another_sheet():
    with pytest.raises(SheetError, match="size S sheet") as caught:
        sheet_scale(RECORD, SPECS["S"], DAY)
    assert caught.value.code == "sheet_other_size"
