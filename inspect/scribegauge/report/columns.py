"""Text set in the columns of a terminal: cleaned, broken into lines, laid out in tables."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

COLUMNS = 80
KEEP = "\N{NO-BREAK SPACE}"

_LONGEST = 1000
_NAME, _WIDEST, _NARROWEST, _BEFORE_WORD = 10, 12, 9, 3
_NUMBER = re.compile(r"[-+]?[0-9]+(?:[.,]([0-9]*))?")


def columns_of(text: str) -> int:
    """Count the columns that a text takes; wide characters take two, accents none."""
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )


def one_line(text: str, columns: int) -> str:
    """Bring somebody else's text to one printable line of at most `columns` columns.

    What a terminal or a picture could take for a command (control and direction characters) is
    dropped; what is too long ends in an ellipsis. Wide characters count as two columns.
    """
    printable = "".join(c if unicodedata.category(c)[0] not in "CZ" else " " for c in text)
    words = " ".join(printable.split())
    if columns_of(words) <= columns:
        return words
    while words and columns_of(words) > columns - 1:
        words = words[:-1]
    return words.rstrip() + "…"


def tidy(text: str) -> str:
    """Drop what could be taken for a command, and keep words that belong together together."""
    return KEEP.join(one_line(part, _LONGEST) for part in text.split(KEEP))


def paragraph(text: str, columns: int, indent: str = "") -> list[str]:
    """Break text into lines of at most `columns` columns; later lines are indented."""
    rows: list[str] = []
    row = ""
    for word in tidy(text).split(" "):
        joined = f"{row} {word}" if row else word
        if columns_of(joined) <= columns or not row.strip():
            row = joined
        else:
            rows.append(row)
            row = indent + word
        while columns_of(row) > columns:
            start = _start(row, columns)
            rows.append(start)
            row = indent + row[len(start) :]
    return [line.replace(KEEP, " ") for line in (*rows, row) if line.strip()]


def _start(row: str, columns: int) -> str:
    while columns_of(row) > columns:
        row = row[:-1]
    return row


@dataclass(frozen=True, slots=True)
class Row:
    """A name, cells with numbers (or a word in place of one), and a word behind them."""

    name: str
    cells: tuple[str, ...]
    word: str = ""


def grid(heads: Sequence[str], rows: Sequence[Row]) -> list[str]:
    """Lay out a table of at most 80 columns, the signs of decimals below each other.

    Parameters
    ----------
    heads : sequence of str
        One for the names and one for each cell.
    rows : sequence of Row
        A name that leaves too little room for the numbers has a line of its own.
    """
    count = len(heads) - 1
    behind = max((columns_of(row.word) for row in rows), default=0)
    room = COLUMNS - (behind + _BEFORE_WORD if behind else 0)
    aligned = [_aligned([row.cells[k] for row in rows]) for k in range(count)]
    longest = 1 + max((columns_of(name) for name in (heads[0], *(r.name for r in rows))), default=0)
    least = max(
        [_NARROWEST, *(columns_of(c) + 1 for cells in aligned for c in (*cells, *heads[1:]))]
    )
    width = max(min(_WIDEST, (room - longest) // count), least) if count else 0
    first = min(max(_NAME, longest), room - count * width)
    lines = [_left(heads[0], first) + "".join(_right(head, width) for head in heads[1:])]
    for k, row in enumerate(rows):
        name = row.name
        if columns_of(name) >= first:
            lines.append(one_line(name, COLUMNS))
            name = ""
        numbers = "".join(_right(cells[k], width) for cells in aligned)
        lines.append(f"{_left(name, first)}{numbers}{' ' * _BEFORE_WORD}{row.word}".rstrip())
    return lines


def _aligned(cells: Sequence[str]) -> list[str]:
    """Fill numbers up with spaces, so that right-aligned their decimal signs meet."""
    tails = [_tail(cell) for cell in cells]
    most = max((tail for tail in tails if tail is not None), default=0)
    return [
        cell if tail is None else cell + " " * (most - tail)
        for cell, tail in zip(cells, tails, strict=True)
    ]


def _tail(cell: str) -> int | None:
    """Count what stands from the decimal sign on; None where the cell is no number."""
    number = _NUMBER.fullmatch(cell)
    if number is None:
        return None
    return 0 if number[1] is None else 1 + len(number[1])


def _left(text: str, width: int) -> str:
    return text + " " * (width - columns_of(text))


def _right(text: str, width: int) -> str:
    return " " * (width - columns_of(text)) + text
