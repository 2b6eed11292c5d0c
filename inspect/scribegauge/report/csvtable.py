"""One table for a spreadsheet of all that one or several readings hold.

Every row says in `kind` what it is of (reading, side, angle, prick, arc, line, meeting) and leaves
the columns of the others empty, so that a spreadsheet's filter shows one kind. A reading has a row
of its own, so that a refused photo is not lost among the others.
"""

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType

from scribegauge.report import csvrows
from scribegauge.report.csvfile import Cell, to_csv
from scribegauge.report.csvrows import PLATE_COLUMNS, Kind, plate_cells
from scribegauge.report.reading import Reading

KINDS = MappingProxyType[str, Kind](
    {
        "reading": csvrows.READING,
        "side": csvrows.SIDE,
        "angle": csvrows.ANGLE,
        "prick": csvrows.PRICK,
        "arc": csvrows.ARC,
        "line": csvrows.LINE,
        "meeting": csvrows.MEETING,
    }
)


def readings_csv(readings: Iterable[Reading], kinds: Sequence[str] = tuple(KINDS)) -> bytes:
    """Write readings as one table.

    Parameters
    ----------
    readings : iterable of Reading
    kinds : sequence of str
        Which rows; of `KINDS`. Columns that only others have are left out.

    Returns
    -------
    bytes
        RFC 4180, UTF-8; lengths in mm and angles in degrees as the headers say, U with k = 2,
        decimal points. To be written as they are: line ends are CR LF already.
    """
    rows: list[Mapping[str, Cell]] = []
    columns: dict[str, None] = dict.fromkeys((*PLATE_COLUMNS, "kind"))
    for kind in kinds:
        columns |= dict.fromkeys(KINDS[kind].columns)
    for reading in readings:
        plate = dict(zip(PLATE_COLUMNS, plate_cells(reading), strict=True))
        for kind in kinds:
            for cells in KINDS[kind].of(reading):
                own = dict(zip(KINDS[kind].columns, cells, strict=True))
                rows.append({**plate, "kind": kind, **own})
    return to_csv(tuple(columns), [[row.get(name) for name in columns] for row in rows])
