"""The uncertainty of every side and angle, as a budget of named terms.

Every input moves the lines on the plate, the lines move sides and angles
(`scribegauge.uncertainty.figuremodel`); what the inputs are uncertain by, and why, is said here.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.figure.lines import normals
from scribegauge.plate.face import U_SEATING_MM, U_UNKNOWN_THICKNESS_MM, Face
from scribegauge.plate.sharing import joint_covariance
from scribegauge.uncertainty.figuremodel import (
    HEIGHT_STEP_MM,
    LINE_SIZE,
    PLANE_SIZE,
    TILT_STEP,
    VIEW_SIZE,
    VIEW_STEPS,
    FigureModel,
    apart,
    figure_model,
)
from scribegauge.uncertainty.propagation import (
    COVERAGE_FACTOR,
    Budget,
    Cause,
    normal,
    propagate,
    rectangular,
    sensitivities,
)
from scribegauge.uncertainty.trials import Trials, run_trials

__all__ = [
    "COVERAGE_FACTOR",
    "HEIGHT_STEP_MM",
    "TILT_STEP",
    "U_SEATING_MM",
    "VIEW_STEPS",
    "causes_of",
    "make_budget",
    "try_budget",
]

# Correlation of the offsets of parallel lines in one photo, bright with bright or dark with dark,
# and bright with dark: 71 grooves in 12 computed photos gave 0.5 to 0.7 and 0.2 to 0.3.
SAME_LOOK, OTHER_LOOK = 0.55, 0.2
# Of a caliper only the largest error is known, not which errors are likely.
RECTANGULAR = ("caliper",)

Matrix = NDArray[np.float64]


def make_budget(fit: FigureFit, faces: Sequence[Face]) -> Budget:
    """Work out sides and angles of a figure and all that makes them uncertain.

    Parameters
    ----------
    fit : FigureFit
    faces : sequence of Face, length P
        One for each photo, in the order of the fit's photos.

    Returns
    -------
    Budget
        Of sides [mm], then angles [rad].
    """
    model = figure_model(fit, faces)
    steps = model.steps
    at = np.zeros(len(steps))
    slopes = sensitivities(model.quantities, at, steps, apart)
    return propagate(model.quantities(at), slopes, causes_of(model))


def try_budget(fit: FigureFit, faces: Sequence[Face], count: int, seed: int) -> Trials:
    """Draw everything that makes a figure uncertain at random, as a check of its budget.

    Parameters
    ----------
    fit, faces
        As for `make_budget`.
    count, seed : int
        As for `scribegauge.uncertainty.trials.run_trials`.

    Returns
    -------
    Trials
        Of sides [mm], then angles [rad].
    """
    model = figure_model(fit, faces)
    at = np.zeros(len(model.steps))
    return run_trials(model.quantities, at, causes_of(model), count, seed, apart)


def causes_of(model: FigureModel) -> tuple[Cause, ...]:
    """Return everything that makes a figure uncertain.

    Parameters
    ----------
    model : FigureModel
        Whose inputs the causes are about.
    """
    return (*_by_view(model), *_by_plane(model), *_by_line(model))


def _by_view(model: FigureModel) -> Iterator[Cause]:
    """Give the causes within the views, as far as all photos share them."""
    views = [face.view for face in model.faces]
    inputs = range(VIEW_SIZE * len(views))
    for name in views[0].parts:
        yield _view_cause(model.faces[0], name, inputs, joint_covariance(name, views))


def _view_cause(face: Face, name: str, inputs: range, covariance: Matrix) -> Cause:
    bars = face.view.scale.bars
    few = name == "bars" and bars is not None
    freedom = min(bars.freedom) if few and bars is not None else np.inf
    draw = rectangular if name in RECTANGULAR else normal
    return Cause(name, inputs, covariance, freedom, draw)


def _by_plane(model: FigureModel) -> Iterator[Cause]:
    """Give what may be wrong with the face's height and tilt."""
    face, at = model.faces[0], model.plane_at
    width = float(np.ptp(face.outline_mm, axis=0).max())
    # Nobody measured it: anything from a thin to a thick sheet, none likelier than the others.
    draw = rectangular if face.u_thickness_mm >= U_UNKNOWN_THICKNESS_MM else normal
    yield Cause("thickness", [at], np.array([[face.u_thickness_mm**2]]), draw=draw)
    seating = np.array([U_SEATING_MM / 2, U_SEATING_MM / width, U_SEATING_MM / width])
    yield Cause("flatness", range(at, at + PLANE_SIZE), np.diag(seating**2), draw=rectangular)


def _by_line(model: FigureModel) -> Iterator[Cause]:
    """Give what may be wrong with the lines as they were seen."""
    fits, optics = _line_covariances(model.fit)
    inputs = range(model.lines_at, model.lines_at + LINE_SIZE * model.count)
    yield Cause("line", inputs, fits)
    yield Cause("optics", inputs, optics)


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
