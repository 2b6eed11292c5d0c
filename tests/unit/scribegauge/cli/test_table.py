"""Kept readings as one table: what is printed, what is written, what is refused."""

import csv
import io
from pathlib import Path

import pytest

from scribegauge.cli.main import main
from scribegauge.cli.table import KINDS
from scribegauge.report import csvtable

KEPT = Path(__file__).parents[4] / "fixtures" / "readings"
HEPTAGON, PENTAGON = str(KEPT / "heptagon.json"), str(KEPT / "pentagon.json")
REFUSED = str(KEPT / "refused.json")


def test_the_kinds_are_those_of_the_table():
    assert tuple(csvtable.KINDS) == KINDS


def test_one_reading_is_printed_as_check_prints_it(capsys):
    assert main(["table", PENTAGON]) == 0
    captured = capsys.readouterr()
    assert captured.out.startswith("Pentagon with one opening, evening class, A-12\n")
    assert captured.err == ""


def test_several_are_printed_one_after_the_other_with_their_names(capsys):
    assert main(["table", PENTAGON, REFUSED]) == 0
    out = capsys.readouterr().out
    assert out.startswith("== pentagon.json\n\nPentagon")
    assert "\n\n== refused.json\n\n" in out
    assert "Not judged: No target sheet was found" in out


def test_all_go_into_one_csv(tmp_path, capsys):
    place = tmp_path / "class.csv"
    assert main(["table", HEPTAGON, PENTAGON, REFUSED, "--csv", str(place)]) == 0
    captured = capsys.readouterr()
    assert (captured.out, captured.err) == ("", f"Wrote {place}.\n")
    rows = list(csv.DictReader(io.StringIO(place.read_bytes().decode(), newline="")))
    whole = [(row["status"], row["reasons"]) for row in rows if row["kind"] == "reading"]
    assert whole == [("measured", ""), ("measured", ""), ("refused", "no_target")]
    assert sum(row["kind"] == "side" for row in rows) == 12


def test_only_some_rows_on_standard_output(capfdbinary):
    assert main(["table", PENTAGON, "--csv", "-", "--only", "arc"]) == 0
    out, err = capfdbinary.readouterr()
    assert out.count(b"\r\n") == 3
    assert b"radius_mm" in out
    assert err == b""


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "Missing argument"),
        ([PENTAGON, "--only", "side"], "--csv, which is not given"),
        ([PENTAGON, "--csv", "x.csv", "--only", "corner"], "'corner' is not one of"),
        ([PENTAGON, "none.json"], "The reading file 'none.json' cannot be opened."),
        ([PENTAGON, __file__], "test_table.py: The reading file is not JSON"),
        (["-", "-"], "standard input holds only one"),
        ([PENTAGON, "--csv", PENTAGON], "would be overwritten"),
    ],
)
def test_what_is_wrong_is_told_and_nothing_written(
    words, said, capsys, tmp_path, monkeypatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["table", *words]) == 2
    captured = capsys.readouterr()
    assert said in captured.err
    assert captured.out == ""
    assert list(tmp_path.iterdir()) == []
