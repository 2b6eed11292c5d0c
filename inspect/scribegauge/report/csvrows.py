"""The rows that a reading gives a spreadsheet, kind by kind; units are in the columns' names."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from scribegauge.report.csvfile import Cell
from scribegauge.report.reading import Reading, Reason

PLATE_COLUMNS = ("photo", "sha256", "title", "status")

Rows = Iterator[tuple[Cell, ...]]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of row: its columns, and the function that draws its cells from a reading."""

    columns: tuple[str, ...]
    of: Callable[[Reading], Rows]


def plate_cells(reading: Reading) -> tuple[Cell, ...]:
    """Return what every row begins with: which photo, which plate, how it was judged."""
    first = reading.photos[0] if reading.photos else None
    name, sha256 = (first.name, first.sha256) if first else ("", "")
    return (name, sha256, reading.title, reading.status)


def _reading(reading: Reading) -> Rows:
    first = reading.photos[0] if reading.photos else None
    construction = reading.construction
    yield (
        _codes(reading.reasons),
        " or ".join(reading.grade.possible) if reading.grade else None,
        construction.name if construction else None,
        construction.entered_at if construction else None,
        first.taken if first else None,
        len(reading.photos),
        reading.program,
    )


def _sides(reading: Reading) -> Rows:
    for side in reading.sides:
        yield (
            *(side.start, side.end, side.intended_mm, side.measured_mm, side.deviation_mm),
            *(side.U_mm, _limit(side.tolerance_mm, reading.tolerance_side_mm)),
            *(side.verdict, _codes(side.reasons)),
        )


def _angles(reading: Reading) -> Rows:
    for angle in reading.angles:
        yield (
            *(angle.at, angle.intended_deg, angle.measured_deg, angle.deviation_deg, angle.U_deg),
            _limit(angle.tolerance_deg, reading.tolerance_angle_deg),
            *(angle.verdict, _codes(angle.reasons)),
        )


def _pricks(reading: Reading) -> Rows:
    for prick in reading.pricks:
        yield (
            *(prick.at, prick.x_mm, prick.y_mm, prick.U_mm),
            *(prick.off_corner_mm, prick.diameter_mm, _yes(said=prick.hinted)),
        )


def _arcs(reading: Reading) -> Rows:
    for k, arc in enumerate(reading.arcs):
        yield (
            *(k + 1, arc.x_mm, arc.y_mm, arc.U_centre_mm, arc.radius_mm, arc.U_radius_mm),
            *(arc.start_deg, arc.sweep_deg, arc.width_mm, arc.look, arc.seen),
            *(arc.roundness_mm, arc.U_roundness_mm, arc.mismatch_mm, arc.U_mismatch_mm),
            *(arc.centre_wander_mm, arc.U_centre_wander_mm),
        )


def _lines(reading: Reading) -> Rows:
    for k, line in enumerate(reading.lines):
        seen = (k + 1, line.side, line.width_mm, line.look, line.seen, _yes(said=line.hinted))
        quality = line.quality
        if quality is None:  # in readings of programs that did not judge it
            yield (*seen, *[None] * 9)
            continue
        yield (
            *seen,
            *(quality.length_mm, quality.U_width_mm, quality.width_verdict),
            *(quality.wander_mm, quality.U_wander_mm, len(quality.gaps_mm), len(quality.doubled)),
            *(quality.faded_start_mm, quality.faded_end_mm),
        )


def _meetings(reading: Reading) -> Rows:
    for meeting in reading.meetings:
        marks = " ".join(mark.replace(" ", "_") for mark in meeting.marks)
        yield (
            *(meeting.at, marks, meeting.x_mm, meeting.y_mm),
            *(meeting.miss_mm, meeting.U_miss_mm),
        )


def _limit(own: float | None, common: float | None) -> float | None:
    """Return what a row was judged by; older readings say it once for all."""
    return common if own is None else own


def _codes(reasons: Sequence[Reason]) -> str:
    return " ".join(reason.code for reason in reasons)


def _yes(*, said: bool) -> str:
    return "yes" if said else "no"


READING = Kind(
    ("reasons", "grade", "construction", "entered_at_step", "taken", "photos", "program"), _reading
)
SIDE = Kind(
    (
        *("from", "to", "intended_mm", "measured_mm", "deviation_mm", "U_mm"),
        *("tolerance_mm", "verdict", "reasons"),
    ),
    _sides,
)
ANGLE = Kind(
    (
        *("at", "intended_deg", "measured_deg", "deviation_deg", "U_deg"),
        *("tolerance_deg", "verdict", "reasons"),
    ),
    _angles,
)
PRICK = Kind(("at", "x_mm", "y_mm", "U_mm", "off_corner_mm", "diameter_mm", "hinted"), _pricks)
ARC = Kind(
    (
        *("arc", "x_mm", "y_mm", "U_centre_mm", "radius_mm", "U_radius_mm"),
        *("start_deg", "sweep_deg", "width_mm", "look", "seen", "roundness_mm", "U_roundness_mm"),
        *("mismatch_mm", "U_mismatch_mm", "centre_wander_mm", "U_centre_wander_mm"),
    ),
    _arcs,
)
LINE = Kind(
    (
        *("line", "side", "width_mm", "look", "seen", "hinted", "length_mm", "U_width_mm"),
        *("width_verdict", "wander_mm", "U_wander_mm", "gaps", "doubled"),
        *("faded_start_mm", "faded_end_mm"),
    ),
    _lines,
)
MEETING = Kind(("at", "marks", "x_mm", "y_mm", "miss_mm", "U_miss_mm"), _meetings)
