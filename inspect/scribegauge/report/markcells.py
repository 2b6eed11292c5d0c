"""Rows for a report's tables of arcs, meetings and line quality, as text."""

from dataclasses import dataclass

from scribegauge.report.reading import Reading
from scribegauge.report.words import DASH, decimals_for, shown_word
from scribegauge.report.workwords import (
    arc_name,
    arc_remarks,
    corner_remarks,
    line_remarks,
    mark_name,
)
from scribetarget.wording import digits, say


@dataclass(frozen=True, slots=True)
class ArcCells:
    """One circle or arc: radius with U, U of its centre [mm], sweep [degrees], remarks."""

    name: str
    radius: str
    expanded: str
    centre: str
    sweep: str
    remark: str


@dataclass(frozen=True, slots=True)
class MeetingCells:
    """Marks that should meet in one point, and the largest miss with U [mm]."""

    at: str
    marks: str
    miss: str
    expanded: str


@dataclass(frozen=True, slots=True)
class QualityCells:
    """One side's line: width and wander with what each is known to [mm], remarks."""

    name: str
    width: str
    wander: str
    word: str
    remark: str


def arc_cells(reading: Reading) -> tuple[ArcCells, ...]:
    """Return a row for each circle and arc."""
    rows = []
    for k, arc in enumerate(reading.arcs):
        places = decimals_for(arc.U_radius_mm)
        rows.append(
            ArcCells(
                name=arc_name(k + 1),
                radius=digits(arc.radius_mm, places),
                expanded=digits(arc.U_radius_mm, places),
                centre=digits(arc.U_centre_mm, decimals_for(arc.U_centre_mm)),
                sweep=f"{arc.sweep_deg:.0f}",
                remark="; ".join(arc_remarks(arc)) or say("nothing remarkable"),
            )
        )
    return tuple(rows)


def meeting_cells(reading: Reading) -> tuple[MeetingCells, ...]:
    """Return a row for each point where three or more marks should meet."""
    rows = []
    for meeting in reading.meetings:
        places = decimals_for(meeting.U_miss_mm)
        rows.append(
            MeetingCells(
                at=meeting.at or DASH,
                marks=", ".join(mark_name(mark) for mark in meeting.marks),
                miss=digits(meeting.miss_mm, places),
                expanded=digits(meeting.U_miss_mm, places),
            )
        )
    return tuple(rows)


def quality_cells(reading: Reading) -> tuple[QualityCells, ...]:
    """Return a row for each side whose line was judged."""
    rows = []
    for line in reading.lines:
        quality = line.quality
        if not line.side or quality is None:
            continue
        wander = digits(quality.wander_mm, 3)
        if quality.wander_mm <= quality.U_wander_mm:
            wander = say("under {limit_mm:.3f}", limit_mm=quality.U_wander_mm)
        rows.append(
            QualityCells(
                name=mark_name(line.side),
                width=f"{digits(line.width_mm, 2)} ± {digits(quality.U_width_mm, 2)}",
                wander=wander,
                word=shown_word(quality.width_verdict or DASH),
                remark="; ".join(line_remarks(line)) or say("nothing remarkable"),
            )
        )
    return tuple(rows)


def work_notes(reading: Reading) -> tuple[str, ...]:
    """Return what is remarkable about corners, which no table holds."""
    told = (corner_remarks(corner) for corner in reading.corners)
    return tuple(f"{'; '.join(remarks)}." for remarks in told if remarks)
