"""The reading file: what scripts outside rely on, and that it comes back as it went."""

import json
from dataclasses import replace

import pytest

from scribegauge.errors import FileFormatError
from scribegauge.report.jsonfile import from_json, to_json

# As printed in the contract for scripts outside the project.
KEYS = {
    "vertices": {"name", "x_mm", "y_mm", "photo_px"},
    "sides": {
        *("from", "to", "intended_mm", "measured_mm", "deviation_mm", "U_mm", "verdict", "reasons")
    },
    "angles": {
        *("at", "intended_deg", "measured_deg", "deviation_deg", "U_deg", "verdict", "reasons")
    },
    "pricks": {"at", "x_mm", "y_mm", "U_mm", "photo_px", "off_corner_mm"},
    "reasons": {"code", "text"},
}
TOP = ["reading", "status", "reasons", "vertices", "sides", "angles", "pricks"]


def test_top_keys_come_first_and_in_order(make_reading):
    document = json.loads(to_json(make_reading()))
    assert list(document)[: len(TOP)] == TOP
    assert document["reading"] == 1
    assert {"title", "photos", "plate", "lines", "program"} <= set(document)


@pytest.mark.parametrize("name", KEYS)
def test_every_entry_has_the_contracted_keys(make_reading, name):
    entries = json.loads(to_json(make_reading(lost=(1,))))[name]
    assert entries
    assert all(KEYS[name] <= set(entry) for entry in entries)


def test_a_side_that_was_not_found_is_listed_with_nulls_and_a_reason(make_reading):
    sides = json.loads(to_json(make_reading(lost=(1,))))["sides"]
    lost = next(s for s in sides if (s["from"], s["to"]) == ("B", "C"))
    nulls = ("measured_mm", "deviation_mm", "U_mm", "verdict")
    assert [lost[key] for key in nulls] == [None] * 4
    assert lost["reasons"][0]["code"] == "side_unseen"
    assert len(sides) == 5


def test_terms_come_along(make_reading):
    terms = json.loads(to_json(make_reading()))["sides"][0]["terms"]
    assert terms[1] == {"name": "bars", "u": 0.013}


def test_numbers_are_rounded_for_a_persons_eye(make_reading):
    document = json.loads(to_json(make_reading()))
    for value, places in (
        (document["vertices"][0]["photo_px"][0], 3),
        (document["sides"][0]["measured_mm"], 5),
        (document["angles"][0]["deviation_deg"], 5),
    ):
        assert len(str(value).partition(".")[2]) <= places
    assert document["angles"][0]["deviation_deg"] == 0.12346


@pytest.mark.parametrize("lost", [(), (2,)])
def test_it_comes_back_as_it_went(make_reading, lost):
    once = from_json(to_json(make_reading(count=6, lost=lost, tolerance_mm=0.1)))
    assert from_json(to_json(once)) == once
    original = make_reading(count=6, lost=lost, tolerance_mm=0.1)
    assert once.sides[0].start == original.sides[0].start
    assert once.vertices[0].photo_px == pytest.approx(original.vertices[0].photo_px, abs=6e-4)
    assert replace(once, vertices=(), sides=(), angles=(), pricks=(), lines=(), plate=None) == (
        replace(original, vertices=(), sides=(), angles=(), pricks=(), lines=(), plate=None)
    )


def test_what_is_no_number_is_never_written(make_reading):
    reading = make_reading()
    broken = replace(reading.sides[0], measured_mm=float("nan"))
    with pytest.raises(ValueError, match="JSON"):
        to_json(replace(reading, sides=(broken,)))


def test_fields_of_a_later_program_are_passed_over(make_reading):
    document = json.loads(to_json(make_reading()))
    document["weather"] = "damp"
    document["sides"][0]["colour"] = "bright"
    assert from_json(json.dumps(document)) == from_json(to_json(make_reading()))


@pytest.mark.parametrize("version", [2, 0, "1", None, True, [1]])
def test_an_unknown_version_is_refused(make_reading, version):
    document = json.loads(to_json(make_reading())) | {"reading": version}
    with pytest.raises(FileFormatError) as caught:
        from_json(json.dumps(document))
    assert caught.value.code == "reading_version"


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", "null", '{"reading": 1}', '{"reading": NaN}', "[" * 100_000, "\x00"]
)
def test_rubbish_is_refused_with_a_cure(text):
    with pytest.raises(FileFormatError) as caught:
        from_json(text)
    assert caught.value.code == "reading_file"
    assert caught.value.cure


@pytest.mark.parametrize(
    ("key", "value"), [("sides", [1]), ("sides", 1), ("status", 3), ("plate", [])]
)
def test_a_wrong_kind_of_field_is_named(make_reading, key, value):
    document = json.loads(to_json(make_reading())) | {key: value}
    with pytest.raises(FileFormatError, match=key):
        from_json(json.dumps(document))
