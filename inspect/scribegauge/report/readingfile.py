"""Reading files on disk: written whole, read back with everything that can be wrong told."""

import sys
from pathlib import Path

from scribegauge.errors import FileFormatError, UseError
from scribegauge.report.atomic import write_aside
from scribegauge.report.jsonfile import from_json, to_json
from scribegauge.report.reading import Reading

#: A plate with a thousand marks has 1 MB; stops an endless stream and a photo given by mistake.
MOST_BYTES = 50_000_000


def load_reading(path: Path) -> Reading:
    """Read a reading file; ``-`` is standard input.

    Parameters
    ----------
    path : Path

    Returns
    -------
    Reading
        Fields that a later program added are left out.

    Raises
    ------
    UseError
        ``reading_missing`` when there is no such file to read.
    FileFormatError
        ``reading_file`` when it holds no reading, ``reading_version`` when a later kind of it. The
        text names the file.
    """
    try:
        if str(path) == "-":
            data = sys.stdin.buffer.read(MOST_BYTES + 1)
        else:
            with path.open("rb") as stream:
                data = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        raise UseError(
            "reading_missing",
            f"The reading file {str(path)!r} cannot be opened.",
            "Check the name and the folder you are in; `scribegauge check --json` writes one.",
        ) from error
    try:
        return from_json(_text(data))
    except FileFormatError as error:
        raise FileFormatError(error.code, f"{path.name}: {error.text}", error.cure) from error


def save_reading(reading: Reading, path: Path) -> None:
    """Write a reading file, whole or not at all.

    Raises
    ------
    UseError
        ``cannot_write``.
    """
    write_aside(path, to_json(reading).encode("ascii"))


def _text(data: bytes) -> str:
    """Decode a file; what is too long or no UTF-8 is left to be refused as no JSON."""
    if len(data) > MOST_BYTES:
        return ""
    return data.decode("utf-8-sig", errors="replace")
