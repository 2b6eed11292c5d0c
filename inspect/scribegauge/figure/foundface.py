"""A figure and its marks laid on the face that several photos show, instead of the one given."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.assign import Placement
from scribegauge.figure.fit import FigureFit, fit_figure
from scribegauge.figure.lineerrors import Row
from scribegauge.figure.merge import Merged
from scribegauge.figure.several import Finding, settle
from scribegauge.marks.onface import marks_on_face
from scribegauge.marks.record import LineMark, Marks
from scribegauge.plate.face import Face


@dataclass(frozen=True, slots=True)
class OnFoundFace:
    """What one photo was measured for, as all photos show it.

    Attributes
    ----------
    fit : FigureFit
    faces : tuple of Face
        Of each photo.
    marks : Marks
        Of the first photo.
    finding : Finding or None
        None where there is one photo.
    """

    fit: FigureFit
    faces: tuple[Face, ...]
    marks: Marks
    finding: Finding | None


def lay_on_found_face(
    rows: Sequence[Row], faces: Sequence[Face], fit: FigureFit, marks: Marks
) -> OnFoundFace:
    """Settle where lines and face are, and lay everything there.

    Parameters
    ----------
    rows : P rows of n lines or None
        Each photo's side lines, on the faces as given.
    faces : sequence of Face, length P
        As given.
    fit : FigureFit
        Of these lines, judged.
    marks : Marks
        Of the first photo.
    """
    if len(rows) == 1:
        return OnFoundFace(fit, tuple(faces), marks, None)
    settled = settle(rows, faces)
    old, new = faces[0], settled.faces[0]
    laid = marks_on_face(marks, old, new)
    vertices = fit.layout.vertices_mm
    there = new.plate_from_photo(old.photo_from_plate(fit.placement.plate_from_layout(vertices)))
    placement = _placed(vertices, there, fit.placement.score)
    merged = _judged(settled.merged, fit.merged)
    return OnFoundFace(
        fit_figure(fit.layout, placement, merged, laid.pricks),
        settled.faces,
        laid,
        settled.finding,
    )


def _placed(
    vertices_mm: NDArray[np.float64], there_mm: NDArray[np.float64], score: float
) -> Placement:
    """Return the placement that takes vertices (n, 2) nearest to places (n, 2), least squares."""
    middle, centre = vertices_mm.mean(axis=0), there_mm.mean(axis=0)
    plane = np.array([1.0, 1.0j])
    overlap = np.vdot((vertices_mm - middle) @ plane, (there_mm - centre) @ plane)
    turned = Placement(float(np.angle(overlap)), np.zeros(2), score)
    return replace(turned, shift_mm=centre - turned.plate_from_layout(middle[None])[0])


def _judged(merged: Merged, before: Merged) -> Merged:
    """Return joined lines with what was said of them before."""
    lines = [
        _with_judgement(line, judged)
        for line, judged in zip(merged.lines, before.lines, strict=True)
    ]
    return replace(merged, lines=tuple(lines))


def _with_judgement(line: LineMark | None, judged: LineMark | None) -> LineMark | None:
    if line is None or judged is None:
        return line
    return replace(line, worth=judged.worth, hinted=judged.hinted)
