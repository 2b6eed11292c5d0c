"""How uncertain all marks of a plate are together: pricks, lines and circles of one photo.

What is not exactly known of camera, sheet and height moves all of them at once, each by itself is
uncertain by what was seen of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.lineerrors import alike
from scribegauge.figure.lines import normals
from scribegauge.marks.record import ArcMark, LineMark, PrickMark
from scribegauge.plate.face import PLANE_STEPS, U_SEATING_MM, VIEW_STEPS, Face
from scribegauge.uncertainty.circles import circle_budget
from scribegauge.uncertainty.propagation import sensitivities

Matrix = NDArray[np.float64]

# Points by which a circle is followed.
_POINTS = 24


@dataclass(frozen=True, slots=True)
class AllMarks:
    """Marks of one plate, in the order in which their covariance has them.

    Attributes
    ----------
    pricks : tuple of PrickMark
    lines_mm : ndarray, shape (L, 2, 2), float64
        Two points of each line.
    line_covariance : ndarray, shape (2L, 2L), float64
        Of each line's offset [mm] and turn [rad] by itself.
    arcs : tuple of ArcMark
    """

    pricks: tuple[PrickMark, ...]
    lines_mm: Matrix
    line_covariance: Matrix
    arcs: tuple[ArcMark, ...]


def lines_by_themselves(lines: Sequence[LineMark]) -> Matrix:
    """Return the covariance (2L, 2L) of offset [mm] and turn [rad] of lines from one photo."""
    if not lines:
        return np.zeros((0, 0))
    ends = np.array([line.ends_mm for line in lines])
    half = np.hypot(*(ends[:, 1] - ends[:, 0]).T) / 2
    own = np.zeros((2 * len(lines), 2 * len(lines)))
    for k, line in enumerate(lines):
        own[2 * k : 2 * k + 2, 2 * k : 2 * k + 2] = line.covariance
    optics = np.array([line.u_optics_mm for line in lines])
    together = alike([line.look for line in lines], normals(ends))
    own[0::2, 0::2] += together * np.outer(optics, optics)
    turns = np.array([line.u_optics_turn_mm for line in lines]) / half
    own[1::2, 1::2] += np.diag(turns**2)
    return own


def marks_covariance(marks: AllMarks, face: Face) -> Matrix:
    """Return the covariance of all marks together.

    Parameters
    ----------
    marks : AllMarks
    face : Face
        Of the photo in which they were measured.

    Returns
    -------
    ndarray, shape (2P + 2L + 3A, 2P + 2L + 3A), float64
        Of each prick's x and y, each line's distance to the left (along its normal) at its two
        points, each circle's centre x, y and radius [mm].
    """
    points, follows = _followed(marks)
    if len(points) == 0:
        return np.zeros((0, 0))
    slopes = follows @ _moved(face, points)
    view = len(VIEW_STEPS)
    common = slopes[:, :view] @ face.view.covariance @ slopes[:, :view].T
    width = float(np.ptp(face.outline_mm, axis=0).max())
    plane = np.array([U_SEATING_MM / 2, U_SEATING_MM / width, U_SEATING_MM / width]) ** 2
    plane[0] += face.u_height_mm**2
    common += (slopes[:, view:] * plane) @ slopes[:, view:].T
    return np.asarray(common + _own(marks, face))


def _moved(face: Face, points_mm: Matrix) -> Matrix:
    """Return how points (N, 2) move with view and plane, shape (2N, 20)."""
    seen_px = face.photo_from_plate(points_mm)
    steps = np.concatenate([VIEW_STEPS, PLANE_STEPS])

    def places(inputs: Matrix) -> Matrix:
        views = face.view.values + inputs[..., : len(VIEW_STEPS)]
        there = face.seen_otherwise(seen_px, views, inputs[..., len(VIEW_STEPS) :])
        return there.reshape(*inputs.shape[:-1], -1)

    return sensitivities(places, np.zeros(len(steps)), steps)


def _followed(marks: AllMarks) -> tuple[Matrix, Matrix]:
    """Return points (N, 2) on all marks, and how the marks follow when those move, (M, 2N)."""
    points: list[Matrix] = [prick.centre_mm[None] for prick in marks.pricks]
    blocks: list[Matrix] = [np.eye(2) for _ in marks.pricks]
    for line in marks.lines_mm:
        across = normals(line)
        points.append(line)
        blocks.append(np.asarray(np.kron(np.eye(2), across[None]), np.float64))
    for arc in marks.arcs:
        angle = np.radians(arc.start_deg + (np.arange(_POINTS) + 0.5) / _POINTS * arc.sweep_deg)
        away: Matrix = np.column_stack([np.cos(angle), np.sin(angle)])
        points.append(np.asarray(arc.centre_mm + arc.radius_mm * away))
        circle: Matrix = np.linalg.pinv(np.column_stack([away, np.ones(_POINTS)]))
        blocks.append((circle[:, :, None] * away[None]).reshape(3, -1))
    if not points:
        return np.zeros((0, 2)), np.zeros((0, 0))
    return np.concatenate(points), _diagonal(blocks)


def _own(marks: AllMarks, face: Face) -> Matrix:
    """Return the covariance of what was seen of each mark."""
    pricks = [prick.u_mm**2 * np.eye(2) for prick in marks.pricks]
    half = np.hypot(*(marks.lines_mm[:, 1] - marks.lines_mm[:, 0]).T) / 2
    ends = _diagonal([np.array([[1.0, -h], [1.0, h]]) for h in half])
    lines = ends @ marks.line_covariance @ ends.T
    arcs = []
    for arc in marks.arcs:
        terms = circle_budget(arc, face).terms
        arcs.append(terms["line"] + terms["optics"])
    return _diagonal([*pricks, lines, *arcs])


def _diagonal(blocks: Sequence[Matrix]) -> Matrix:
    """Return a matrix with blocks along its diagonal and nothing else."""
    rows, columns = (sum(block.shape[axis] for block in blocks) for axis in (0, 1))
    whole = np.zeros((rows, columns))
    row = column = 0
    for block in blocks:
        whole[row : row + block.shape[0], column : column + block.shape[1]] = block
        row, column = row + block.shape[0], column + block.shape[1]
    return whole
