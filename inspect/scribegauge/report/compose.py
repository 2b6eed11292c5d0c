"""Write a measured figure down as a reading."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm
from scribegauge.marks.record import Marks, PrickMark
from scribegauge.photo.record import Photo
from scribegauge.plate.face import Face
from scribegauge.report.cautions import far_aside, reading_reasons
from scribegauge.report.composelines import line_readings, other_lines
from scribegauge.report.composemarks import (
    arc_readings,
    corner_readings,
    meeting_readings,
)
from scribegauge.report.reading import (
    AngleReading,
    PlateReading,
    PrickReading,
    Reading,
    Reason,
    SideReading,
    Term,
    VertexReading,
)
from scribegauge.report.refusal import photo_reading
from scribegauge.report.sheetwords import sheet_reading
from scribegauge.uncertainty.propagation import COVERAGE_FACTOR, Budget
from scribegauge.verdict.decide import decide
from scribegauge.version import program
from scribetarget.pose import tilt_deg

NOT_SEEN = Reason("side_not_seen", "This side's line does not stand out from the metal.")
FAR_ASIDE = Reason(
    "line_far_aside", "A line that this depends on lies far aside and may be another line."
)
NO_CORNER = Reason(
    "corner_not_seen", "The line of a neighbouring side was not seen, so a corner is missing."
)


def compose(
    photos: Sequence[Photo], faces: Sequence[Face], marks: Marks, fit: FigureFit, budget: Budget
) -> Reading:
    """Put everything measured into one reading.

    Parameters
    ----------
    photos, faces : sequences of the same length
        Places in the photo refer to the first.
    marks : Marks
        Of the first photo.
    fit : FigureFit
    budget : Budget
    """
    face = faces[0]
    reasons = reading_reasons(faces, fit)
    return Reading(
        status="warned" if reasons else "measured",
        reasons=reasons,
        title=fit.layout.title,
        photos=tuple(
            photo_reading(photo, f"{each.view.camera.source}: {each.view.camera.name}")
            for photo, each in zip(photos, faces, strict=True)
        ),
        plate=_plate(face, fit),
        vertices=_vertices(face, fit),
        sides=_sides(fit, budget),
        angles=_angles(fit, budget),
        pricks=_pricks(face, marks, fit),
        lines=line_readings(face, marks, fit),
        tolerance_side_mm=fit.layout.tolerance.side_mm,
        tolerance_angle_deg=fit.layout.tolerance.angle_deg,
        program=program(),
        arcs=arc_readings(face, marks.arcs),
        corners=corner_readings(fit),
        meetings=meeting_readings(face, fit, other_lines(marks, fit), marks.arcs),
    )


def _pairs(points: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points)


def _plate(face: Face, fit: FigureFit) -> PlateReading:
    intended = fit.placement.plate_from_layout(fit.layout.vertices_mm)
    return PlateReading(
        target_size=face.view.spec.size,
        thickness_mm=face.thickness_mm,
        scale_px_per_mm=face.scale_px_per_mm,
        tilt_deg=tilt_deg(face.view),
        outline_px=_pairs(face.photo_from_plate(face.outline_mm)),
        intended_mm=_pairs(intended),
        intended_px=_pairs(face.photo_from_plate(intended)),
        u_thickness_mm=face.u_thickness_mm,
        sheet=sheet_reading(face.view.scale),
    )


def _vertices(face: Face, fit: FigureFit) -> tuple[VertexReading, ...]:
    rows = []
    for name, corner in zip(fit.layout.names, fit.corners_mm, strict=True):
        if np.isfinite(corner).all():
            u, v = face.photo_from_plate(corner[None])[0]
            rows.append(
                VertexReading(name, float(corner[0]), float(corner[1]), (float(u), float(v)))
            )
        else:
            rows.append(VertexReading(name, None, None, None))
    return tuple(rows)


def _terms(budget: Budget, index: int, unit: float) -> tuple[Term, ...]:
    """Return the terms of one quantity, largest first."""
    sizes = {cause: float(budget.standard(cause)[index]) * unit for cause in budget.terms}
    return tuple(Term(name, u) for name, u in sorted(sizes.items(), key=lambda term: -term[1]))


def _verdict(deviation: float, expanded: float, tolerance: float | None) -> str | None:
    return None if tolerance is None else decide(deviation, expanded, tolerance)


def _doubts(fit: FigureFit, *lines: int) -> tuple[Reason, ...]:
    """Return what speaks against a quantity that depends on some sides' lines."""
    return (FAR_ASIDE,) if far_aside(fit)[list(lines)].any() else ()


def _sides(fit: FigureFit, budget: Budget) -> tuple[SideReading, ...]:
    n = len(fit.layout.names)
    intended = side_lengths_mm(fit.layout.vertices_mm)
    expanded = budget.expanded
    rows = []
    for side in range(n):
        ends = fit.layout.names[side], fit.layout.names[(side + 1) % n]
        wanted, measured = float(intended[side]), float(budget.values[side])
        if not np.isfinite(measured):
            why = NOT_SEEN if fit.merged.lines[side] is None else NO_CORNER
            rows.append(SideReading(*ends, wanted, None, None, None, None, (why,), ()))
            continue
        deviation, size = measured - wanted, float(expanded[side])
        verdict = _verdict(deviation, size, fit.layout.tolerance.side_mm)
        terms = _terms(budget, side, 1.0)
        why_not = _doubts(fit, side - 1, side, (side + 1) % n)
        rows.append(SideReading(*ends, wanted, measured, deviation, size, verdict, why_not, terms))
    return tuple(rows)


def _angles(fit: FigureFit, budget: Budget) -> tuple[AngleReading, ...]:
    n = len(fit.layout.names)
    intended = inside_angles_deg(fit.layout.vertices_mm)
    expanded = budget.expanded
    rows = []
    for vertex, name in enumerate(fit.layout.names):
        wanted, measured = float(intended[vertex]), float(np.degrees(budget.values[n + vertex]))
        if not np.isfinite(measured):
            missing = fit.merged.lines[vertex] is None or fit.merged.lines[vertex - 1] is None
            why = NOT_SEEN if missing else NO_CORNER
            rows.append(AngleReading(name, wanted, None, None, None, None, (why,), ()))
            continue
        deviation, size = measured - wanted, float(np.degrees(expanded[n + vertex]))
        verdict = _verdict(deviation, size, fit.layout.tolerance.angle_deg)
        terms = _terms(budget, n + vertex, float(np.degrees(1.0)))
        why_not = _doubts(fit, vertex - 1, vertex)
        rows.append(AngleReading(name, wanted, measured, deviation, size, verdict, why_not, terms))
    return tuple(rows)


def _pricks(face: Face, marks: Marks, fit: FigureFit) -> tuple[PrickReading, ...]:
    """Return the pricks at corners in their order, then those that belong to none."""
    at_corners = [
        _prick(face, prick, name, float(np.hypot(*(prick.centre_mm - corner))))
        for name, prick, corner in zip(fit.layout.names, fit.pricks, fit.corners_mm, strict=True)
        if prick is not None
    ]
    elsewhere = [
        _prick(face, prick, "", np.nan)
        for prick in marks.pricks
        if not any(prick is taken for taken in fit.pricks)
    ]
    return (*at_corners, *elsewhere)


def _prick(face: Face, prick: PrickMark, at: str, off_mm: float) -> PrickReading:
    u, v = face.photo_from_plate(prick.centre_mm[None])[0]
    return PrickReading(
        at=at,
        x_mm=float(prick.centre_mm[0]),
        y_mm=float(prick.centre_mm[1]),
        U_mm=COVERAGE_FACTOR * prick.u_mm,
        photo_px=(float(u), float(v)),
        off_corner_mm=off_mm if np.isfinite(off_mm) else None,
        diameter_mm=prick.diameter_mm,
        hinted=prick.hinted,
    )
