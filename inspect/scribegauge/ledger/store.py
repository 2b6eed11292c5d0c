"""The ledger's file: opened, brought up to date, and closed again."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from importlib.resources import files
from pathlib import Path
from typing import Final

import platformdirs

from scribegauge.errors import UseError
from scribegauge.report.atomic import make_folder

#: "slg1": tells this file from other programs' SQLite files.
APPLICATION_ID: Final = 0x736C6731
#: How long to wait for another process that is writing [s].
PATIENCE_S: Final = 10.0

_STEPS: Final = "steps"


def usual_file() -> Path:
    """Return where the ledger is unless another is named: with a person's other data."""
    return platformdirs.user_data_path("scribegauge", appauthor=False) / "ledger.sqlite3"


@contextmanager
def opened(path: Path, *, must_exist: bool = False) -> Iterator[sqlite3.Connection]:
    """Open a ledger, making it or bringing it up to date as needed, and close it afterwards.

    Parameters
    ----------
    path : Path
    must_exist : bool
        Whether a file that is not there is an error rather than made.

    Raises
    ------
    UseError
        ``ledger_missing``, ``ledger_foreign``, ``ledger_newer``, ``ledger_busy``,
        ``ledger_damaged``, ``ledger_unopened``, ``cannot_write``.
    """
    if must_exist and not path.exists():
        raise UseError(
            "ledger_missing",
            f"There is no ledger {str(path)!r} yet.",
            "Keep a reading first: scribegauge check … --keep A-12.",
        )
    if not must_exist:
        make_folder(path.parent)
    with telling(path), closing(_connection(path)) as connection:
        bring_up_to_date(connection, path)
        yield connection


def newest_version() -> int:
    """Return the version of the schema that this program writes."""
    return len(step_texts())


def step_texts() -> tuple[str, ...]:
    """Return the SQL that leads from each version to the next, from version 0 on."""
    folder = files("scribegauge.ledger") / _STEPS
    found = sorted((step for step in folder.iterdir() if step.name.endswith(".sql")), key=str)
    return tuple(step.read_text(encoding="utf-8") for step in found)


def bring_up_to_date(connection: sqlite3.Connection, path: Path) -> None:
    """Take the schema to the newest version, all of it or nothing.

    Raises
    ------
    UseError
        ``ledger_foreign``, ``ledger_newer``.
    """
    if _version(connection, path) == newest_version():
        return
    with written(connection):
        # Another process may have done it while this one waited.
        for text in step_texts()[_version(connection, path) :]:
            for statement in _statements(text):
                connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {newest_version()}")
        connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")


@contextmanager
def written(connection: sqlite3.Connection) -> Iterator[None]:
    """Write everything within, or nothing; nobody else writes meanwhile."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
    except BaseException:
        connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


@contextmanager
def telling(path: Path) -> Iterator[None]:
    """Turn what SQLite says into a sentence with its cure."""
    try:
        yield
    except sqlite3.OperationalError as error:
        if error.sqlite_errorname.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
            raise UseError(
                "ledger_busy",
                f"Another program has been writing to {str(path)!r} for {PATIENCE_S:g} seconds.",
                "Wait until it has ended, then try again.",
            ) from error
        raise UseError(
            "ledger_unopened",
            f"The ledger {str(path)!r} cannot be used ({error}).",
            "See whether the folder is there, the disk is not full, and you may write to it.",
        ) from error
    except sqlite3.DatabaseError as error:
        if isinstance(error, sqlite3.IntegrityError):
            raise
        raise UseError(
            "ledger_damaged",
            f"{str(path)!r} is no ledger, or a damaged one ({error}).",
            "Name another with --ledger, or put its last backup in its place.",
        ) from error


def _connection(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path, timeout=PATIENCE_S, isolation_level=None)
    try:
        _version(connection, path)  # before anything is changed: it may be another program's file
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA secure_delete = ON")  # what is removed is overwritten
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")  # kept means kept, even if power fails
        connection.execute("PRAGMA temp_store = MEMORY")
    except BaseException:
        with suppress(sqlite3.Error):
            connection.close()
        raise
    return connection


def _version(connection: sqlite3.Connection, path: Path) -> int:
    """Return the file's version of the schema, 0 for a file that was just made."""
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    owner = int(connection.execute("PRAGMA application_id").fetchone()[0])
    tables = int(connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0])
    if owner != APPLICATION_ID and (tables or version):
        raise UseError(
            "ledger_foreign",
            f"{str(path)!r} is another program's file, not a ledger.",
            "Name the ledger's own file with --ledger.",
        )
    if version > newest_version():
        raise UseError(
            "ledger_newer",
            f"{str(path)!r} was written by a newer program (version {version} of its tables).",
            "Bring this program up to date.",
        )
    return version


def _statements(text: str) -> list[str]:
    """Split a step; `executescript` would end the transaction that it is part of."""
    found, waiting = [], ""
    for line in text.splitlines(keepends=True):
        waiting += line
        if sqlite3.complete_statement(waiting):
            found.append(waiting)
            waiting = ""
    return found
