"""The uncertainty of every side and angle, as a budget of named terms.

GUM first order (JCGM 100:2008, 5.1 and 5.2): every input moves the lines on the plate, the lines
move sides and angles; sensitivities are differences, covariances add over independent causes.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit, angles_of, area_sign, join_anchors, sides_of
from scribegauge.figure.lines import moved, normals
from scribegauge.plate.face import Face
from scribetarget.lens import plane_from_photo

COVERAGE_FACTOR = 2.0
# Swarf or a burr under one edge: up to 0.05 mm (common practice, no source), either way; as a
# rectangular distribution over the plate's width.
U_SEATING_MM = 0.05 / np.sqrt(3)
# Correlation of the offsets of parallel lines in one photo, bright with bright or dark with dark,
# and bright with dark: 71 grooves in 12 computed photos gave 0.5 to 0.7 and 0.2 to 0.3.
SAME_LOOK, OTHER_LOOK = 0.55, 0.2
# Causes that are the same in all photos of one plate.
SHARED = ("bars", "climate", "lens")
# Steps for differences: small against curvature, large against rounding.
OFFSET_STEP_MM = 1e-3
TURN_STEP_RAD = 1e-5
HEIGHT_STEP_MM = 1e-2
TILT_STEP = 1e-4
VIEW_STEPS = np.array(
    [
        1.0,
        1e-4,
        0.5,
        0.5,
        1e-4,
        1e-4,
        1e-5,
        1e-5,
        1e-4,
        1e-5,
        1e-5,
        1e-5,
        1e-3,
        1e-3,
        1e-3,
        1e-5,
        1e-5,
    ]
)

Matrix = NDArray[np.float64]
Places = Sequence[tuple[NDArray[np.bool_], Matrix]]
Quantities = Callable[[Matrix], Matrix]


@dataclass(frozen=True, slots=True)
class Budget:
    """Measured sides and angles with their covariance by cause.

    Quantities are ordered sides first, then angles: shape (2n,), mm and rad; NaN where a line
    needed for it was not found.

    Attributes
    ----------
    values : ndarray, shape (2n,)
    terms : Mapping[str, ndarray (2n, 2n)]
        Covariance by cause; they are independent of each other and add up to `covariance`.
    """

    values: Matrix
    terms: Mapping[str, Matrix]

    @property
    def covariance(self) -> Matrix:
        """Covariance (2n, 2n) of `values`."""
        return np.asarray(sum(self.terms.values()))

    @property
    def expanded(self) -> Matrix:
        """Expanded uncertainties U (2n,), k = 2."""
        return np.asarray(COVERAGE_FACTOR * np.sqrt(np.diag(self.covariance)))

    def standard(self, cause: str) -> Matrix:
        """Return standard uncertainties (2n,) from one cause."""
        return np.asarray(np.sqrt(np.maximum(np.diag(self.terms[cause]), 0.0)))


def make_budget(fit: FigureFit, faces: Sequence[Face]) -> Budget:
    """Work out sides and angles of a figure and all that makes them uncertain.

    Parameters
    ----------
    fit : FigureFit
    faces : sequence of Face, length P
        One for each photo, in the order of the fit's photos.
    """
    lines = fit.lines_mm
    clockwise = area_sign(fit.layout.vertices_mm)

    def quantities(ends: Matrix) -> Matrix:
        return np.concatenate([sides_of(ends), angles_of(ends, clockwise)], axis=-1)

    values = quantities(lines)
    places = [_seen(anchors, face) for anchors, face in zip(fit.anchors_mm, faces, strict=True)]
    size = len(values)
    terms: dict[str, Matrix] = {}
    for photo, face in enumerate(faces):
        by_view = _by_view(fit, faces, places, photo, quantities)
        for cause, part in face.view.parts.items():
            # What is wrong with the sheet or the lens is wrong in every photo: contributions add up
            # and do not average out. P times the sum of squares bounds the square of the sum
            # (Cauchy-Schwarz) and is exact where the photos contribute alike.
            together = len(faces) if cause in SHARED else 1
            share = together * _spread(by_view, part)
            terms[cause] = terms.get(cause, np.zeros((size, size))) + share
    by_plane = _by_plane(fit, faces, places, quantities)
    width = float(np.ptp(faces[0].outline_mm, axis=0).max())
    u_thickness_mm = faces[0].u_thickness_mm
    terms["thickness"] = _spread(by_plane[:, :1], np.array([[u_thickness_mm**2]]))
    terms["flatness"] = _spread(
        by_plane, np.diag([(U_SEATING_MM / 2) ** 2] + [(U_SEATING_MM / width) ** 2] * 2)
    )
    by_line = _by_line(lines, quantities)
    fits, optics = _line_covariances(fit)
    terms["line"] = _spread(by_line, fits)
    terms["optics"] = _spread(by_line, optics)
    return Budget(values, terms)


def _spread(sensitivity: Matrix, covariance: Matrix) -> Matrix:
    """Propagate a covariance through sensitivities."""
    return np.asarray(sensitivity @ covariance @ sensitivity.T)


def _difference(after: Matrix, before: Matrix) -> Matrix:
    """Return after - before for quantities (2n,), angles across 0/2π included."""
    step = after - before
    n = len(step) // 2
    step[n:] = (step[n:] + np.pi) % (2 * np.pi) - np.pi
    return step


def _seen(anchors: Matrix, face: Face) -> tuple[NDArray[np.bool_], Matrix]:
    """Return which lines a photo shows (n,) and where their ends lie in it (2m, 2) [px]."""
    seen = np.asarray(np.isfinite(anchors).all(axis=(1, 2)))
    return seen, face.photo_from_plate(anchors[seen].reshape(-1, 2))


def _moved_anchors(
    fit: FigureFit, photo: int, places: Places, values: Matrix, plane: tuple[float, float, float]
) -> Matrix:
    """Return one photo's anchors (n, 2, 2) seen at the same places by another camera or plane."""
    seen, points_px = places[photo]
    anchors: Matrix = fit.anchors_mm[photo]
    anchors[seen] = plane_from_photo(values, points_px, plane).reshape(-1, 2, 2)
    return anchors


def _by_view(
    fit: FigureFit, faces: Sequence[Face], places: Places, photo: int, quantities: Quantities
) -> Matrix:
    """Return sensitivities (2n, 17) to one view's parameters, the lines staying where they are seen."""
    face = faces[photo]
    plane = (-face.thickness_mm, 0.0, 0.0)
    columns = []
    for k, step in enumerate(VIEW_STEPS):
        pair = []
        for sign in (1, -1):
            values = face.view.values.copy()
            values[k] += sign * step
            anchors = fit.anchors_mm
            anchors[photo] = _moved_anchors(fit, photo, places, values, plane)
            pair.append(quantities(join_anchors(anchors, fit.merged.weights)))
        columns.append(_difference(pair[0], pair[1]) / (2 * step))
    return np.array(columns).T


def _by_plane(
    fit: FigureFit, faces: Sequence[Face], places: Places, quantities: Quantities
) -> Matrix:
    """Return sensitivities (2n, 3) to the face's height and to its tilt along x and y about its middle."""
    middle = faces[0].outline_mm.mean(axis=0)
    columns = []
    for k, step in enumerate((HEIGHT_STEP_MM, TILT_STEP, TILT_STEP)):
        pair = []
        for sign in (1, -1):
            change = np.zeros(3)
            change[k] = sign * step
            height = float(-faces[0].thickness_mm + change[0] - change[1:] @ middle)
            plane = (height, float(change[1]), float(change[2]))
            anchors = [
                _moved_anchors(fit, photo, places, face.view.values, plane)
                for photo, face in enumerate(faces)
            ]
            pair.append(quantities(join_anchors(np.stack(anchors), fit.merged.weights)))
        columns.append(_difference(pair[0], pair[1]) / (2 * step))
    return np.array(columns).T


def _by_line(lines: Matrix, quantities: Quantities) -> Matrix:
    """Return sensitivities (2n, 2n) to each line's offset and turn, line by line."""
    columns = []
    for side in range(len(lines)):
        for step in ((OFFSET_STEP_MM, 0.0), (0.0, TURN_STEP_RAD)):
            pair = []
            for sign in (1, -1):
                changed = lines.copy()
                changed[side] = moved(lines[side], sign * step[0], sign * step[1])
                pair.append(quantities(changed))
            columns.append(_difference(pair[0], pair[1]) / (2 * max(step)))
    return np.array(columns).T


def _line_covariances(fit: FigureFit) -> tuple[Matrix, Matrix]:
    """Return covariances (2n, 2n) of the lines' (offset, turn) from the fit and from the optics."""
    n = len(fit.merged.lines)
    fits, turns, offsets = np.zeros((2 * n, 2 * n)), np.zeros(n), np.zeros(n)
    for side, line in enumerate(fit.merged.lines):
        if line is not None:
            at = slice(2 * side, 2 * side + 2)
            fits[at, at] = line.covariance
            length = float(np.hypot(*(line.ends_mm[1] - line.ends_mm[0])))
            turns[side] = line.u_optics_turn_mm / (length / 2)
            offsets[side] = line.u_optics_mm
    optics = np.zeros((2 * n, 2 * n))
    optics[0::2, 0::2] = _together(fit) * np.outer(offsets, offsets)
    optics[1::2, 1::2] = np.diag(turns**2)
    return fits, optics


def _together(fit: FigureFit) -> Matrix:
    """Return the correlation (n, n) of the seen lines' offsets from their grooves' middles.

    One lamp moves all lines the same way, away from it or towards it, and what is common to
    parallel lines cancels in the distance between them.
    """
    looks = [None if line is None else line.look for line in fit.merged.lines]
    # A line that was not seen has no share in anything: any direction will do for it.
    along_x = np.array([[0.0, 0.0], [1.0, 0.0]])
    across = normals(np.where(np.isnan(fit.lines_mm), along_x, fit.lines_mm))
    share = np.array([[_common_share(a, b) for b in looks] for a in looks])
    # With the lamp moved between photos less is common to the joined lines.
    together = share * (across @ across.T) / len(fit.merged.weights)
    np.fill_diagonal(together, 1.0)
    return np.asarray(together)


def _common_share(first: str | None, second: str | None) -> float:
    """Return how much of two lines' offsets is common when they are parallel."""
    if first is None or second is None or "double" in (first, second):
        return 0.0
    return SAME_LOOK if first == second else OTHER_LOOK
