"""Plates are kept once, of one pupil, and without what is nobody's business."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from scribegauge.errors import UseError
from scribegauge.ledger.entries import entry_of, reading_in
from scribegauge.ledger.plates import attempts, entries, keep, pupils
from scribegauge.ledger.store import opened
from scribegauge.progress.score import score_of
from scribegauge.report.reading import Reading, Reason
from scribegauge.simulate.winter import Hand, practise


@pytest.fixture(scope="module")
def reading() -> Reading:
    (only,) = practise(Hand(0.06), 1, seed=9)
    return only


def test_what_is_kept_comes_back_whole(file: Path, reading: Reading) -> None:
    entry = entry_of("A-01", reading)
    with opened(file) as ledger:
        assert keep(ledger, entry).what == "new"
    with opened(file) as ledger:
        (back,) = entries(ledger)
        (attempt,) = attempts(ledger, "A-01")
    assert back == entry
    assert back.made == date(2024, 10, 7)
    assert back.made_by == "photo"
    kept = reading_in(back)
    assert replace(kept, photos=reading.photos).sides[0].measured_mm == pytest.approx(
        reading.sides[0].measured_mm, abs=1e-5
    )
    assert attempt.score == score_of(kept)


def test_the_same_photo_counts_once(file: Path, reading: Reading) -> None:
    better = replace(reading, title="Measured anew")
    with opened(file) as ledger:
        keep(ledger, entry_of("A-01", reading))
        again = keep(ledger, entry_of("A-01", better))
        assert (again.what, again.entry.title) == ("there", reading.title)
        assert [e.title for e in entries(ledger)] == [reading.title]
        assert keep(ledger, entry_of("A-01", better), replace=True).what == "replaced"
        assert [e.title for e in entries(ledger)] == ["Measured anew"]
        assert ledger.execute("SELECT count(*) FROM score").fetchone()[0] == 1
        with pytest.raises(UseError, match="A-01, made on 2024-10-07") as raised:
            keep(ledger, entry_of("A-02", reading))
        assert raised.value.code == "photo_of_other"
        assert [line.pupil for line in pupils(ledger)] == ["A-01"]


def test_one_of_two_photos_is_enough_to_know_the_plate(file: Path, reading: Reading) -> None:
    other = replace(reading.photos[0], sha256="f" * 64)
    pair = replace(reading, photos=(other, reading.photos[0]))
    with opened(file) as ledger:
        keep(ledger, entry_of("A-01", reading))
        assert keep(ledger, entry_of("A-01", pair)).what == "there"
        assert keep(ledger, entry_of("A-01", pair), replace=True).what == "replaced"
        (entry,) = entries(ledger)
    assert entry.photos == ("f" * 64, reading.photos[0].sha256)


def test_names_of_files_do_not_get_in(reading: Reading) -> None:
    named = replace(reading.photos[0], name="Clockmaker.jpg")
    told = replace(
        reading,
        photos=(named,),
        status="warned",
        reasons=(Reason("photo_not_used", "Clockmaker.jpg shows none of the sides."),),
        sides=tuple(
            replace(s, reasons=(Reason("x", "see Clockmaker.jpg"),)) for s in reading.sides
        ),
    )
    entry = entry_of("A-01", told)
    assert "Clockmaker" not in entry.reading
    assert json.loads(entry.reading)["photos"][0]["name"] == f"photo-{named.sha256[:12]}"


def test_days_are_the_photo_s_or_given_or_today(reading: Reading) -> None:
    undated = replace(reading, photos=(replace(reading.photos[0], taken=None),))
    today = datetime.now(UTC).astimezone().date()
    assert entry_of("A-01", undated).made_by == "kept"
    assert abs(entry_of("A-01", undated).made - today) <= timedelta(days=1)
    given = entry_of("A-01", reading, date(2024, 9, 1))
    assert (given.made, given.made_by) == (date(2024, 9, 1), "given")
    with pytest.raises(UseError) as raised:
        entry_of("A-01", reading, today + timedelta(days=2))
    assert raised.value.code == "made_in_future"


@pytest.mark.parametrize("code", ["", "A 12", "-12", "=1+1", "A/12", "x" * 33, "A\n"])
def test_a_code_is_plain(code: str, reading: Reading) -> None:
    with pytest.raises(UseError) as raised:
        entry_of(code, reading)
    assert raised.value.code == "pupil_code"


def test_a_refusal_is_not_kept(reading: Reading) -> None:
    with pytest.raises(UseError) as raised:
        entry_of("A-01", replace(reading, status="refused"))
    assert raised.value.code == "nothing_to_keep"


def test_pupils_are_listed_with_their_days(filled: Path) -> None:
    with opened(filled) as ledger:
        first, second = pupils(ledger)
        made = [attempt.made for attempt in attempts(ledger, "A-01")]
        with pytest.raises(UseError, match="A-01, A-02") as raised:
            attempts(ledger, "A-03")
    assert (first.pupil, first.plates, second.plates) == ("A-01", 6, 4)
    assert (first.first, first.last) == (date(2024, 10, 7), date(2024, 11, 11))
    assert made == sorted(made)
    assert raised.value.code == "pupil_unknown"
