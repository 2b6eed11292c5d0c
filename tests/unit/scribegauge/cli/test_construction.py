"""``scribegauge construction`` as a person meets it."""

from pathlib import Path

import pytest

from scribegauge.cli.main import main


def test_list_names_all_and_says_which_only_come_near(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["construction", "list"]) == 0
    rows = capsys.readouterr().out.splitlines()
    assert len(rows) > 20
    assert all(len(row) <= 80 for row in rows)
    (pentagon,) = (row for row in rows if row.startswith("fixed-opening-pentagon"))
    assert pentagon.split()[1] == "near"
    assert sum(row.split()[1] == "near" for row in rows) == 7


def test_show_tells_the_steps_and_the_method_s_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["construction", "show", "fixed-opening-pentagon"]) == 0
    out = capsys.readouterr().out
    assert "Source: Underweysung der Messung (1525), Book II" in out
    assert "14. H where FE and b meet, the last going from F to E" in out
    assert "109.1921°   +1.1921°" in out
    assert "-0.000" not in out


def test_a_file_can_be_printed_and_checked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["construction", "show", "hexagon-by-stepping", "--file"]) == 0
    own = tmp_path / "own.toml"
    own.write_text(capsys.readouterr().out, "utf-8")
    assert main(["construction", "check", str(own)]) == 0
    assert "Exact when done perfectly." in capsys.readouterr().out
    own.write_text(own.read_text("utf-8").replace('along = "k"', 'along = "r"'), "utf-8")
    assert main(["construction", "check", str(own)]) == 2
    assert "own.toml:13: step 5, along wants a circle, and r is an opening." in (
        capsys.readouterr().err
    )


@pytest.mark.parametrize("words", [["show", "heptadecagon"], ["check", "none.toml"]])
def test_what_is_not_there_is_wrong_use(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["construction", *words]) == 2
    assert "There is no construction" in capsys.readouterr().err
