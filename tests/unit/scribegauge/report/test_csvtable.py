"""Readings for a spreadsheet, read back by the standard library's own reader."""

import csv
import io
from dataclasses import replace

import pytest

from scribegauge.report.csvtable import KINDS, readings_csv
from scribegauge.report.jsonfile import from_json
from scribegauge.report.reading import Reason
from scribegauge.report.refusal import refusal


def back(data):
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))


@pytest.fixture(scope="module")
def pentagon(kept):
    """A reading with every kind of mark, as `check` wrote it."""
    return from_json(kept("pentagon.json"))


def test_a_row_for_everything_of_every_reading(pentagon, make_reading):
    readings = [pentagon, make_reading(count=3, title="Second")]
    rows = back(readings_csv(readings))
    for reading in readings:
        of_it = [row["kind"] for row in rows if row["title"] == reading.title]
        expected = {
            "reading": 1,
            "side": len(reading.sides),
            "angle": len(reading.angles),
            "prick": len(reading.pricks),
            "arc": len(reading.arcs),
            "line": len(reading.lines),
            "meeting": len(reading.meetings),
        }
        assert {kind: of_it.count(kind) for kind in KINDS} == expected
    assert all(getattr(pentagon, f"{kind}s") for kind in KINDS if kind != "reading")


# Where the reading has another name for it, or says it in another way.
OTHERWISE = {
    "from": "start",
    "to": "end",
    "U_centre_mm": "U_centre_mm",
}
TOLD_OTHERWISE = {"reasons", "hinted", "arc", "line", "gaps", "doubled", "marks", "tolerance_deg"}


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "reading"])
def test_every_number_and_word_comes_back(pentagon, kind):
    """Each cell against the field of its name; nothing is compared by the writer's own code."""
    rows = back(readings_csv([pentagon], (kind,)))
    records = getattr(pentagon, f"{kind}s")
    compared = 0
    for row, record in zip(rows, records, strict=True):
        for column in KINDS[kind].columns:
            if column in TOLD_OTHERWISE:
                continue
            name = OTHERWISE.get(column, column)
            holder = record if hasattr(record, name) else record.quality
            value = getattr(holder, name)
            if isinstance(value, float):
                assert float(row[column]) == pytest.approx(value, abs=6e-6), column
            else:
                assert row[column] == ("" if value is None else str(value)), column
            compared += 1
    assert compared >= 4 * len(records) > 0


def test_what_is_told_otherwise(pentagon):
    rows = back(readings_csv([pentagon]))
    lines = [row for row in rows if row["kind"] == "line"]
    assert [row["line"] for row in lines] == [str(k + 1) for k in range(len(lines))]
    gaps = [str(len(line.quality.gaps_mm)) for line in pentagon.lines]
    assert [row["gaps"] for row in lines] == gaps
    assert set(gaps) != {"0"}
    assert {row["hinted"] for row in lines} == {"no"}
    meetings = [row["marks"] for row in rows if row["kind"] == "meeting"]
    assert meetings[0].split(" ")[0] == pentagon.meetings[0].marks[0].replace(" ", "_")
    (whole,) = (row for row in rows if row["kind"] == "reading")
    assert (whole["grade"], whole["entered_at_step"]) == ("D", "2")
    assert whole["construction"] == "fixed-opening-pentagon"


def test_only_what_is_asked_for(pentagon):
    rows = back(readings_csv([pentagon], ("side", "angle")))
    assert [row["kind"] for row in rows] == ["side"] * 5 + ["angle"] * 5
    assert "radius_mm" not in rows[0]
    assert "intended_deg" in rows[0]


def test_units_are_in_the_headers(pentagon):
    header = readings_csv([pentagon]).decode().partition("\r\n")[0].split(",")
    numbers = {name for name in header if name.rpartition("_")[2] in {"mm", "deg"}}
    assert len(numbers) > 25
    bare = set(header) - numbers
    assert {name for name in bare if name.startswith("U_")} == set()


def test_a_side_that_was_not_found_is_there_with_its_reason(make_reading):
    reading = make_reading(count=5, lost=(1,), tolerance_mm=0.05)
    rows = back(readings_csv([reading], ("side",)))
    missing = [row for row in rows if row["measured_mm"] == ""]
    assert [row["from"] for row in missing] == ["A", "B", "C"]
    assert {row["reasons"] for row in missing} == {"side_unseen"}
    assert {row["U_mm"] for row in missing} == {""}
    assert {row["tolerance_mm"] for row in rows} == {"0.05"}


def test_a_refused_photo_is_not_lost(make_reading):
    reasons = (Reason("blurred", "It smears."), Reason("too_dark", "It is dark."))
    refused = refusal(reasons, "Third", make_reading().photos, "scribegauge")
    (row,) = back(readings_csv([refused]))
    assert (row["kind"], row["status"], row["photo"]) == ("reading", "refused", "plate.jpg")
    assert row["reasons"] == "blurred too_dark"


def test_negative_numbers_stay_numbers(make_reading):
    values = [row["deviation_mm"] for row in back(readings_csv([make_reading()], ("side",)))]
    assert any(value.startswith("-") for value in values)
    assert all(abs(float(value)) < 1 for value in values)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r=", "\n="])
def test_no_text_becomes_a_formula(make_reading, start):
    title = f"{start}cmd|' /C calc'!A0"
    named = make_reading(title=title)
    vertices = tuple(replace(side, start=f"{start}B9") for side in named.sides)
    rows = back(readings_csv([replace(named, sides=vertices)], ("side",)))
    assert rows[0]["title"] == f"'{title}"
    assert rows[0]["from"] == f"'{start}B9"


@pytest.mark.parametrize(
    "title", ['say "yes", twice', "two\r\nlines", "a;b", "Zażółć 漢字 😀", "x" * 300, " - ", ""]
)
def test_any_other_text_comes_back_as_it_was(make_reading, title):
    assert back(readings_csv([make_reading(title=title)]))[0]["title"] == title


def test_it_is_what_the_standard_asks_for(make_reading):
    """RFC 4180: CR LF after every record, as many fields in each, quotes where needed, doubled."""
    data = readings_csv([make_reading(count=3, title='a "b", c')], ("side",))
    assert data.count(b"\r\n") == data.count(b"\n") == 4
    assert data.endswith(b"\r\n")
    assert b',"a ""b"", c",' in data
    widths = {len(row) for row in csv.reader(io.StringIO(data.decode(), newline=""))}
    assert len(widths) == 1


def test_nothing_leaves_the_header():
    header = readings_csv([], ("side",))
    assert header.startswith(b"photo,sha256,title,status,kind,from,to,")
    assert header.count(b"\r\n") == 1
