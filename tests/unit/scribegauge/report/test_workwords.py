"""Circles, corners, meetings and line quality, from the record to words, pages and files."""

import json
from dataclasses import replace

import pytest
from jsonschema import Draft202012Validator

from scribegauge.report.hintwords import with_hints
from scribegauge.report.htmlfile import write_report
from scribegauge.report.jsonfile import from_json, to_json
from scribegauge.report.markreading import (
    ArcReading,
    CornerReading,
    DoubledReading,
    LineQuality,
    MeetingReading,
)
from scribegauge.report.schema import schema_text
from scribegauge.report.table import table
from scribegauge.report.workwords import arc_remarks, line_remarks, meeting_remark, remarks

CLEAN = LineQuality(23.5, 0.4, 0.4, 0.04, "within", 0.004, 0.011, (), 0.0, 0.0, ())
POOR = replace(
    CLEAN,
    width_verdict="outside",
    wander_mm=0.03,
    gaps_mm=((3.0, 5.5),),
    faded_end_mm=2.4,
    doubled=(DoubledReading(10.0, 18.0, 0.09, 0.02),),
)
PATH = ((100.0, 100.0), (200.0, 150.0))
ARC = ArcReading(
    *(1.5, -2.25, 0.05, 18.004, 0.015, 0.0, 360.0, 0.07, "dark", 0.9),
    *(0.004, 0.03, 0.21, 0.11, 0.01, 0.04, (900.0, 700.0), PATH),
)
CORNER = CornerReading("A", "E-A", "A-B", 1.2, 0.4, -1.9, 0.4, 0.1, -0.05, 0.06, 0.0, 0.1, 0.06)
MEETING = MeetingReading(
    "A", 1.0, 2.0, (5.0, 6.0), ("E-A", "A-B", "arc 1"), (0.09, 0.02, 0.07), 0.09, 0.04
)


@pytest.fixture
def worked(make_reading):
    reading = make_reading()
    first, *rest = reading.lines
    lines = (replace(first, quality=POOR), *(replace(line, quality=CLEAN) for line in rest))
    return replace(reading, lines=lines, arcs=(ARC,), corners=(CORNER,), meetings=(MEETING,))


def test_what_noise_explains_is_not_told(worked):
    assert line_remarks(worked.lines[1]) == ()
    even = replace(ARC, mismatch_mm=0.1)
    assert arc_remarks(even) == ()
    assert meeting_remark(replace(MEETING, miss_mm=0.03)) == ""
    assert (
        remarks(replace(worked, lines=worked.lines[1:], arcs=(even,), corners=(), meetings=()))
        == ()
    )


def test_every_fault_is_told_once_with_its_size(worked):
    told = remarks(worked)
    assert told[0].startswith(
        "A–B: wider than the tolerance: 0.060 ± 0.040 mm; wanders by 0.030 ± 0.011"
    )
    for words in (
        "two strokes from 10 to 18 mm, 0.090 ± 0.020",
        "not seen from 3.0 to 5.5 mm",
        "last 2.4 mm",
    ):
        assert words in told[0]
    assert told[1] == "Arc 1: its end misses its start by 0.21 ± 0.11 mm."
    assert told[2] == "A–B is not seen over the last 1.9 mm to A."
    assert told[3] == "E–A, A–B, arc 1 miss one point by 0.090 ± 0.040 mm."
    assert len(told) == 4


def test_the_table_shows_circles_and_the_hands_work(worked):
    text = table(worked)
    assert "1               18.004       0.015       0.050        360°" in text
    assert "The hand's work" in text
    assert "Arc 1: its end misses its start" in text
    assert max(map(len, text.splitlines())) <= 80
    assert "hand's work" not in table(replace(worked, lines=(), arcs=(), corners=(), meetings=()))


def test_the_file_is_valid_and_comes_back(worked):
    text = to_json(worked)
    assert list(Draft202012Validator(json.loads(schema_text())).iter_errors(json.loads(text))) == []
    again = from_json(text)
    assert again.arcs == worked.arcs
    assert again.corners == worked.corners
    assert again.meetings == worked.meetings
    assert [line.quality for line in again.lines] == [line.quality for line in worked.lines]


def test_files_without_the_new_parts_are_still_read(worked):
    document = json.loads(to_json(worked))
    for key in ("arcs", "corners", "meetings"):
        del document[key]
    for line in document["lines"]:
        del line["quality"]
    old = from_json(json.dumps(document))
    assert old.arcs == old.corners == old.meetings == ()
    assert old.lines[0].quality is None


def test_the_page_has_its_sections(worked, photo):
    page = write_report(photo, worked).decode()
    for words in ("Circles and arcs", "Where marks meet", "Quality of the lines", "18.004"):
        assert words in page
    assert "two strokes from 10 to 18 mm" in page
    bare = write_report(photo, replace(worked, lines=(), arcs=(), corners=(), meetings=())).decode()
    assert "Circles and arcs" not in bare
    assert "Quality of the lines" not in bare


def test_a_hint_in_vain_warns_and_stands_beside_its_side(make_reading):
    reading = replace(make_reading(lost=(1,)), status="measured", reasons=())
    told = with_hints(reading, {1}, {3})
    assert told.status == "warned"
    (reason,) = told.reasons
    assert reason.code == "hint_shows_nothing"
    assert "B–C, prick D" in reason.text
    assert told.sides[1].reasons[-1].code == "hint_shows_nothing"
    assert told.sides[0] == reading.sides[0]
    assert with_hints(reading, set(), set()) is reading
