"""Where corners, pricks and circles' centres lie, and their covariance together."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit, corners_of
from scribegauge.figure.lines import normals
from scribegauge.marks.record import ArcMark, PrickMark
from scribegauge.plate.face import Face
from scribegauge.uncertainty.allmarks import AllMarks, marks_covariance
from scribegauge.uncertainty.lines import line_covariances
from scribegauge.uncertainty.propagation import sensitivities

Matrix = NDArray[np.float64]

_STEP_MM = 1e-4


@dataclass(frozen=True, slots=True)
class MeasuredPlaces:
    """Points of a plate and radii of its circles. Plate frame, millimetres.

    Attributes
    ----------
    points_mm : ndarray, shape (N, 2), float64
        Corners that were found, then pricks, then centres.
    radii_mm : ndarray, shape (R,), float64
    covariance : ndarray, shape (2N + R, 2N + R), float64
        Of x and y of each point in turn, then of the radii.
    """

    points_mm: Matrix
    radii_mm: Matrix
    covariance: Matrix


def measured_places(
    fit: FigureFit, pricks: Sequence[PrickMark], arcs: Sequence[ArcMark], face: Face
) -> MeasuredPlaces:
    """Put points and radii together with all that makes them uncertain.

    Parameters
    ----------
    fit : FigureFit
        Its corners come first, those left out that were not found.
    pricks : sequence of PrickMark
    arcs : sequence of ArcMark
    face : Face
        Of the photo in which they were measured.
    """
    sides = [k for k, line in enumerate(fit.merged.lines) if line is not None]
    lines = fit.lines_mm[sides]
    every = AllMarks(tuple(pricks), lines, _own(fit, sides), tuple(arcs))
    covariance = marks_covariance(every, face)
    seen = np.flatnonzero(np.isfinite(fit.corners_mm).all(axis=1))
    by_marks = _follow(fit, sides, seen, len(pricks), len(arcs))
    centres = [*(p.centre_mm for p in pricks), *(arc.centre_mm for arc in arcs)]
    points = np.concatenate([fit.corners_mm[seen], np.array(centres).reshape(-1, 2)])
    radii = np.array([arc.radius_mm for arc in arcs])
    return MeasuredPlaces(points, radii, by_marks @ covariance @ by_marks.T)


def _own(fit: FigureFit, sides: list[int]) -> Matrix:
    fits, optics = line_covariances(fit)
    pick = [2 * side + k for side in sides for k in (0, 1)]
    return np.asarray((fits + optics)[np.ix_(pick, pick)])


def _follow(
    fit: FigureFit, sides: list[int], seen: NDArray[np.intp], pricks: int, arcs: int
) -> Matrix:
    """Return how points and radii follow from the marks as `marks_covariance` has them."""
    at_lines, at_arcs = 2 * pricks, 2 * pricks + 2 * len(sides)
    whole = np.zeros((2 * (len(seen) + pricks + arcs) + arcs, at_arcs + 3 * arcs))
    if len(seen):
        whole[: 2 * len(seen), at_lines:at_arcs] = _corners(fit, sides, seen)
    row = 2 * len(seen)
    whole[row : row + at_lines, :at_lines] = np.eye(at_lines)
    row += at_lines
    for k in range(arcs):
        at = at_arcs + 3 * k
        whole[row + 2 * k, at] = whole[row + 2 * k + 1, at + 1] = 1.0
        whole[row + 2 * arcs + k, at + 2] = 1.0
    return whole


def _corners(fit: FigureFit, sides: list[int], seen: NDArray[np.intp]) -> Matrix:
    """Return how corners (2m) follow when the two ends of each side's line move aside (2L)."""
    lines = fit.lines_mm

    def places(asides: Matrix) -> Matrix:
        moved = np.broadcast_to(lines, (*asides.shape[:-1], *lines.shape)).copy()
        steps = asides.reshape(*asides.shape[:-1], -1, 2, 1) * normals(lines[sides])[:, None, :]
        moved[..., sides, :, :] += steps
        corners = corners_of(moved)[..., seen, :]
        return np.asarray(corners.reshape(*asides.shape[:-1], -1))

    count = 2 * len(sides)
    return sensitivities(places, np.zeros(count), np.full(count, _STEP_MM))
