"""Looking after the ledger: whether it is whole, a copy of it, and a pupil removed for good."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from secrets import token_hex

from scribegauge.errors import ScribegaugeError, UseError
from scribegauge.ledger.entries import reading_in
from scribegauge.ledger.plates import entries, known_code
from scribegauge.ledger.store import PATIENCE_S, written
from scribegauge.report.atomic import check_place

_FULL = 5  # rows of a table that are shown of what SQLite finds wrong


@dataclass(frozen=True, slots=True)
class Verification:
    """What was looked at, and what is wrong."""

    pupils: int
    plates: int
    photos: int
    faults: tuple[str, ...]


def verify(connection: sqlite3.Connection) -> Verification:
    """Look at everything: the file's pages, what belongs to what, and every reading."""
    with written(connection):  # so that nothing changes while it is looked at
        faults = list(_file_faults(connection))
        counts = [
            int(connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0])  # noqa: S608
            for table in ("pupil", "plate", "photo")
        ]
        if not faults:
            faults += _reading_faults(connection)
    pupils, plates, photos = counts
    return Verification(pupils, plates, photos, tuple(faults))


def back_up(connection: sqlite3.Connection, target: Path) -> None:
    """Copy the ledger as it is at one moment, while others go on using it.

    Parameters
    ----------
    connection : sqlite3.Connection
    target : Path
        A file that is not there yet.

    Raises
    ------
    UseError
        ``backup_there``, ``cannot_write``, ``ledger_damaged`` when the copy is not whole.
    """
    check_place(target)
    if target.exists():
        raise UseError(
            "backup_there",
            f"There is a file {str(target)!r} already.",
            "Give the backup a name of its own, such as one with today's date.",
        )
    aside = target.with_name(f".scribegauge-{token_hex(6)}.part")
    try:
        with closing(sqlite3.connect(aside, isolation_level=None)) as copy:
            connection.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, with nothing beside it
            faults = list(_file_faults(copy))
        if faults:
            raise UseError(
                "ledger_damaged",
                f"The copy is not whole: {faults[0]}.",
                "Run `scribegauge ledger verify`, and keep the last good backup.",
            )
        aside.replace(target)
    finally:
        with suppress(OSError):
            aside.unlink()


def forget(connection: sqlite3.Connection, pupil: str) -> int:
    """Remove a pupil, and every trace in the file and its log.

    What is deleted is overwritten (secure_delete), the write-ahead log is emptied, and the file is
    written anew so that no free page is left. Backups and exports are other files.

    Parameters
    ----------
    connection : sqlite3.Connection
    pupil : str

    Returns
    -------
    int
        How many plates there were.

    Raises
    ------
    UseError
        ``pupil_unknown``; ``forget_unfinished`` when another program still reads the old pages:
        the pupil is out of all lists, but the log beside the file still holds the old pages.
    """
    with written(connection):
        known_code(connection, pupil)
        query = "SELECT count(*) FROM plate WHERE pupil = ?"
        count = int(connection.execute(query, (pupil,)).fetchone()[0])
        connection.execute("DELETE FROM pupil WHERE code = ?", (pupil,))
    clear_traces(connection)
    return count


def clear_traces(connection: sqlite3.Connection) -> None:
    """Empty the log and write the file anew, so that nothing removed is left in either.

    Raises
    ------
    UseError
        ``forget_unfinished``.
    """
    connection.execute("VACUUM")
    busy = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
    if busy:
        raise UseError(
            "forget_unfinished",
            "Another program has been reading the ledger for "
            f"{PATIENCE_S:g} seconds, so that the log beside it still holds what was removed.",
            "End that program and run `scribegauge ledger forget` with no code to finish.",
        )


def _file_faults(connection: sqlite3.Connection) -> Iterator[str]:
    for (text,) in connection.execute(f"PRAGMA integrity_check({_FULL})"):
        if text != "ok":
            yield f"SQLite: {text}"
    for row in connection.execute("PRAGMA foreign_key_check"):
        yield f"a row of {row[0]} belongs to none of {row[2]}"


def _reading_faults(connection: sqlite3.Connection) -> Iterator[str]:
    for code, made in connection.execute(
        "SELECT pupil, made FROM plate LEFT JOIN reading ON reading.plate = plate.id "
        "WHERE reading.plate IS NULL"
    ):
        yield f"the plate of {code} of {made} has no reading"
    for entry in entries(connection):
        where = f"the plate of {entry.pupil} of {entry.made}"
        try:
            reading = reading_in(entry)
        except ScribegaugeError as error:
            yield f"{where}: {error.text}"
            continue
        if tuple(photo.sha256 for photo in reading.photos) != entry.photos:
            yield f"{where}: its photos are not those of its reading"
