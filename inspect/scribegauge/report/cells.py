"""The rows of a report's tables as text, each number with the digits its uncertainty allows."""

from collections.abc import Sequence
from dataclasses import dataclass

from scribegauge.report.reading import LineReading, Reading
from scribegauge.report.words import (
    DASH,
    angle_word,
    decimals_for,
    side_name,
    side_word,
    signed,
    typographic,
)
from scribetarget.wording import digits, later, say, spoken

FIGURE_SPACE = "\N{FIGURE SPACE}"
POINT_SPACE = "\N{PUNCTUATION SPACE}"

_PLACES_UNMEASURED = 3
_LOOKS = {
    "dark": later("dark line"),
    "bright": later("bright line"),
    "double": later("bright and dark side by side"),
}


@dataclass(frozen=True, slots=True)
class Measured:
    """One side or angle; a dash stands where nothing was measured."""

    name: str
    intended: str
    measured: str
    deviation: str
    expanded: str
    word: str


@dataclass(frozen=True, slots=True)
class PrickCells:
    """One prick and how far it is off its corner [mm]."""

    name: str
    off: str
    expanded: str
    diameter: str


@dataclass(frozen=True, slots=True)
class LineCells:
    """One side's line as it was seen: width [mm], look, share of its length that stood out [%]."""

    name: str
    width: str
    look: str
    seen: str
    hinted: bool


def side_cells(reading: Reading) -> tuple[Measured, ...]:
    """Return a row for each side [mm]."""
    return _rows(
        [
            _Row(side_name(s), s.intended_mm, s.measured_mm, s.deviation_mm, s.U_mm, word)
            for s, word in ((s, side_word(reading, s)) for s in reading.sides)
        ]
    )


def angle_cells(reading: Reading) -> tuple[Measured, ...]:
    """Return a row for each angle [degrees]."""
    return _rows(
        [
            _Row(a.at, a.intended_deg, a.measured_deg, a.deviation_deg, a.U_deg, angle_word(a))
            for a in reading.angles
        ]
    )


@dataclass(frozen=True, slots=True)
class _Row:
    name: str
    intended: float
    measured: float | None
    deviation: float | None
    expanded: float | None
    word: str


def _rows(rows: Sequence[_Row]) -> tuple[Measured, ...]:
    places = [decimals_for(row.expanded) for row in rows if row.expanded is not None]
    most = max(places, default=_PLACES_UNMEASURED)
    return tuple(_cells(row, most) for row in rows)


def _cells(row: _Row, most: int) -> Measured:
    if row.measured is None or row.deviation is None or row.expanded is None:
        intended = digits(row.intended, min(most, _PLACES_UNMEASURED))
        return Measured(row.name, aligned(intended, most), DASH, DASH, DASH, row.word)
    places = decimals_for(row.expanded)
    return Measured(
        name=row.name,
        intended=aligned(digits(row.intended, places), most),
        measured=aligned(digits(row.measured, places), most),
        deviation=aligned(typographic(signed(row.deviation, row.expanded)), most),
        expanded=aligned(digits(row.expanded, places), most),
        word=row.word,
    )


def aligned(number: str, places: int) -> str:
    """Fill a number up with spaces of a digit's width, so that points stand below each other."""
    _, point, decimals = number.partition(spoken().decimal_sign)
    filling = FIGURE_SPACE * (places - len(decimals))
    return number + (filling if point or not places else POINT_SPACE + filling)


def prick_cells(reading: Reading) -> tuple[PrickCells, ...]:
    """Return a row for each prick that belongs to a corner that was found."""
    rows = []
    for prick in reading.pricks:
        if prick.at and prick.off_corner_mm is not None:
            places = decimals_for(prick.U_mm)
            off, expanded = digits(prick.off_corner_mm, places), digits(prick.U_mm, places)
            rows.append(PrickCells(prick.at, off, expanded, digits(prick.diameter_mm, 2)))
    return tuple(rows)


def line_cells(reading: Reading) -> tuple[LineCells, ...]:
    """Return a row for each side whose line was found."""
    return tuple(
        LineCells(
            name=line.side.replace("-", DASH),
            width=digits(line.width_mm, 3),
            look=look_of(line),
            seen=f"{100 * line.seen:.0f}",
            hinted=line.hinted,
        )
        for line in reading.lines
        if line.side
    )


def look_of(line: LineReading) -> str:
    """Say in plain words how a line looks."""
    return say(_LOOKS[line.look]) if line.look in _LOOKS else line.look
