"""The ledger's file: made, brought up to date from every earlier version, and refused when foreign."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from scribegauge.errors import UseError
from scribegauge.ledger.plates import attempts, entries, known_code
from scribegauge.ledger.store import newest_version, opened, usual_file, written
from scribegauge.progress.record import RULES

OLD = Path(__file__).parents[4] / "fixtures" / "ledger"


def old_ledger(version: int, path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.executescript((OLD / f"version-{version}.sql").read_text())


def schema(path: Path) -> list[tuple[str, str]]:
    with closing(sqlite3.connect(path)) as connection:
        rows = connection.execute("SELECT type, name, tbl_name FROM sqlite_schema ORDER BY name")
        columns = connection.execute(
            'SELECT t.name, c.name, c.type, c."notnull", c.pk FROM sqlite_schema t, '
            "pragma_table_info(t.name) c WHERE t.type = 'table' ORDER BY t.name, c.name"
        )
        return [*rows, *columns]


def test_every_earlier_version_has_a_ledger_to_try() -> None:
    there = {int(path.stem.removeprefix("version-")) for path in OLD.glob("version-*.sql")}
    assert there == set(range(1, newest_version()))


@pytest.mark.parametrize("version", range(1, newest_version()))
def test_an_older_ledger_is_brought_up_to_date(version: int, tmp_path: Path) -> None:
    old, new = tmp_path / "old.sqlite3", tmp_path / "new.sqlite3"
    old_ledger(version, old)
    with opened(new):
        pass
    with opened(old) as ledger:
        (entry,) = entries(ledger)
        (attempt,) = attempts(ledger, "A-01")
        assert ledger.execute("PRAGMA user_version").fetchone()[0] == newest_version()
        assert ledger.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    assert (entry.pupil, str(entry.made), entry.made_by) == ("A-01", "2026-10-05", "photo")
    assert attempt.score.rules == RULES  # worked out again, whatever was there
    assert attempt.score.title == entry.title
    assert attempt.score.side_rms_mm is not None
    assert schema(old) == schema(new)


def test_a_ledger_has_the_settings_that_keep_it_safe(file: Path) -> None:
    with opened(file) as ledger:
        found = {
            name: ledger.execute(f"PRAGMA {name}").fetchone()[0]
            for name in ("journal_mode", "foreign_keys", "secure_delete", "synchronous")
        }
        strict = ledger.execute("SELECT sql FROM sqlite_schema WHERE type = 'table'").fetchall()
    assert found == {"journal_mode": "wal", "foreign_keys": 1, "secure_delete": 1, "synchronous": 2}
    assert len(strict) == 5
    assert all("STRICT" in sql for (sql,) in strict)


def _remove_and_fail(ledger: sqlite3.Connection) -> None:
    ledger.execute("DELETE FROM pupil")
    known_code(ledger, "A-01")


def test_a_failed_change_leaves_nothing(filled: Path) -> None:
    with opened(filled) as ledger:
        with pytest.raises(UseError, match="No plate of"), written(ledger):
            _remove_and_fail(ledger)
        assert len(list(entries(ledger))) == 10


def test_another_program_s_file_is_left_alone(tmp_path: Path) -> None:
    foreign = tmp_path / "other.sqlite3"
    with closing(sqlite3.connect(foreign)) as connection:
        connection.executescript("CREATE TABLE mine (a); INSERT INTO mine VALUES (1);")
    before = foreign.read_bytes()
    with pytest.raises(UseError, match="another program") as raised, opened(foreign):
        pass
    assert raised.value.code == "ledger_foreign"
    assert foreign.read_bytes() == before


@pytest.mark.parametrize(
    ("spoil", "code"),
    [
        (b"no database at all, but a text of some length" * 9, "ledger_damaged"),
        (None, "ledger_newer"),
    ],
)
def test_what_cannot_be_read_is_told(spoil: bytes | None, code: str, file: Path) -> None:
    if spoil is not None:
        file.write_bytes(spoil)
    else:
        with opened(file) as ledger:
            ledger.execute("PRAGMA user_version = 99")
    with pytest.raises(UseError) as raised, opened(file):
        pass
    assert raised.value.code == code


def test_a_ledger_that_is_not_there_can_be_asked_for(tmp_path: Path) -> None:
    with pytest.raises(UseError) as raised, opened(tmp_path / "none", must_exist=True):
        pass
    assert raised.value.code == "ledger_missing"
    assert not (tmp_path / "none").exists()


def test_it_lies_with_the_person_s_own_data(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert usual_file() == tmp_path / "scribegauge" / "ledger.sqlite3"
