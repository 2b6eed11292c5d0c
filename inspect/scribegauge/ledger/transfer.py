"""The ledger in and out: JSON lines for programs, CSV for a spreadsheet; both hold all of it."""

import csv
import io
import json
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from scribegauge.errors import FileFormatError, ScribegaugeError
from scribegauge.ledger.entries import without_file_names
from scribegauge.ledger.plates import put
from scribegauge.ledger.record import MADE_BY, Entry, check_code
from scribegauge.ledger.store import written
from scribegauge.progress.record import Measured
from scribegauge.progress.score import score_of
from scribegauge.report.csvfile import Cell, to_csv
from scribegauge.report.jsonfile import from_json, to_json

VERSION: Final = 1
#: The numbers are for people; `reading` holds everything, and an import reads that alone.
CSV_COLUMNS: Final = (
    *("pupil", "made", "made_by", "title", "program", "kept"),
    *("side_rms_mm", "U_side_rms_mm", "side_largest_mm", "U_side_largest_mm"),
    *("angle_rms_deg", "U_angle_rms_deg", "line_width_mm", "U_line_width_mm"),
    *("prick_mm", "U_prick_mm", "reading"),
)
_NUMBERS: Final = (
    *("side_rms_mm", "side_largest_mm", "angle_rms_deg", "line_width_mm", "prick_mm"),
)
# A figure of many arcs comes to some 100 kB; the csv module's own limit is 128 kB.
_LONGEST_CELL: Final = 2**24


@dataclass(frozen=True, slots=True)
class Imported:
    """How many plates were new, replaced, and there already."""

    new: int
    replaced: int
    there: int


def to_json_lines(plates: Iterable[Entry]) -> Iterator[str]:
    """Write each plate as one line of JSON.

    Yields
    ------
    str
        Plain ASCII, with its line end.
    """
    for entry in plates:
        document = {
            "entry": VERSION,
            "pupil": entry.pupil,
            "made": entry.made.isoformat(),
            "made_by": entry.made_by,
            "kept": entry.kept,
            "reading": json.loads(entry.reading),
        }
        yield json.dumps(document, allow_nan=False) + "\n"


def to_table(plates: Iterable[Entry]) -> bytes:
    """Write a row for each plate: its numbers, and its reading whole."""
    return to_csv(CSV_COLUMNS, [_row(entry) for entry in plates])


def from_json_lines(text: str) -> Iterator[Entry]:
    """Read what `to_json_lines` wrote.

    Raises
    ------
    FileFormatError
        ``import_invalid`` with the number of the line.
    """
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip():
            with _at(number):
                yield _entry_from_json(line)


def from_table(text: str) -> Iterator[Entry]:
    """Read what `to_table` wrote, perhaps with columns moved or numbers rounded by a spreadsheet.

    Raises
    ------
    FileFormatError
        ``import_invalid`` with the number of the row.
    """
    limit = csv.field_size_limit(_LONGEST_CELL)
    try:
        rows = list(csv.DictReader(io.StringIO(text, newline="")))
    except csv.Error as error:
        raise _invalid(f"the table cannot be read ({error})") from error
    finally:
        csv.field_size_limit(limit)
    for number, row in enumerate(rows, 2):
        with _at(number):
            yield _entry(
                row["pupil"], row["made"], row["made_by"], row.get("kept") or "", row["reading"]
            )


def take_in(
    connection: sqlite3.Connection, plates: Iterable[Entry], *, replace: bool = False
) -> Imported:
    """Keep all plates of an import, or none of them.

    Raises
    ------
    UseError
        ``photo_of_other``.
    """
    counts = {"new": 0, "replaced": 0, "there": 0}
    with written(connection):
        for entry in plates:
            counts[put(connection, entry, replace=replace).what] += 1
    return Imported(**counts)


def _row(entry: Entry) -> list[Cell]:
    score = score_of(from_json(entry.reading))
    numbers: list[Cell] = []
    for name in _NUMBERS:
        found: Measured | None = getattr(score, name)
        numbers += [None, None] if found is None else [found.value, found.U]
    facts = [entry.pupil, entry.made.isoformat(), entry.made_by, entry.title]
    return [*facts, entry.program, entry.kept, *numbers, entry.reading]


def _entry_from_json(line: str) -> Entry:
    document: Any = json.loads(line)
    if not isinstance(document, dict) or document.get("entry") != VERSION:
        raise ValueError(f"it does not begin with entry {VERSION}")
    pupil, made, made_by, kept = (document[key] for key in ("pupil", "made", "made_by", "kept"))
    if not all(isinstance(text, str) for text in (pupil, made, made_by, kept)):
        raise TypeError("pupil and days must be texts")
    return _entry(pupil, made, made_by, kept, json.dumps(document["reading"]))


def _entry(pupil: str, made: str, made_by: str, kept: str, reading_json: str) -> Entry:
    """Put an entry together from a stranger's file: nothing is taken on trust."""
    check_code(pupil)
    if made_by not in MADE_BY:
        raise ValueError(f"made_by must be one of {', '.join(MADE_BY)}")
    reading = without_file_names(from_json(reading_json))
    if reading.status == "refused" or not reading.photos:
        raise ValueError("the reading is a refusal")
    shas = tuple(photo.sha256 for photo in reading.photos)
    return Entry(
        *(pupil, date.fromisoformat(made), made_by, reading.title, reading.program),
        *(kept, shas, to_json(reading)),
    )


@contextmanager
def _at(number: int) -> Iterator[None]:
    """Say in which line or row something is wrong."""
    try:
        yield
    except KeyError as error:
        raise _invalid(f"line {number} has no {error.args[0]}") from error
    except ScribegaugeError as error:
        raise _invalid(f"line {number}: {error.text}") from error
    except (ValueError, TypeError) as error:
        raise _invalid(f"line {number}: {error}") from error


def _invalid(what: str) -> FileFormatError:
    return FileFormatError(
        "import_invalid",
        f"This is no export of a ledger: {what}. Nothing was taken in.",
        "Give a file that `scribegauge ledger export` wrote, with its columns and the whole readings.",
    )
