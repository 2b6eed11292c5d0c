"""Readings as tables for a spreadsheet: RFC 4180, UTF-8, units in the headers.

Numbers are as in the reading file, with a point. A text that a spreadsheet would take for a formula
gets an apostrophe in front, which spreadsheets show as plain text.
"""

import csv
import io
from collections.abc import Iterable, Sequence

from scribegauge.report.reading import Reading, Reason

# As in the reading file: finer than any uncertainty that is stated.
_DECIMALS = 5
# A tab or line end may hide one of the others from a reader that trims.
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")

PLATE_COLUMNS = ("photo", "sha256", "title", "status")
SIDE_COLUMNS = (
    *(*PLATE_COLUMNS, "from", "to", "intended_mm", "measured_mm", "deviation_mm", "U_mm"),
    *("tolerance_mm", "verdict", "reasons"),
)
ANGLE_COLUMNS = (
    *(*PLATE_COLUMNS, "at", "intended_deg", "measured_deg", "deviation_deg", "U_deg"),
    *("tolerance_deg", "verdict", "reasons"),
)
PRICK_COLUMNS = (*PLATE_COLUMNS, "at", "x_mm", "y_mm", "U_mm", "off_corner_mm", "diameter_mm")

Cell = str | float | None


def sides_csv(readings: Iterable[Reading]) -> bytes:
    """Write the sides of one or several readings, a row each, those not found with empty cells.

    Parameters
    ----------
    readings : iterable of Reading

    Returns
    -------
    bytes
        To be written as they are: line ends are CR LF already.
    """
    rows = [
        [
            *plate_cells(reading),
            *(side.start, side.end, side.intended_mm, side.measured_mm, side.deviation_mm),
            *(side.U_mm, _limit(side.tolerance_mm, reading.tolerance_side_mm)),
            *(side.verdict, _codes(side.reasons)),
        ]
        for reading in readings
        for side in reading.sides
    ]
    return to_csv(SIDE_COLUMNS, rows)


def angles_csv(readings: Iterable[Reading]) -> bytes:
    """Write the angles of one or several readings, as `sides_csv` does."""
    rows = [
        [
            *plate_cells(reading),
            *(angle.at, angle.intended_deg, angle.measured_deg, angle.deviation_deg, angle.U_deg),
            _limit(angle.tolerance_deg, reading.tolerance_angle_deg),
            *(angle.verdict, _codes(angle.reasons)),
        ]
        for reading in readings
        for angle in reading.angles
    ]
    return to_csv(ANGLE_COLUMNS, rows)


def pricks_csv(readings: Iterable[Reading]) -> bytes:
    """Write the pricks of one or several readings, as `sides_csv` does."""
    rows = [
        [
            *plate_cells(reading),
            *(prick.at, prick.x_mm, prick.y_mm, prick.U_mm),
            *(prick.off_corner_mm, prick.diameter_mm),
        ]
        for reading in readings
        for prick in reading.pricks
    ]
    return to_csv(PRICK_COLUMNS, rows)


def plate_cells(reading: Reading) -> list[Cell]:
    """Return what every row begins with: which photo, which plate, how it was judged."""
    first = reading.photos[0] if reading.photos else None
    name, sha256 = (first.name, first.sha256) if first else ("", "")
    return [name, sha256, reading.title, reading.status]


def _limit(own: float | None, common: float | None) -> float | None:
    """Return what a row was judged by; older readings say it once for all."""
    return common if own is None else own


def _codes(reasons: Sequence[Reason]) -> str:
    return " ".join(reason.code for reason in reasons)


def to_csv(columns: Sequence[str], rows: Sequence[Sequence[Cell]]) -> bytes:
    """Write a table with its headers; every text is safe for a spreadsheet."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)  # its own defaults are those of RFC 4180
    writer.writerow(columns)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return stream.getvalue().encode("utf-8", errors="replace")


def _cell(value: Cell) -> str:
    if value is None:
        return ""
    if isinstance(value, float | int):
        return f"{round(float(value), _DECIMALS) + 0.0!r}"
    text = value.replace("\0", "")
    return f"'{text}" if text.startswith(_FORMULA_STARTS) else text
