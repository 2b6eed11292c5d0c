"""`check` with a sheet's record instead of its bars."""

import json
import tomllib
from datetime import date, timedelta
from pathlib import Path

import pytest

FACTS = ("--thickness", "0.8")
# The day on the photo of the fixture.
TAKEN = date(2026, 3, 17)


@pytest.fixture
def check(run, folder, monkeypatch):
    monkeypatch.setenv("SCRIBEGAUGE_SHEETS", str(folder / "sheets"))

    def call(*words):
        ended = run("check", "plate.jpg", "--layout", "layout.toml", *words, "--json", "r.json")
        return ended, json.loads(Path("r.json").read_text()) if Path("r.json").exists() else None

    return call


def add(run, measured, *words):
    ended = run(
        *("sheet", "add", "S-1", "--size", "S", "--bars", "60.06,59.88", "--measured", measured),
        *words,
    )
    assert ended.status == 0, ended.err


def u_of(reading, name):
    return {term["name"]: term["u"] for term in reading["sides"][0]["terms"]}[name]


@pytest.mark.slow
def test_a_record_of_the_day_reads_like_its_bars(check, run):
    _, typed = check(*FACTS, "--bars", "60.06,59.88")
    add(run, TAKEN)
    ended, named = check(*FACTS, "--sheet", "s-1")
    assert ended.status == 0
    assert named["plate"].pop("sheet") == {
        "name": "S-1",
        "bars_mm": [[60.06, 59.88]],
        "caliper_error_mm": 0.02,
        "measured": "2026-03-17",
    }
    assert typed["plate"].pop("sheet") == {
        "name": "",
        "bars_mm": [[60.06, 59.88]],
        "caliper_error_mm": 0.02,
        "measured": None,
    }
    assert named == typed


@pytest.mark.slow
def test_an_old_record_is_told_and_made_wider(check, run):
    add(run, TAKEN)
    _, new = check(*FACTS, "--sheet", "S-1")
    add(run, TAKEN - timedelta(days=100), "--replace")
    ended, old = check(*FACTS, "--sheet", "S-1")
    assert not any(reason["code"] == "bars_outgrown" for reason in new["reasons"])
    (told,) = (reason for reason in old["reasons"] if reason["code"] == "bars_outgrown")
    assert "100 days before the photo" in told["text"]
    assert "100 days" in " ".join(ended.out.decode().split())
    assert u_of(old, "climate") > 5 * u_of(new, "climate")
    assert old["sides"][0]["measured_mm"] == pytest.approx(new["sides"][0]["measured_mm"], abs=0.01)


@pytest.mark.slow
def test_a_coarse_caliper_and_a_doubtful_thickness_widen_their_terms(check):
    _, fine = check(*FACTS, "--bars", "60.06,59.88")
    words = ("--caliper-error", "0.1", "--thickness-error", "0.2")
    _, coarse = check(*FACTS, "--bars", "60.06,59.88", *words)
    assert coarse["plate"]["u_thickness_mm"] == pytest.approx(0.2 / 3**0.5, abs=1e-5)
    ratio = 0.2 / 0.035
    assert u_of(coarse, "thickness") == pytest.approx(ratio * u_of(fine, "thickness"), rel=0.02)
    assert coarse["sides"][0]["U_mm"] > fine["sides"][0]["U_mm"]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--sheet", "S-1", "--bars", "60,60"), "by hand and by the record"),
        (("--sheet", "S-1", "--caliper-error", "0.05"), "by hand and by the record"),
        (("--caliper-error", "0.05"), "no --bars"),
        (("--thickness-error", "0.05"), "no --thickness"),
        (("--sheet", "S-2"), "on record: s-1"),
        (("--sheet", "../S-1"), "cannot be called"),
        (("--sheet", "M-1"), "size S sheet"),
    ],
)
def test_what_does_not_go_together_is_told_and_nothing_is_written(check, run, words, told):
    add(run, TAKEN)
    if "M-1" in words:
        run("sheet", "add", "M-1", "--size", "M", "--bars", "100,100")
    ended, reading = check(*words)
    assert ended.status == 2
    assert ended.err.count("\n") == 1
    assert told in ended.err
    assert reading is None


def test_a_record_written_by_hand_will_do(check, run, folder):
    add(run, TAKEN)
    path = folder / "sheets" / "sheet-s-1.toml"
    path.write_text("# of the evening class\n" + path.read_text())
    assert tomllib.loads(path.read_text())["sheet"] == 1
    path.write_text(path.read_text().replace("measured = ", "measured = 9"))
    ended, _ = check("--sheet", "S-1")
    assert ended.status == 2
    assert "sheet-s-1.toml is no whole sheet file" in ended.err
