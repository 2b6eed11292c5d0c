"""Write a measured figure down as a reading."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.marks.record import Marks, PrickMark
from scribegauge.photo.record import Photo
from scribegauge.plate.face import Face
from scribegauge.report.cautions import reading_reasons
from scribegauge.report.composelines import line_readings, other_lines
from scribegauge.report.composemarks import (
    arc_readings,
    corner_readings,
    meeting_readings,
)
from scribegauge.report.composequantities import (
    angle_readings,
    common_tolerance,
    covariance_reading,
    grade_reading,
    side_readings,
)
from scribegauge.report.platemap import grid_of
from scribegauge.report.reading import PlateReading, PrickReading, Reading, VertexReading
from scribegauge.report.refusal import photo_reading
from scribegauge.report.sheetwords import sheet_reading
from scribegauge.uncertainty.propagation import COVERAGE_FACTOR, Budget
from scribegauge.verdict.limits import limits_of
from scribegauge.version import program
from scribetarget.pose import tilt_deg


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
    reasons, allowed = reading_reasons(faces, fit), limits_of(fit.layout)
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
        sides=side_readings(fit, budget),
        angles=angle_readings(fit, budget),
        pricks=_pricks(face, marks, fit),
        lines=line_readings(face, marks, fit),
        tolerance_side_mm=common_tolerance(allowed.side_mm),
        tolerance_angle_deg=common_tolerance(allowed.angle_deg),
        tolerance_class=fit.layout.tolerance.iso2768,
        program=program(),
        arcs=arc_readings(face, marks.arcs),
        corners=corner_readings(fit),
        meetings=meeting_readings(face, fit, other_lines(marks, fit), marks.arcs),
        covariance=covariance_reading(fit, budget),
        grade=grade_reading(fit, budget),
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
        grid=grid_of(face.outline_mm, face.photo_from_plate),
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
