"""The schema that is packed with the program says what the program writes."""

import json
from dataclasses import fields
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from scribegauge.cli.main import main
from scribegauge.report import constructionreading, judgereading, markreading
from scribegauge.report import reading as records
from scribegauge.report.jsonfile import from_json, to_json
from scribegauge.report.reading import Reason
from scribegauge.report.refusal import refusal
from scribegauge.report.schema import schema_text

SCHEMA = json.loads(schema_text())
VALIDATOR = Draft202012Validator(SCHEMA)
KEPT = sorted((Path(__file__).parents[4] / "fixtures" / "readings").glob("*.json"))
RECORDS = {
    "reason": records.Reason,
    "term": records.Term,
    "vertex": records.VertexReading,
    "side": records.SideReading,
    "angle": records.AngleReading,
    "prick": records.PrickReading,
    "line": records.LineReading,
    "quality": markreading.LineQuality,
    "doubled": markreading.DoubledReading,
    "arc": markreading.ArcReading,
    "corner": markreading.CornerReading,
    "meeting": markreading.MeetingReading,
    "covariance": judgereading.CovarianceReading,
    "side_trials": judgereading.SideTrials,
    "angle_trials": judgereading.AngleTrials,
    "trials": judgereading.TrialsReading,
    "grade": judgereading.GradeReading,
    "criterion": judgereading.CriterionReading,
    "construction": constructionreading.ConstructionReading,
    "side_parts": constructionreading.SideParts,
    "angle_parts": constructionreading.AngleParts,
    "vertex_parts": constructionreading.VertexParts,
    "step": constructionreading.StepReading,
    "finding": constructionreading.FindingReading,
    "photo": records.PhotoReading,
    "plate": records.PlateReading,
    "grid": records.GridReading,
}


def faults(text):
    return [error.message for error in VALIDATOR.iter_errors(json.loads(text))]


def test_it_is_a_schema():
    Draft202012Validator.check_schema(SCHEMA)


@pytest.mark.parametrize("tolerance_mm", [0.0, 0.05])
@pytest.mark.parametrize("lost", [(), (1,), (0, 1, 2, 3, 4, 5)])
@pytest.mark.parametrize("count", [3, 6])
def test_what_is_written_is_valid(make_reading, count, lost, tolerance_mm):
    lost = tuple(k for k in lost if k < count)
    assert faults(to_json(make_reading(count, lost, tolerance_mm))) == []


def test_a_refusal_is_valid():
    reading = refusal((Reason("blurred", "Too blurred."),), "", (), "scribegauge")
    assert faults(to_json(reading)) == []


@pytest.mark.parametrize("path", KEPT, ids=lambda path: path.stem)
def test_readings_that_were_kept_are_valid_and_read(path):
    text = path.read_text(encoding="utf-8")
    assert faults(text) == []
    assert faults(to_json(from_json(text))) == []


def test_some_readings_were_kept():
    assert KEPT


@pytest.mark.parametrize("name", RECORDS)
def test_every_field_that_is_written_is_described(name):
    """A field added to a record wants a line in reading.schema.json."""
    written = {field.name for field in fields(RECORDS[name])}
    if name == "side":
        written = written - {"start", "end"} | {"from", "to"}
    assert set(SCHEMA["$defs"][name]["properties"]) == written


def test_every_top_field_is_described():
    written = {field.name for field in fields(records.Reading)} | {"reading"}
    assert set(SCHEMA["properties"]) == written


def broken(document, where, value):
    *path, last = where
    at = document
    for key in path:
        at = at[key]
    if value is KeyError:
        del at[last]
    else:
        at[last] = value
    return json.dumps(document)


@pytest.mark.parametrize(
    ("where", "value"),
    [
        (("reading",), 2),
        (("status",), "fine"),
        (("reasons",), []),
        (("sides",), KeyError),
        (("sides", 0, "from"), KeyError),
        (("sides", 0, "verdict"), "maybe"),
        (("sides", 0, "measured_mm"), None),
        (("sides", 0, "measured_mm"), "12"),
        (("sides", 0, "U_mm"), None),
        (("sides", 0, "U_mm"), -0.1),
        (("angles", 0, "measured_deg"), 400),
        (("vertices", 0, "photo_px"), [1]),
        (("pricks", 0, "at"), None),
        (("photos", 0, "sha256"), "abc"),
        (("plate", "tilt_deg"), "steep"),
    ],
)
def test_what_is_wrong_is_found(make_reading, where, value):
    document = json.loads(to_json(make_reading(tolerance_mm=0.05)))
    assert faults(broken(document, where, value))


def test_fields_of_a_later_program_are_allowed(make_reading):
    document = json.loads(to_json(make_reading()))
    document["weather"] = "damp"
    document["sides"][0]["colour"] = "bright"
    assert faults(json.dumps(document)) == []


def test_the_command_prints_it(capsys):
    assert main(["schema"]) == 0
    assert capsys.readouterr().out == schema_text()
