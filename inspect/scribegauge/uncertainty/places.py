"""Where corners, pricks and circles' centres lie, and their covariance together."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit, corners_of
from scribegauge.figure.lines import normals
from scribegauge.marks.record import ArcMark, LineMark, PrickMark
from scribegauge.plate.face import Face
from scribegauge.uncertainty.allmarks import AllMarks, lines_by_themselves, marks_covariance
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
        Corners that were found, then pricks, then centres, then two for each line.
    radii_mm : ndarray, shape (R,), float64
    covariance : ndarray, shape (2N + R, 2N + R), float64
        Of x and y of each point in turn, then of the radii.
    """

    points_mm: Matrix
    radii_mm: Matrix
    covariance: Matrix


def measured_places(
    fit: FigureFit,
    pricks: Sequence[PrickMark],
    arcs: Sequence[ArcMark],
    lines: Sequence[LineMark],
    face: Face,
) -> MeasuredPlaces:
    """Put points and radii together with all that makes them uncertain.

    Parameters
    ----------
    fit : FigureFit
        Its corners come first, those left out that were not found.
    pricks : sequence of PrickMark
    arcs : sequence of ArcMark
    lines : sequence of LineMark
        That are no sides; the two ends seen of each are known across it only.
    face : Face
        Of the photo in which they were measured.
    """
    sides = [k for k, line in enumerate(fit.merged.lines) if line is not None]
    ends = np.array([line.ends_mm for line in lines]).reshape(-1, 2, 2)
    both = np.concatenate([fit.lines_mm[sides], ends])
    own = _blocks(_own(fit, sides), lines_by_themselves(lines))
    every = AllMarks(tuple(pricks), both, own, tuple(arcs))
    covariance = marks_covariance(every, face)
    seen = np.flatnonzero(np.isfinite(fit.corners_mm).all(axis=1))
    by_marks = _follow(fit, sides, seen, ends, (len(pricks), len(arcs)))
    centres = [*(p.centre_mm for p in pricks), *(arc.centre_mm for arc in arcs)]
    points = np.concatenate(
        [fit.corners_mm[seen], np.array(centres).reshape(-1, 2), ends.reshape(-1, 2)]
    )
    radii = np.array([arc.radius_mm for arc in arcs])
    return MeasuredPlaces(points, radii, by_marks @ covariance @ by_marks.T)


def _own(fit: FigureFit, sides: list[int]) -> Matrix:
    fits, optics = line_covariances(fit)
    pick = [2 * side + k for side in sides for k in (0, 1)]
    return np.asarray((fits + optics)[np.ix_(pick, pick)])


def _blocks(first: Matrix, second: Matrix) -> Matrix:
    whole = np.zeros((len(first) + len(second),) * 2)
    whole[: len(first), : len(first)] = first
    whole[len(first) :, len(first) :] = second
    return whole


def _follow(
    fit: FigureFit,
    sides: list[int],
    seen: NDArray[np.intp],
    ends_mm: Matrix,
    counts: tuple[int, int],
) -> Matrix:
    """Return how points and radii follow from the marks as `marks_covariance` has them."""
    pricks, arcs = counts
    at_lines = 2 * pricks
    at_ends = at_lines + 2 * len(sides)
    at_arcs = at_ends + 2 * len(ends_mm)
    corners, points = 2 * len(seen), 2 * (len(seen) + pricks + arcs)
    radii = points + 4 * len(ends_mm)
    whole = np.zeros((radii + arcs, at_arcs + 3 * arcs))
    if len(seen):
        whole[:corners, at_lines:at_ends] = _corners(fit, sides, seen)
    whole[corners : corners + at_lines, :at_lines] = np.eye(at_lines)
    for k in range(arcs):
        row, at = corners + at_lines + 2 * k, at_arcs + 3 * k
        whole[row, at] = whole[row + 1, at + 1] = whole[radii + k, at + 2] = 1.0
    for k, across in enumerate(normals(ends_mm)):
        for end in (0, 1):
            row = points + 4 * k + 2 * end
            whole[row : row + 2, at_ends + 2 * k + end] = across
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
