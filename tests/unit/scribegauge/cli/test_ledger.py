"""The ledger, progress and class commands, as typed."""

import json
from pathlib import Path

import pytest

from scribegauge.cli.main import main
from scribegauge.report.jsonfile import to_json
from scribegauge.simulate.winter import Hand, practise


@pytest.fixture(autouse=True)
def _own_data(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.delenv("SCRIBEGAUGE_LEDGER", raising=False)
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def readings(tmp_path: Path) -> list[str]:
    names = []
    for k, reading in enumerate(practise(Hand(0.06), 6, seed=1)):
        (tmp_path / f"plate-{k}.json").write_text(to_json(reading))
        names.append(f"plate-{k}.json")
    return names


def test_a_winter_from_readings_to_a_page(
    readings: list[str], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["ledger", "add", "A-12", *readings]) == 0
    assert main(["ledger", "add", "A-12", readings[0], readings[0]]) == 0
    assert capsys.readouterr().err == "Kept 6.\nKept 0, 2 there already, not counted twice.\n"
    assert (tmp_path / "data" / "scribegauge" / "ledger.sqlite3").is_file()
    assert main(["ledger", "list"]) == 0
    assert capsys.readouterr().out == "A-12  6 plates  2024-10-07 to 2024-11-11\n"
    assert main(["ledger", "list", "A-12"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 6
    assert main(["progress", "A-12", "--report", "a.html"]) == 0
    assert capsys.readouterr().out.startswith("A-12: 6 plates, 2024-10-07 to 2024-11-11\n")
    assert "Progress of A-12" in Path("a.html").read_text()


def test_out_in_checked_copied_and_forgotten(
    readings: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    main(["ledger", "add", "A-12", *readings])
    assert main(["ledger", "export", "--json", "all.jsonl", "--csv", "all.csv"]) == 0
    assert json.loads(Path("all.jsonl").read_text().splitlines()[0])["pupil"] == "A-12"
    assert main(["ledger", "import", "all.csv", "--ledger", "other.sqlite3"]) == 0
    assert main(["ledger", "import", "all.jsonl", "--ledger", "other.sqlite3"]) == 0
    monkeypatch.setenv("SCRIBEGAUGE_LEDGER", "other.sqlite3")
    capsys.readouterr()
    assert main(["ledger", "verify"]) == 0
    assert capsys.readouterr().out == "1 pupils, 6 plates, 6 photos: all sound.\n"
    assert main(["ledger", "backup", "copy.sqlite3"]) == 0
    assert main(["ledger", "forget", "A-12"]) == 0
    assert main(["ledger", "forget"]) == 0
    assert main(["ledger", "list"]) == 0
    assert capsys.readouterr().out == ""
    assert main(["ledger", "list", "--ledger", "copy.sqlite3"]) == 0
    assert capsys.readouterr().out.startswith("A-12  6 plates")


@pytest.mark.usefixtures("readings")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["ledger", "list"], "There is no ledger"),
        (["progress", "A-12"], "There is no ledger"),
        (["ledger", "export", "A-12"], "Say where to"),
        (["ledger", "import", "none.csv"], "There is no file 'none.csv'"),
        (["ledger", "add", "Ann Other", "plate-0.json"], "'Ann Other' is no code"),
        (["class", ".", "--class", "none.toml"], "There is no class file"),
        (["check", "p.jpg", "--layout", "l.toml", "--ledger", "x"], "nothing to keep in it"),
        (["check", "p.jpg", "--layout", "l.toml", "--keep", "Ann Other"], "is no code"),
    ],
)
def test_what_cannot_be_done_is_said(
    words: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == 2
    assert said in capsys.readouterr().err


def test_a_damaged_ledger_is_told_by_its_status(
    readings: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    from scribegauge.ledger.store import opened

    main(["ledger", "add", "A-12", *readings, "--ledger", "l.sqlite3"])
    with opened(Path("l.sqlite3")) as ledger:
        ledger.execute("UPDATE reading SET json = 'x' WHERE plate = 2")
    assert main(["ledger", "verify", "--ledger", "l.sqlite3"]) == 2
    assert "the plate of A-12 of 2024-10-14" in capsys.readouterr().err


@pytest.mark.slow
def test_a_class_of_what_are_no_photos(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    (tmp_path / "monday").mkdir()
    for code in ("A-01", "A-02"):
        (tmp_path / "monday" / f"{code}.jpg").write_text("not a photo")
    (tmp_path / "square.toml").write_text(
        "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [40, 0], [40, 40], [0, 40]]\n"
    )
    (tmp_path / "class.toml").write_text(
        'class = 1\nlayout = "square.toml"\npupils = ["A-01", "A-02", "A-03"]\n'
    )
    words = ["class", "monday", "--class", "class.toml", "--keep", "--workers", "1"]
    assert main(words) == 0
    captured = capsys.readouterr()
    assert captured.out == "0 of 2 plates measured. Open monday-results/class.html.\n"
    assert captured.err.startswith("A-01 A-01.jpg: refused\nA-02 A-02.jpg: refused\n")
    assert main(words) == 0
    assert "2 of 2 plates are measured already.\n" in capsys.readouterr().err
    assert "nothing yet from A-03" in Path("monday-results/class.html").read_text()
    assert Path("monday-results/again.txt").read_text().count("holds text, not a photo") == 2


def test_keeping_after_a_check(
    readings: list[str], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    from scribegauge.cli.keeping import keep_reading
    from scribegauge.report.readingfile import load_reading

    reading = load_reading(tmp_path / readings[0])
    keep_reading(reading, "A-12", None)
    keep_reading(reading, "A-12", None)
    first, second = capsys.readouterr().err.splitlines()
    assert first.startswith("Kept as a plate of A-12, made on 2024-10-07, in ")
    assert second.startswith("This photo is in the ledger already")
