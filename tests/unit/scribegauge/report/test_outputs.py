"""Which files a check leaves behind."""

import io
import json
from types import SimpleNamespace

from scribegauge.errors import PhotoError
from scribegauge.report.outputs import Outputs, write_outputs, write_refusal


def test_what_was_asked_for_is_written(tmp_path, make_reading, photo):
    outputs = Outputs(tmp_path / "r.json", tmp_path / "o.png", None)
    assert outputs.places == (tmp_path / "r.json", tmp_path / "o.png")
    assert not outputs.to_stdout
    write_outputs(outputs, photo, make_reading())
    assert json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))["reading"] == 1
    assert (tmp_path / "o.png").read_bytes().startswith(b"\x89PNG")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["o.png", "r.json"]


def test_nothing_asked_for_is_nothing_written(tmp_path, make_reading, photo, monkeypatch):
    monkeypatch.chdir(tmp_path)
    outputs = Outputs(None, None, None)
    assert outputs.places == ()
    write_outputs(outputs, photo, make_reading())
    assert list(tmp_path.iterdir()) == []


def test_a_dash_is_standard_output(make_reading, photo, monkeypatch):
    from pathlib import Path

    sink = io.BytesIO()
    monkeypatch.setattr("sys.stdout", SimpleNamespace(buffer=sink))
    outputs = Outputs(Path("-"), None, None)
    assert outputs.to_stdout
    write_outputs(outputs, photo, make_reading())
    assert json.loads(sink.getvalue())["status"] == "warned"


def test_a_refusal_says_what_is_wrong_and_what_to_do(tmp_path, photo):
    error = PhotoError("no_plate", "There is no plate.", "Lay it inside.")
    outputs = Outputs(tmp_path / "r.json", None, None)
    write_refusal(outputs, error, "blank", (photo,))
    reading = json.loads((tmp_path / "r.json").read_text(encoding="utf-8"))
    assert reading["status"] == "refused"
    assert reading["reasons"] == [{"code": "no_plate", "text": "There is no plate. Lay it inside."}]
    assert reading["sides"] == []
    assert "plate.jpg" in (tmp_path / "r.json").read_text(encoding="utf-8")
