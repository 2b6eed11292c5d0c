"""Tables for a spreadsheet: RFC 4180, UTF-8.

Numbers are as in the reading file, with a point. A text that a spreadsheet would take for a formula
gets an apostrophe in front, which spreadsheets show as plain text.
"""

import csv
import io
from collections.abc import Sequence

# As in the reading file: finer than any uncertainty that is stated.
_DECIMALS = 5
# A tab or line end may hide one of the others from a reader that trims.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")

Cell = str | float | None


def to_csv(columns: Sequence[str], rows: Sequence[Sequence[Cell]]) -> bytes:
    """Write a table with its headers; every text is safe for a spreadsheet.

    Parameters
    ----------
    columns : sequence of str
    rows : sequences of as many cells
        None is an empty cell.

    Returns
    -------
    bytes
        To be written as they are: line ends are CR LF already.
    """
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)  # its own defaults are those of RFC 4180
    writer.writerow(columns)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return stream.getvalue().encode("utf-8", errors="replace")


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return f"{round(float(value), _DECIMALS) + 0.0!r}"
    text = value.replace("\0", "")
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text
