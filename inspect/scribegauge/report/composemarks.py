"""Write down what marks are worth: arcs, corners, meetings, the quality of lines."""

from collections.abc import Sequence

import numpy as np

from scribegauge.figure.fit import FigureFit
from scribegauge.figure.meetings import Corner, Mark, Meeting, find_meetings, judge_corners
from scribegauge.marks.arcshape import points_on
from scribegauge.marks.record import ArcMark, ArcWorth, LineMark
from scribegauge.plate.face import Face
from scribegauge.report.markreading import (
    ArcReading,
    CornerReading,
    DoubledReading,
    LineQuality,
    MeetingReading,
)
from scribegauge.uncertainty.circles import circle_budget, u_centre_mm
from scribegauge.uncertainty.propagation import COVERAGE_FACTOR
from scribegauge.verdict.decide import decide

# A full circle's path is a chord of 7.5° away from round: 0.05 mm at 25 mm radius.
PATH_POINTS = 49
# A meeting this close to a corner is the corner's.
AT_CORNER_MM = 1.0
NOT_JUDGED = ArcWorth(None, None, None, None, None, None)


def quality_of(line: LineMark, tolerance_mm: float | None) -> LineQuality | None:
    """Write down a line's quality; None where nobody judged it.

    Parameters
    ----------
    line : LineMark
    tolerance_mm : float or None
        Of a side's length.
    """
    worth = line.worth
    if worth is None:
        return None
    u_width = COVERAGE_FACTOR * worth.u_width_mm
    faded = worth.faded_mm or (None, None)
    return LineQuality(
        length_mm=float(np.hypot(*(line.ends_mm[1] - line.ends_mm[0]))),
        U_start_mm=worth.U_ends_mm[0],
        U_end_mm=worth.U_ends_mm[1],
        U_width_mm=u_width,
        width_verdict=None
        if tolerance_mm is None
        else decide(line.width_mm, u_width, tolerance_mm),
        wander_mm=worth.wander_mm,
        U_wander_mm=worth.U_wander_mm,
        gaps_mm=worth.gaps_mm,
        faded_start_mm=faded[0],
        faded_end_mm=faded[1],
        doubled=tuple(
            DoubledReading(d.first_mm, d.last_mm, d.apart_mm, COVERAGE_FACTOR * d.u_apart_mm)
            for d in worth.doubled
        ),
    )


def arc_readings(face: Face, arcs: Sequence[ArcMark]) -> tuple[ArcReading, ...]:
    """Write down every arc with its uncertainty."""
    return tuple(_arc(face, arc) for arc in arcs)


def _arc(face: Face, arc: ArcMark) -> ArcReading:
    budget, worth = circle_budget(arc, face), arc.worth or NOT_JUDGED
    u, v = face.photo_from_plate(arc.centre_mm[None])[0]
    path = face.photo_from_plate(points_on(arc, PATH_POINTS))
    return ArcReading(
        x_mm=float(arc.centre_mm[0]),
        y_mm=float(arc.centre_mm[1]),
        U_centre_mm=u_centre_mm(budget),
        radius_mm=arc.radius_mm,
        U_radius_mm=float(budget.expanded[2]),
        start_deg=arc.start_deg,
        sweep_deg=arc.sweep_deg,
        width_mm=arc.width_mm,
        look=arc.look,
        seen=arc.seen,
        roundness_mm=worth.roundness_mm,
        U_roundness_mm=worth.U_roundness_mm,
        mismatch_mm=worth.mismatch_mm,
        U_mismatch_mm=worth.U_mismatch_mm,
        centre_wander_mm=worth.centre_wander_mm,
        U_centre_wander_mm=worth.U_centre_wander_mm,
        photo_px=(float(u), float(v)),
        path_px=tuple((float(x), float(y)) for x, y in path),
    )


def corner_readings(fit: FigureFit) -> tuple[CornerReading, ...]:
    """Write down how lines and pricks meet at every corner that was found."""
    names = fit.layout.names
    return tuple(_corner(names, corner) for corner in judge_corners(fit))


def side_label(names: Sequence[str], side: int) -> str:
    """Name a side as the reading file does, e.g. ``A-B``."""
    return f"{names[side]}-{names[(side + 1) % len(names)]}"


def _corner(names: Sequence[str], corner: Corner) -> CornerReading:
    k = corner.vertex
    nothing: list[float | None] = [None, None]
    off = [nothing, nothing] if corner.prick_mm is None else corner.prick_mm.tolist()
    size = [nothing, nothing] if corner.U_prick_mm is None else corner.U_prick_mm.tolist()
    return CornerReading(
        at=names[k],
        before=side_label(names, k - 1 if k else len(names) - 1),
        after=side_label(names, k),
        past_before_mm=corner.past_mm[0],
        U_past_before_mm=corner.U_past_mm[0],
        past_after_mm=corner.past_mm[1],
        U_past_after_mm=corner.U_past_mm[1],
        prick_along_before_mm=off[0][0],
        prick_across_before_mm=off[0][1],
        U_prick_across_before_mm=size[0][1],
        prick_along_after_mm=off[1][0],
        prick_across_after_mm=off[1][1],
        U_prick_across_after_mm=size[1][1],
    )


def meeting_readings(
    face: Face, fit: FigureFit, others: Sequence[LineMark], arcs: Sequence[ArcMark]
) -> tuple[MeetingReading, ...]:
    """Write down where three or more marks should meet.

    Parameters
    ----------
    face : Face
    fit : FigureFit
    others : sequence of LineMark
        Lines that are no side, as the reading lists them after the sides.
    arcs : sequence of ArcMark
    """
    names = fit.layout.names
    marks: list[Mark] = []
    labels: list[str] = []
    for side, line in enumerate(fit.merged.lines):
        if line is not None:
            marks.append(line)
            labels.append(side_label(names, side))
    labels += [f"line {len(labels) + k + 1}" for k in range(len(others))]
    labels += [f"arc {k + 1}" for k in range(len(arcs))]
    marks += [*others, *arcs]
    for name, prick in zip(names, fit.pricks, strict=True):
        if prick is not None:
            marks.append(prick)
            labels.append(f"prick {name}")
    return tuple(_meeting(face, fit, each, labels) for each in find_meetings(marks))


def _meeting(face: Face, fit: FigureFit, meeting: Meeting, labels: Sequence[str]) -> MeetingReading:
    u, v = face.photo_from_plate(meeting.place_mm[None])[0]
    gaps = np.linalg.norm(fit.places_mm - meeting.place_mm, axis=1)
    near = [name for name, gap in zip(fit.layout.names, gaps, strict=True) if gap == gaps.min()]
    return MeetingReading(
        at=near[0] if near and gaps.min() < AT_CORNER_MM else "",
        x_mm=float(meeting.place_mm[0]),
        y_mm=float(meeting.place_mm[1]),
        photo_px=(float(u), float(v)),
        marks=tuple(labels[k] for k in meeting.members),
        misses_mm=meeting.misses_mm,
        miss_mm=meeting.miss_mm,
        U_miss_mm=meeting.U_miss_mm,
    )
