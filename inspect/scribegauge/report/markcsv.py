"""Lines, arcs and meetings of readings as tables for a spreadsheet."""

from collections.abc import Iterable

from scribegauge.report.csvfile import PLATE_COLUMNS, plate_cells, to_csv
from scribegauge.report.reading import Reading

ARC_COLUMNS = (
    *(*PLATE_COLUMNS, "arc", "x_mm", "y_mm", "U_centre_mm", "radius_mm", "U_radius_mm"),
    *("start_deg", "sweep_deg", "width_mm", "look", "seen", "roundness_mm", "U_roundness_mm"),
    *("mismatch_mm", "U_mismatch_mm", "centre_wander_mm", "U_centre_wander_mm"),
)
LINE_COLUMNS = (
    *(*PLATE_COLUMNS, "line", "side", "length_mm", "width_mm", "U_width_mm", "width_verdict"),
    *("look", "seen", "hinted", "wander_mm", "U_wander_mm", "gaps", "doubled"),
    *("faded_start_mm", "faded_end_mm"),
)
MEETING_COLUMNS = (*PLATE_COLUMNS, "at", "marks", "x_mm", "y_mm", "miss_mm", "U_miss_mm")


def arcs_csv(readings: Iterable[Reading]) -> bytes:
    """Write the circles and arcs of one or several readings, a row each."""
    rows = [
        [
            *plate_cells(reading),
            *(k + 1, arc.x_mm, arc.y_mm, arc.U_centre_mm, arc.radius_mm, arc.U_radius_mm),
            *(arc.start_deg, arc.sweep_deg, arc.width_mm, arc.look, arc.seen),
            *(arc.roundness_mm, arc.U_roundness_mm, arc.mismatch_mm, arc.U_mismatch_mm),
            *(arc.centre_wander_mm, arc.U_centre_wander_mm),
        ]
        for reading in readings
        for k, arc in enumerate(reading.arcs)
    ]
    return to_csv(ARC_COLUMNS, rows)


def lines_csv(readings: Iterable[Reading]) -> bytes:
    """Write the lines of one or several readings with their quality, a row each."""
    rows = [
        [
            *plate_cells(reading),
            *(k + 1, line.side, quality.length_mm, line.width_mm, quality.U_width_mm),
            *(quality.width_verdict, line.look, line.seen, "yes" if line.hinted else "no"),
            *(quality.wander_mm, quality.U_wander_mm, len(quality.gaps_mm), len(quality.doubled)),
            *(quality.faded_start_mm, quality.faded_end_mm),
        ]
        for reading in readings
        for k, line in enumerate(reading.lines)
        if (quality := line.quality) is not None
    ]
    return to_csv(LINE_COLUMNS, rows)


def meetings_csv(readings: Iterable[Reading]) -> bytes:
    """Write where three or more marks should meet, a row each."""
    rows = [
        [
            *plate_cells(reading),
            *(each.at, " ".join(mark.replace(" ", "_") for mark in each.marks)),
            *(each.x_mm, each.y_mm, each.miss_mm, each.U_miss_mm),
        ]
        for reading in readings
        for each in reading.meetings
    ]
    return to_csv(MEETING_COLUMNS, rows)
