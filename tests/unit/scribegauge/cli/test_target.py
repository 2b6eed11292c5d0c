"""`scribegauge target` writes the sheet it was asked for."""

from pathlib import Path

import pytest

from scribegauge.cli.main import main
from scribetarget.paper import PAPERS
from scribetarget.sheet import draw_sheet
from scribetarget.spec import load_specs


@pytest.mark.parametrize(
    ("given", "size", "paper"),
    [
        (["--size", "S"], "S", "a4"),
        (["--size", "m", "--paper", "letter"], "M", "letter"),
        (["--size", "L", "--paper", "A4"], "L", "a4"),
    ],
)
def test_writes_the_sheet(tmp_path: Path, given: list[str], size: str, paper: str) -> None:
    out = tmp_path / "sheet.pdf"
    assert main(["target", *given, "--out", str(out)]) == 0
    assert out.read_bytes() == draw_sheet(load_specs()[size], PAPERS[paper])


def test_a_dash_is_standard_output(capfdbinary: pytest.CaptureFixture[bytes]) -> None:
    assert main(["target", "--size", "S", "--out", "-"]) == 0
    captured = capfdbinary.readouterr()
    assert captured.out == draw_sheet(load_specs()["S"], PAPERS["a4"])
    assert captured.err == b""


def test_a_missing_folder_is_wrong_use(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["target", "--size", "S", "--out", str(tmp_path / "no" / "sheet.pdf")]) == 2
    message = capsys.readouterr().err
    assert message.count("\n") == 1
    assert "no folder" in message


@pytest.mark.parametrize("given", [["--size", "XL"], [], ["--size", "S", "--paper", "a3"]])
def test_an_unknown_size_or_paper_is_wrong_use(tmp_path: Path, given: list[str]) -> None:
    out = tmp_path / "sheet.pdf"
    assert main(["target", *given, "--out", str(out)]) == 2
    assert not out.exists()
