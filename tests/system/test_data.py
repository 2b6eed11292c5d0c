"""What other programs get: the README's Python, CSV, JSON alone on standard output."""

import csv
import io
import json
import re
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

import scribegauge
from scribegauge.report.schema import schema_text

TOP = Path(__file__).parents[2]
GIVEN = ("--thickness", "0.8", "--bars", "60.06,59.88")
BARS_OF_THIS_SHEET = "60.06, 59.88"


def rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode(), newline="")))


@pytest.fixture(scope="module")
def readme_block() -> str:
    (block,) = re.findall(
        r"```python\n(.*?)```", (TOP / "README.md").read_text(encoding="utf-8"), re.DOTALL
    )
    return block


@pytest.mark.usefixtures("folder")
def test_the_readme_s_python_measures_keeps_and_reads_back(readme_block, shot, capsys) -> None:
    Path("layout.toml").rename("bracket.toml")
    block = readme_block.replace("100.1, 99.9", BARS_OF_THIS_SHEET)
    assert block != readme_block
    names: dict[str, object] = {}
    exec(block, names)  # noqa: S102 - that it runs as written is the point
    reading, again = names["reading"], names["again"]
    assert isinstance(reading, scribegauge.Reading)
    assert isinstance(again, scribegauge.Reading)
    assert (reading.status, len(reading.sides)) == ("measured", 4)
    for side, kept, truth_mm in zip(reading.sides, again.sides, shot.truth.sides_mm, strict=True):
        assert abs(side.measured_mm - truth_mm) <= side.U_mm
        assert kept.measured_mm == pytest.approx(side.measured_mm, abs=6e-6)
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == ["A-B", "B-C", "C-D", "D-A"]
    assert all(line.endswith(" mm, within") for line in lines)


def test_the_readme_s_python_says_why_a_photo_is_refused(readme_block, tmp_path, monkeypatch, shot):
    monkeypatch.chdir(tmp_path)
    Path("plate.jpg").write_bytes(shot.photo[: len(shot.photo) // 2])
    Path("bracket.toml").write_text(
        "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [40, 0], [0, 30]]\n"
    )
    with pytest.raises(SystemExit, match=r"plate\.jpg"):
        exec(readme_block, {})  # noqa: S102 - as above
    assert not Path("plate.json").exists()


@pytest.mark.usefixtures("folder")
def test_json_and_csv_of_one_check_say_the_same_and_quiet_prints_nothing(run) -> None:
    outputs = ("--json", "r.json", "--csv", "r.csv", "--quiet")
    ended = run("check", "plate.jpg", "--layout", "layout.toml", *GIVEN, *outputs)
    assert (ended.status, ended.out, ended.err) == (0, b"", "")
    reading = json.loads(Path("r.json").read_text())
    assert list(Draft202012Validator(json.loads(schema_text())).iter_errors(reading)) == []
    sides = [row for row in rows(Path("r.csv").read_bytes()) if row["kind"] == "side"]
    for row, side in zip(sides, reading["sides"], strict=True):
        assert (row["from"], row["to"], row["verdict"]) == (*side_ends(side), side["verdict"])
        for key in ("intended_mm", "measured_mm", "deviation_mm", "U_mm"):
            assert float(row[key]) == side[key]
    table = run("table", "r.json", "r.json", "--csv", "-", "--only", "side")
    assert (table.status, table.err) == (0, "")
    again = rows(table.out)
    assert len(again) == 2 * len(sides)
    assert again[0] == {name: sides[0][name] for name in again[0]}
    shown = run("table", "r.json")
    assert shown.out.decode().startswith("Clock foot\nAll 4 sides within 0.4 mm.")


def side_ends(side: dict[str, str]) -> tuple[str, str]:
    return side["from"], side["to"]


@pytest.mark.usefixtures("folder")
def test_a_refusal_leaves_its_row_and_only_the_message(run) -> None:
    photo = Path("plate.jpg").read_bytes()
    Path("half.jpg").write_bytes(photo[: len(photo) // 2])
    command = ("check", "half.jpg", "--layout", "layout.toml", *GIVEN)
    ended = run(*command, "--json", "-", "--csv", "r.csv", "--quiet")
    assert ended.status == 3
    assert ended.err.startswith("scribegauge: half.jpg")
    assert json.loads(ended.out)["status"] == "refused"
    (row,) = rows(Path("r.csv").read_bytes())
    assert (row["kind"], row["status"], row["reasons"]) == (
        *("reading", "refused"),
        "photo_truncated",
    )
