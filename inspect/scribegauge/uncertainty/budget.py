"""The uncertainty of every side and angle, as a budget of named terms.

Every input moves the lines on the plate, the lines move sides and angles
(`scribegauge.uncertainty.figuremodel`); what the inputs are uncertain by, and why, is said here.
"""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.plate.face import U_SEATING_MM, U_UNKNOWN_THICKNESS_MM, Face
from scribegauge.plate.sharing import joint_covariance
from scribegauge.uncertainty.figuremodel import (
    LINE_SIZE,
    PLANE_SIZE,
    VIEW_SIZE,
    FigureModel,
    apart,
    figure_model,
)
from scribegauge.uncertainty.lines import line_covariances
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
    "U_SEATING_MM",
    "causes_of",
    "make_budget",
    "try_budget",
]

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
    scale, freedom = face.view.scale, np.inf
    # Where the photo contradicts the bars, what it widens U by is no matter of few readings.
    if name == "bars" and scale.bars is not None and not scale.doubted:
        freedom = min(scale.bars.freedom)
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
    plane = range(at, at + PLANE_SIZE)
    yield Cause("flatness", plane, np.diag(seating**2), draw=rectangular)
    lift = model.fit.merged.lift
    if lift is not None and lift.loose.any():
        # The photos contradict what was given, so they alone tell where the face lies.
        yield Cause("flatness", plane, np.diag(lift.loose**2))


def _by_line(model: FigureModel) -> Iterator[Cause]:
    """Give what may be wrong with the lines as they were seen."""
    fits, optics = line_covariances(model.fit)
    inputs = range(model.lines_at, model.lines_at + LINE_SIZE * model.count)
    yield Cause("line", inputs, fits)
    yield Cause("optics", inputs, optics)
