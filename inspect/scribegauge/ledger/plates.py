"""Plates in the ledger: kept once each, listed, and taken out for progress."""

import sqlite3
from collections.abc import Iterator
from datetime import date

import msgspec

from scribegauge.errors import UseError
from scribegauge.ledger.entries import reading_in
from scribegauge.ledger.record import Entry, Kept, PupilLine
from scribegauge.ledger.store import written
from scribegauge.progress.record import RULES, Attempt, Score
from scribegauge.progress.score import score_of
from scribegauge.report.jsonfile import from_json

_COLUMNS = "plate.id, pupil, made, made_by, title, program, kept, reading.json"


def keep(connection: sqlite3.Connection, entry: Entry, *, replace: bool = False) -> Kept:
    """Keep one plate; a photo that is there already is not counted twice.

    Parameters
    ----------
    connection : sqlite3.Connection
    entry : Entry
    replace : bool
        Whether a plate of the same photo is to be measured anew; else it stays as it is.

    Returns
    -------
    Kept
        With the entry that is in the ledger now. It is on the disk when this returns.

    Raises
    ------
    UseError
        ``photo_of_other`` when a photo belongs to another pupil.
    """
    with written(connection):
        return put(connection, entry, replace=replace)


def put(connection: sqlite3.Connection, entry: Entry, *, replace: bool) -> Kept:
    """Keep one plate within a change that somebody else has begun, as `keep`."""
    there = _plates_of_photos(connection, entry)
    if there and not replace:
        return Kept("there", next(_entries(connection, "plate.id = ?", there[0])))
    for plate in there:
        connection.execute("DELETE FROM plate WHERE id = ?", (plate,))
    _insert(connection, entry)
    return Kept("replaced" if there else "new", entry)


def entries(connection: sqlite3.Connection, pupil: str | None = None) -> Iterator[Entry]:
    """Yield all plates, or those of one pupil, by pupil and day.

    Raises
    ------
    UseError
        ``pupil_unknown``.
    """
    if pupil is None:
        yield from _entries(connection, "?", 1)
        return
    known_code(connection, pupil)
    yield from _entries(connection, "pupil = ?", pupil)


def pupils(connection: sqlite3.Connection) -> tuple[PupilLine, ...]:
    """List the pupils who have plates, by code."""
    rows = connection.execute(
        "SELECT pupil, count(*), min(made), max(made) FROM plate GROUP BY pupil ORDER BY pupil"
    )
    return tuple(
        PupilLine(code, count, date.fromisoformat(first), date.fromisoformat(last))
        for code, count, first, last in rows
    )


def attempts(connection: sqlite3.Connection, pupil: str) -> tuple[Attempt, ...]:
    """Return one pupil's plates as far as progress goes by them, in the order they were made.

    Raises
    ------
    UseError
        ``pupil_unknown``.
    """
    known_code(connection, pupil)
    _work_out_old_scores(connection, pupil)
    rows = connection.execute(
        "SELECT made, score.json FROM plate JOIN score ON score.plate = plate.id "
        "WHERE pupil = ? ORDER BY made, plate.id",
        (pupil,),
    )
    read = msgspec.json.Decoder(Score)
    return tuple(Attempt(pupil, date.fromisoformat(made), read.decode(json)) for made, json in rows)


def known_code(connection: sqlite3.Connection, pupil: str) -> None:
    """Raise ``pupil_unknown`` when there is no such pupil, naming some there are."""
    if connection.execute("SELECT 1 FROM pupil WHERE code = ?", (pupil,)).fetchone():
        return
    rows = connection.execute("SELECT code FROM pupil ORDER BY code LIMIT 12").fetchall()
    there = ", ".join(code for (code,) in rows) or "nobody"
    raise UseError(
        "pupil_unknown",
        f"No plate of {pupil!r} is in the ledger; in it: {there}.",
        "Check the code, or name another ledger with --ledger.",
    )


def _plates_of_photos(connection: sqlite3.Connection, entry: Entry) -> list[int]:
    """Return the plates that these photos belong to already."""
    there: dict[int, None] = {}
    for photo in entry.photos:
        row = connection.execute(
            "SELECT plate.id, pupil, made FROM photo JOIN plate ON plate.id = photo.plate "
            "WHERE sha256 = ?",
            (photo,),
        ).fetchone()
        if row is None:
            continue
        if row[1] != entry.pupil:
            raise UseError(
                "photo_of_other",
                f"This photo is kept already as a plate of {row[1]}, made on {row[2]}.",
                f"If it is {entry.pupil}'s, remove it there first; else take the right photo.",
            )
        there[row[0]] = None
    return list(there)


def _insert(connection: sqlite3.Connection, entry: Entry) -> None:
    connection.execute("INSERT INTO pupil VALUES (?) ON CONFLICT DO NOTHING", (entry.pupil,))
    plate = connection.execute(
        "INSERT INTO plate (pupil, made, made_by, title, program, kept) VALUES (?, ?, ?, ?, ?, ?)",
        (
            *(entry.pupil, entry.made.isoformat(), entry.made_by),
            *(entry.title, entry.program, entry.kept),
        ),
    ).lastrowid
    connection.executemany(
        "INSERT INTO photo (sha256, plate, place) VALUES (?, ?, ?)",
        [(photo, plate, place) for place, photo in enumerate(entry.photos)],
    )
    connection.execute("INSERT INTO reading (plate, json) VALUES (?, ?)", (plate, entry.reading))
    score = score_of(reading_in(entry))
    connection.execute(
        "INSERT INTO score (plate, rules, json) VALUES (?, ?, ?)",
        (plate, RULES, score_text(score)),
    )


def score_text(score: Score) -> str:
    """Write a score as it is kept."""
    return msgspec.json.encode(score).decode()


def _work_out_old_scores(connection: sqlite3.Connection, pupil: str) -> None:
    """Work out scores that are missing or were made by other rules."""
    old = connection.execute(
        "SELECT plate.id FROM plate LEFT JOIN score ON score.plate = plate.id "
        "WHERE pupil = ? AND rules IS NOT ?",
        (pupil, RULES),
    ).fetchall()
    if not old:
        return
    with written(connection):
        for (plate,) in old:
            # Looked up one by one: a winter's readings do not fit the memory of a small computer.
            row = connection.execute(
                "SELECT json FROM reading WHERE plate = ?", (plate,)
            ).fetchone()
            if row is not None:
                score = score_text(score_of(from_json(row[0])))
                connection.execute("REPLACE INTO score VALUES (?, ?, ?)", (plate, RULES, score))


def _entries(connection: sqlite3.Connection, which: str, value: str | int) -> Iterator[Entry]:
    rows = connection.execute(
        f"SELECT {_COLUMNS} FROM plate JOIN reading ON reading.plate = plate.id "  # noqa: S608
        f"WHERE {which} ORDER BY pupil, made, plate.id",
        (value,),
    )
    for plate, pupil, made, made_by, title, program, kept, json in rows:
        photos = connection.execute(
            "SELECT sha256 FROM photo WHERE plate = ? ORDER BY place", (plate,)
        )
        shas = tuple(sha256 for (sha256,) in photos)
        day = date.fromisoformat(made)
        yield Entry(pupil, day, made_by, title, program, kept, shas, json)
