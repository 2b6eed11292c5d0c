"""`scribegauge sheet`, as typed."""

import tomllib
from datetime import datetime, timedelta

import pytest

from scribegauge.cli.main import main

TODAY = datetime.now().astimezone().date()


@pytest.fixture
def run(tmp_path, monkeypatch, capfd):
    monkeypatch.setenv("SCRIBEGAUGE_SHEETS", str(tmp_path / "sheets"))

    def call(*words):
        code = main(["sheet", *map(str, words)])
        told = capfd.readouterr()
        return code, told.out, told.err

    return call


ADD = ("add", "M-1", "--size", "M", "--bars", "100.1,99.9")


def test_a_sheet_is_added_listed_shown_and_forgotten(run, tmp_path):
    words = ("--bars", "100.12,99.9", "--caliper-error", "0.03", "--humidity", "45%")
    code, out, err = run(*ADD, *words, "--paper", "80 g", "--note", "top tray")
    assert (code, out) == (0, "")
    assert "--sheet M-1" in err
    raw = tomllib.loads((tmp_path / "sheets" / "sheet-m-1.toml").read_text())
    assert raw["bars_mm"] == [[100.1, 99.9], [100.12, 99.9]]
    assert (raw["caliper_error_mm"], raw["humidity_percent"]) == (0.03, 45)
    assert raw["measured"] == TODAY
    code, out, _ = run("list")
    assert code == 0
    row = out.splitlines()[1]
    assert row.split()[:5] == ["M-1", "M", "100.11", "99.90", TODAY.isoformat()]
    assert "measure again" not in row
    code, out, _ = run("show", "m-1")
    assert (code, tomllib.loads(out)) == (0, raw)
    assert run("forget", "M-1")[0] == 0
    code, out, err = run("list")
    assert (code, out) == (0, "")
    assert "No sheet is on record" in err


def test_a_sheet_that_has_grown_old_is_marked_in_the_list(run):
    run(*ADD, "--measured", TODAY - timedelta(days=60))
    run("add", "S-new", "--size", "s", "--bars", "60.1,59.9")
    _, out, _ = run("list")
    assert max(map(len, out.splitlines())) <= 80
    assert [("measure again" in row) for row in out.splitlines()[1:]] == [True, False]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("add", "M-1", "--size", "M"), "--bars"),
        (("add", "M-1", "--bars", "100,100"), "--size"),
        (("add", "M-1", "--size", "S", "--bars", "100.1,99.9"), "size S"),
        (("add", "a/b", "--size", "M", "--bars", "100.1,99.9"), "cannot be called 'a/b'"),
        ((*ADD, "--measured", "5.10.2026"), "2026-10-05"),
        ((*ADD, "--measured", TODAY + timedelta(days=2)), "today is"),
        ((*ADD, "--humidity", "damp"), "0 to 100"),
        ((*ADD, "--humidity", "101"), "0 to 100"),
        ((*ADD, "--caliper-error", "2"), "good to 2 mm"),
        ((*ADD, "--note", "a\nb"), "one line"),
        (("show", "M-9"), "none is on record"),
        (("forget", "M-9"), "no sheet M-9"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(run, words, told, tmp_path):
    code, out, err = run(*words)
    assert (code, out) == (2, "")
    assert err.startswith("scribegauge: ")
    assert err.count("\n") == 1
    assert told in err
    assert not (tmp_path / "sheets").exists()


def test_a_second_of_the_same_name_wants_to_be_told(run):
    run(*ADD)
    code, _, err = run("add", "m-1", "--size", "M", "--bars", "100.2,99.8")
    assert code == 2
    assert "--replace" in err
    assert run("add", "m-1", "--size", "M", "--bars", "100.2,99.8", "--replace")[0] == 0
    assert "100.2" in run("show", "M-1")[1]


def test_the_list_names_broken_files_and_still_shows_the_others(run, tmp_path):
    run(*ADD)
    (tmp_path / "sheets" / "sheet-b.toml").write_text("sheet = 1\n")
    code, out, err = run("list")
    assert code == 0
    assert "M-1" in out
    assert "sheet-b.toml" in err


def test_the_folder_may_be_given_and_comes_before_the_variable(run, tmp_path):
    other = tmp_path / "class"
    assert run(*ADD, "--sheet-folder", other)[0] == 0
    assert (other / "sheet-m-1.toml").exists()
    assert run("show", "M-1")[0] == 2
    assert run("show", "M-1", "--sheet-folder", other)[0] == 0


def test_the_list_s_uncertainty_is_that_of_the_sheet(run):
    """Caliper 20 µm rectangular and 10 µm of setting on 100 mm, and 67 ppm of paper: k = 2."""
    run(*ADD)
    shown = float(run("list")[1].splitlines()[1].split()[5])
    by_hand = 2 * 50 * ((0.02**2 / 3 + 0.01**2) / 100**2 + 67.1e-6**2) ** 0.5
    assert shown == pytest.approx(by_hand, abs=5e-4)
