"""A refusal still writes its reading."""

import json

import pytest

from scribegauge.errors import PhotoError
from scribegauge.report.jsonfile import from_json, to_json
from scribegauge.report.reading import Reason
from scribegauge.report.refusal import photo_reading, reason_of, refusal
from scribegauge.report.table import table

BLURRED = PhotoError("blurred", "The photo is blurred.", "Rest the phone on something.")


def test_a_refusal_is_written_and_read(photo):
    read = refusal((reason_of(BLURRED),), "Blank", (photo_reading(photo, "none"),), "p 1")
    document = json.loads(to_json(read))
    assert document["status"] == "refused"
    assert document["reasons"] == [
        {"code": "blurred", "text": "The photo is blurred. Rest the phone on something."}
    ]
    assert document["sides"] == document["vertices"] == []
    assert document["photos"][0]["width_px"] == 2400
    assert from_json(to_json(read)) == read


def test_the_table_of_a_refusal_says_why_and_what_to_do(photo):
    text = table(refusal((reason_of(BLURRED),), "", (photo_reading(photo, "none"),), "p 1"))
    assert text == "Not judged: The photo is blurred. Rest the phone on something.\n"


def test_every_further_reason_is_told():
    reasons = (reason_of(BLURRED), Reason("glare", "The lamp shines into the lens."))
    assert "- The lamp shines into the lens." in table(refusal(reasons, "", (), "p 1"))


def test_a_refusal_without_reason_is_a_bug():
    with pytest.raises(ValueError, match="reason"):
        refusal((), "", (), "p 1")
