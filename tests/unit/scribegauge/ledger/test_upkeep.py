"""Verified, backed up while in use, and a pupil removed so that no byte is left."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from scribegauge.errors import UseError
from scribegauge.ledger import store
from scribegauge.ledger.entries import entry_of
from scribegauge.ledger.plates import entries, keep, pupils
from scribegauge.ledger.store import opened
from scribegauge.ledger.upkeep import back_up, forget, verify
from scribegauge.simulate.winter import Hand, practise


def test_a_sound_ledger_has_no_faults(filled: Path) -> None:
    with opened(filled) as ledger:
        found = verify(ledger)
    assert (found.pupils, found.plates, found.photos, found.faults) == (2, 10, 10, ())


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        ("UPDATE reading SET json = '{}' WHERE plate = 3", "not a reading file"),
        ("UPDATE photo SET sha256 = 'abc' WHERE plate = 3", "not those of its reading"),
        ("DELETE FROM reading WHERE plate = 3", "has no reading"),
        ("PRAGMA foreign_keys = OFF; DELETE FROM pupil WHERE code = 'A-01'", "belongs to none"),
    ],
)
def test_what_is_wrong_is_found(filled: Path, spoil: str, said: str) -> None:
    with closing(sqlite3.connect(filled)) as connection:
        connection.executescript(spoil)
    with opened(filled) as ledger:
        assert said in verify(ledger).faults[0]


def test_a_backup_is_taken_while_another_writes(filled: Path, tmp_path: Path) -> None:
    copy = tmp_path / "backup.sqlite3"
    (more,) = practise(Hand(0.06), 1, seed=77)
    with opened(filled) as first, opened(filled) as second:
        first.execute("BEGIN IMMEDIATE")  # a change that has begun and is not done
        first.execute("INSERT INTO pupil VALUES ('A-09')")
        back_up(second, copy)
        first.execute("ROLLBACK")
        keep(first, entry_of("A-03", more))
    with opened(copy) as ledger:
        assert [(line.pupil, line.plates) for line in pupils(ledger)] == [("A-01", 6), ("A-02", 4)]
    assert sorted(path.name for path in tmp_path.iterdir() if "part" in path.name) == []
    with opened(filled) as ledger, pytest.raises(UseError) as raised:
        back_up(ledger, copy)
    assert raised.value.code == "backup_there"


def test_a_pupil_is_removed_to_the_last_byte(filled: Path) -> None:
    with opened(filled) as ledger:
        shas = [entry.photos[0] for entry in entries(ledger, "A-01")]
        others = list(entries(ledger, "A-02"))
    marks = [b"A-01", *(sha.encode() for sha in shas)]
    assert all(mark in filled.read_bytes() for mark in marks)
    with opened(filled) as ledger:
        keep(ledger, others[0])  # so that the log has pages, too
        assert forget(ledger, "A-01") == 6
        left = b"".join(path.read_bytes() for path in filled.parent.glob("ledger.sqlite3*"))
        assert [mark for mark in marks if mark in left] == []
        assert list(entries(ledger)) == others
        assert ledger.execute("PRAGMA freelist_count").fetchone()[0] == 0
        assert verify(ledger).faults == ()
        with pytest.raises(UseError) as raised:
            forget(ledger, "A-01")
    assert raised.value.code == "pupil_unknown"


def test_a_reader_that_hinders_removal_is_told(
    filled: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(store, "PATIENCE_S", 0.05)
    with opened(filled) as reader, opened(filled) as ledger:
        reader.execute("BEGIN")
        reader.execute("SELECT count(*) FROM plate").fetchone()
        with pytest.raises(UseError) as raised:
            forget(ledger, "A-01")
        reader.execute("COMMIT")
    assert raised.value.code == "forget_unfinished"
