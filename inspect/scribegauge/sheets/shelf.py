"""Where the records of printed sheets are kept: one readable file each, in one folder."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import platformdirs

from scribegauge.errors import UseError
from scribegauge.report.atomic import make_folder, write_aside
from scribetarget.errors import SheetError
from scribetarget.sheetrecord import (
    SheetRecord,
    check_name,
    check_record,
    read_sheet,
    sheet_text,
)

# "sheet-" before the name: Windows has no file called con or nul, whatever its ending.
PREFIX, ENDING = "sheet-", ".toml"
MOST_BYTES = 100_000
MOST_NAMES = 12


@dataclass(frozen=True, slots=True)
class Shelf:
    """What is in the folder.

    Attributes
    ----------
    records : tuple of SheetRecord
        By name.
    broken : tuple of SheetError
        Files that are none.
    """

    records: tuple[SheetRecord, ...]
    broken: tuple[SheetError, ...]


def usual_folder() -> Path:
    """Return where this system keeps a person's data, such as ``~/.local/share``."""
    return platformdirs.user_data_path("scribegauge", appauthor=False) / "sheets"


def look_at_shelf(folder: Path) -> Shelf:
    """Read every record in a folder; one that is not there yet is empty.

    Raises
    ------
    UseError
        ``sheet_folder`` when it cannot be looked into.
    """
    records, broken = [], []
    for path in _files(folder):
        try:
            records.append(_read(path))
        except SheetError as error:
            broken.append(error)
    return Shelf(tuple(sorted(records, key=lambda each: each.name.lower())), tuple(broken))


def take_sheet(folder: Path, name: str, today: date) -> SheetRecord:
    """Return one record.

    Parameters
    ----------
    folder : Path
    name : str
        Capitals make no difference.
    today : date
        No sheet was measured later.

    Raises
    ------
    SheetError
        ``sheet_name``, ``sheet_unknown``, ``sheet_file_broken``, ``sheet_version``,
        ``sheet_in_future``.
    UseError
        ``sheet_folder``.
    """
    record = _read(_known_file(folder, name))
    refuse_future(record, today)
    return record


def refuse_future(record: SheetRecord, today: date) -> None:
    """Raise ``sheet_in_future`` when a record's date has not come yet."""
    if record.measured > today:
        raise SheetError(
            "sheet_in_future",
            f"Sheet {record.name} is said to have been measured on {record.measured}, and today "
            f"is {today}.",
            "Give the day it was measured with `scribegauge sheet add --measured`, or set this "
            "computer's clock.",
        )


def keep_sheet(folder: Path, record: SheetRecord, *, replace: bool) -> Path:
    """Write one record down, whole or not at all, and return its file.

    Parameters
    ----------
    folder : Path
        Made unless it is there.
    record : SheetRecord
    replace : bool
        Whether a record of that name may be overwritten.

    Raises
    ------
    SheetError
        ``sheet_name``, ``sheet_invalid``, ``sheet_there``.
    BarsError
        ``bars_absurd``.
    UseError
        ``cannot_write``.
    """
    check_record(record)
    path = _file(folder, record.name)
    if path.exists() and not replace:
        raise SheetError(
            "sheet_there",
            f"There is a sheet {record.name} already.",
            "Choose another name, or add --replace when the same sheet was measured anew.",
        )
    make_folder(folder)
    write_aside(path, sheet_text(record).encode())
    return path


def forget_sheet(folder: Path, name: str) -> None:
    """Remove one record, even a broken one.

    Raises
    ------
    SheetError
        ``sheet_name``, ``sheet_unknown``.
    UseError
        ``sheet_folder``.
    """
    path = _known_file(folder, name)
    try:
        path.unlink()
    except OSError as error:
        raise _shut(folder, error) from error


def _files(folder: Path) -> list[Path]:
    try:
        return sorted(folder.glob(f"{PREFIX}*{ENDING}")) if folder.exists() else []
    except (OSError, ValueError) as error:
        raise _shut(folder, error) from error


def _file(folder: Path, name: str) -> Path:
    check_name(name)
    return folder / f"{PREFIX}{name.lower()}{ENDING}"


def _known_file(folder: Path, name: str) -> Path:
    path = _file(folder, name)
    files = _files(folder)
    if path not in files:
        raise SheetError(
            "sheet_unknown",
            f"There is no sheet {name}; {_those(files)}.",
            "Write it down with `scribegauge sheet add`, or give the bars with --bars.",
        )
    return path


def _those(files: Sequence[Path]) -> str:
    """Say which names there are."""
    if not files:
        return "none is on record"
    names = [path.name.removeprefix(PREFIX).removesuffix(ENDING) for path in files]
    more = f" and {len(names) - MOST_NAMES} more" if len(names) > MOST_NAMES else ""
    return f"on record: {', '.join(names[:MOST_NAMES])}{more}"


def _read(path: Path) -> SheetRecord:
    try:
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES)
    except OSError as error:
        raise _shut(path, error) from error
    record = read_sheet(data.decode("utf-8", errors="replace"), path.name)
    if _file(path.parent, record.name) != path:
        raise SheetError(
            "sheet_file_broken",
            f"{path.name} is the record of a sheet called {record.name}.",
            "Let the file's name and the `name` in it agree.",
        )
    return record


def _shut(place: Path, error: Exception) -> UseError:
    why = getattr(error, "strerror", None) or "no such name is possible"
    return UseError(
        "sheet_folder",
        f"The records of sheets in {str(place)!r} cannot be read or changed ({why}).",
        "See whose folder it is, or choose another with --sheet-folder.",
    )
