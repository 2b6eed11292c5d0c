"""Readings for a spreadsheet, read back by the standard library's own reader."""

import csv
import io
from dataclasses import replace

import pytest

from scribegauge.report.csvfile import (
    ANGLE_COLUMNS,
    PRICK_COLUMNS,
    SIDE_COLUMNS,
    angles_csv,
    pricks_csv,
    sides_csv,
)

WRITERS = [(sides_csv, SIDE_COLUMNS), (angles_csv, ANGLE_COLUMNS), (pricks_csv, PRICK_COLUMNS)]


def back(data):
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))


@pytest.mark.parametrize(("write", "columns"), WRITERS)
def test_a_row_each_for_all_readings_under_one_header(make_reading, write, columns):
    readings = [make_reading(count=5, tolerance_mm=0.05), make_reading(count=3, title="Second")]
    rows = back(write(readings))
    assert list(rows[0]) == list(columns)
    assert len(rows) == 8
    assert [row["title"] for row in rows] == ["Practice blank, A-12"] * 5 + ["Second"] * 3


def test_numbers_come_back(make_reading):
    reading = make_reading(count=5, lost=(1,), tolerance_mm=0.05)
    for row, side in zip(back(sides_csv([reading])), reading.sides, strict=True):
        assert (row["from"], row["to"], row["verdict"]) == (
            side.start,
            side.end,
            side.verdict or "",
        )
        assert float(row["intended_mm"]) == pytest.approx(side.intended_mm, abs=6e-6)
        if side.measured_mm is None:
            assert (row["measured_mm"], row["U_mm"], row["reasons"]) == ("", "", "side_unseen")
        else:
            assert float(row["deviation_mm"]) == pytest.approx(side.deviation_mm, abs=6e-6)
            assert float(row["U_mm"]) == side.U_mm
        assert float(row["tolerance_mm"]) == 0.05
    for row, angle in zip(back(angles_csv([reading])), reading.angles, strict=True):
        assert row["measured_deg"] == ("" if angle.measured_deg is None else "108.12346")
        assert row["tolerance_deg"] == ""
    for row, prick in zip(back(pricks_csv([reading])), reading.pricks, strict=True):
        assert float(row["x_mm"]) == pytest.approx(prick.x_mm, abs=6e-6)
        assert float(row["off_corner_mm"]) == prick.off_corner_mm


def test_negative_numbers_stay_numbers(make_reading):
    reading = make_reading(count=5)
    values = [row["deviation_mm"] for row in back(sides_csv([reading]))]
    assert any(value.startswith("-") for value in values)
    assert all(float(value) is not None for value in values)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r=", "\n="])
def test_no_text_becomes_a_formula(make_reading, start):
    title = f"{start}cmd|' /C calc'!A0"
    assert back(sides_csv([make_reading(title=title)]))[0]["title"] == f"'{title}"


@pytest.mark.parametrize(
    "title", ['say "yes", twice', "two\r\nlines", "a;b", "Zażółć 漢字 😀", "x" * 300, " - ", ""]
)
def test_any_other_text_comes_back_as_it_was(make_reading, title):
    assert back(sides_csv([make_reading(title=title)]))[0]["title"] == title


def test_it_is_what_the_standard_asks_for(make_reading):
    """RFC 4180: CR LF after every record, quotes round what needs them, quotes doubled."""
    reading = replace(make_reading(count=3, title='a "b", c'), pricks=())
    data = sides_csv([reading])
    assert data.count(b"\r\n") == data.count(b"\n") == 4
    assert data.endswith(b"\r\n")
    assert b',"a ""b"", c",' in data


def test_a_refusal_or_nothing_leaves_the_header(make_reading):
    bare = replace(make_reading(), sides=(), photos=())
    for readings in ([], [bare]):
        assert sides_csv(readings).decode() == ",".join(SIDE_COLUMNS) + "\r\n"
