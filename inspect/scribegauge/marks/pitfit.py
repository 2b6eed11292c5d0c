"""One prick's place and size, from the photo's own pixels around it."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.markpath import Mark, beside
from scribegauge.marks.pitshape import NARROWEST_MM, WIDEST_MM, PitTable, pit_parts
from scribegauge.plate.face import Face

PATCH_MM = 0.55
# The middle of 0.12 to 0.5 mm across on a log scale, less a little: most are small.
TYPICAL_RADIUS_MM = 0.115
ROUNDS = 15
# Where all is one grey level nothing moves anything: no step and no knowledge, not no solution.
NOTHING = 1e-9
SETTLED_MM = 3e-4
# Cauchy weights: residuals of three times the spread count a half.
ROBUST = 3.0
# A pit is no perfect cone: what the model leaves is at least this share of its depth.
MODEL_SHARE = 0.05
BROAD = 1000.0
STROKE_BELIEF = 60.0


@dataclass(frozen=True, slots=True)
class Patch:
    """Pixels around a place.

    Attributes
    ----------
    centre_mm : ndarray, shape (2,), float64
        Plate frame.
    places_mm : ndarray, shape (N, 2), float64
        Of the pixels, relative to the centre.
    grey : ndarray, shape (N,), float64
        Brightness minus the patch's median.
    """

    centre_mm: NDArray[np.float64]
    places_mm: NDArray[np.float64]
    grey: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Beliefs:
    """What is thought of a pit before looking; standard deviations [grey levels].

    Attributes
    ----------
    wall_side, burr, burr_side : float
        How much brighter one side of the wall, the burr, and one side of the burr may be.
    spread : float
        Of the logarithm of the radius.
    across : float
        The sides across the patch's x axis against those along it.
    """

    wall_side: float
    burr: float
    burr_side: float
    spread: float
    across: float = 1.0


# A pit that is all dark or all bright, and one that is lit from a side. The first errs towards the
# stronger half, the second towards the weaker one.
EVEN = Beliefs(wall_side=3.0, burr=15.0, burr_side=2.0, spread=0.3)
UNEVEN = Beliefs(wall_side=25.0, burr=40.0, burr_side=40.0, spread=0.15)
# A pit lit along the patch's x axis, for a patch turned so that the axis points away from the lamp.
LIT = Beliefs(wall_side=50.0, burr=40.0, burr_side=40.0, spread=0.15, across=0.1)


@dataclass(frozen=True, slots=True)
class PitFit:
    """A pit in a patch: centre relative to the patch's [mm], radius, wall's brightness, spread.

    ``side`` is how much brighter the wall is towards the patch's x axis; ``covariance`` (2, 2) is
    the centre's; ``noise`` is the spread of what is left and ``left`` its mean size [grey levels].
    """

    centre_mm: NDArray[np.float64]
    radius_mm: float
    depth: float
    side: float
    covariance: NDArray[np.float64]
    noise: float
    left: float


@dataclass(frozen=True, slots=True)
class _Problem:
    patch: Patch
    strokes: NDArray[np.float64]
    table: PitTable
    beliefs: Beliefs
    deviations: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _State:
    amplitudes: NDArray[np.float64]
    left: NDArray[np.float64]
    scaled: NDArray[np.float64]


def cut_patch(grey: NDArray[np.uint8], face: Face, centre_mm: NDArray[np.float64]) -> Patch:
    """Collect the pixels within reach of a place on the plate.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    centre_mm : ndarray, shape (2,), float64
    """
    steps = np.array([[0.0, 0.0], [0.5, 0.0], [-0.5, 0.0], [0.0, 0.5], [0.0, -0.5]])
    px = face.photo_from_plate(centre_mm + steps)
    photo_from_plate = np.column_stack([px[1] - px[2], px[3] - px[4]])
    reach = PATCH_MM * float(np.linalg.norm(photo_from_plate, 2)) + 1
    low = np.maximum(np.floor(px[0] - reach).astype(int), 0)
    high = np.minimum(np.ceil(px[0] + reach).astype(int) + 1, grey.shape[::-1])
    y, x = np.mgrid[low[1] : high[1], low[0] : high[0]]
    away = np.column_stack([x.ravel(), y.ravel()]) - px[0]
    places = away @ np.linalg.inv(photo_from_plate).T
    near = np.hypot(places[:, 0], places[:, 1]) < PATCH_MM
    values = grey[y.ravel()[near], x.ravel()[near]].astype(np.float64)
    return Patch(centre_mm, places[near], values - np.median(values))


def left_without_pit(patch: Patch, strokes: NDArray[np.float64]) -> float:
    """Return the mean size of what is left when strokes alone are fitted [grey levels].

    Robust as the pit's own fit, for comparison with `PitFit.left`.
    """
    design = np.column_stack([np.ones(len(patch.grey)), strokes])
    weights = np.ones(len(patch.grey))
    for _ in range(ROUNDS):
        normal = (design.T * weights) @ design + 1e-9 * np.eye(design.shape[1])
        left = patch.grey - design @ np.linalg.solve(normal, design.T @ (weights * patch.grey))
        noise = 1.4826 * float(np.median(np.abs(left))) + 0.5
        weights = 1 / (1 + (left / (ROBUST * noise)) ** 2)
    return float(np.mean(np.abs(left)))


def turned(patch: Patch, axis: NDArray[np.float64]) -> Patch:
    """Return a patch with the plate direction (2,) as its x axis; its centre stays a plate place."""
    return replace(patch, places_mm=patch.places_mm @ np.column_stack([axis, [-axis[1], axis[0]]]))


def strokes_near(patch: Patch, marks: tuple[Mark, ...], blur_mm: float) -> NDArray[np.float64]:
    """Return what known marks may add to the patch, one even and one odd profile each (N, K)."""
    columns = []
    for mark in marks:
        across, on = beside(mark, patch.centre_mm + patch.places_mm, blur_mm)
        if np.abs(across).min() > mark.width_mm or not on.any():
            continue
        # A box of width w has the standard deviation w / sqrt(12).
        unit = across / np.hypot(blur_mm, mark.width_mm / np.sqrt(12))
        columns += [np.exp(-0.5 * unit**2) * on, unit * np.exp(-0.5 * unit**2) * on]
    return np.column_stack(columns) if columns else np.zeros((len(patch.grey), 0))


def fit_pit(
    patch: Patch,
    strokes: NDArray[np.float64],
    table: PitTable,
    beliefs: Beliefs,
    start_mm: NDArray[np.float64],
) -> PitFit:
    """Fit a pit from a first guess of its centre.

    Brightnesses are linear and solved for exactly at each step; centre and log radius follow by
    damped Gauss-Newton on what is left (variable projection: G. H. Golub, V. Pereyra, SIAM J.
    Numer. Anal. 10 (1973) 413-432), with Cauchy weights and Gaussian beliefs.

    Parameters
    ----------
    patch : Patch
    strokes : ndarray, shape (N, K), float64
        Lines that run through; hidden inside the rim, where the pit is deeper.
    table : PitTable
    beliefs : Beliefs
    start_mm : ndarray, shape (2,), float64
        Relative to the patch's centre.
    """
    problem = _Problem(patch, strokes, table, beliefs, _deviations(beliefs, strokes.shape[1]))
    point = np.array([start_mm[0], start_mm[1], np.log(TYPICAL_RADIUS_MM)])
    weights, noise, damping = np.ones(len(patch.grey)), 4.0, 1e-2
    state = _solve(problem, point, weights, noise)
    for _ in range(ROUNDS):
        spread = 1.4826 * float(np.median(np.abs(state.left))) + 0.5
        noise = float(np.hypot(spread, MODEL_SHARE * state.amplitudes[1]))
        weights = 1 / (1 + (state.left / (ROBUST * noise)) ** 2)
        state = _solve(problem, point, weights, noise)
        slopes = _slopes(problem, point, weights, noise, state)
        normal, aim = slopes.T @ slopes, slopes.T @ state.scaled
        moved = False
        for _attempt in range(5):
            lifted = normal + damping * np.diag(np.diag(normal) + NOTHING)
            step = np.clip(-np.linalg.solve(lifted, aim), [-0.04, -0.04, -0.3], [0.04, 0.04, 0.3])
            trial = point + step
            trial[2] = np.clip(trial[2], np.log(NARROWEST_MM), np.log(WIDEST_MM))
            tried = _solve(problem, trial, weights, noise)
            if tried.scaled @ tried.scaled < state.scaled @ state.scaled:
                point, state, moved = trial, tried, True
                damping = max(damping / 4, 1e-4)
                break
            damping *= 6
        if not moved or np.abs(step[:2]).max() < SETTLED_MM:
            break
    covariance = np.asarray(np.linalg.inv(normal + NOTHING * np.eye(3))[:2, :2], np.float64)
    radius = float(np.exp(point[2]))
    left = float(np.mean(np.abs(state.left)))
    depth, side = state.amplitudes[1:3]
    return PitFit(point[:2], radius, float(depth), float(side), covariance, noise, left)


def _deviations(beliefs: Beliefs, strokes: int) -> NDArray[np.float64]:
    """Return the standard deviations of all brightnesses, in the order of the design's columns."""
    lit = np.array([1.0, beliefs.across])
    sides, burr_sides = beliefs.wall_side * lit, beliefs.burr_side * lit
    return np.array([BROAD, BROAD, *sides, beliefs.burr, *burr_sides, *[STROKE_BELIEF] * strokes])


def _solve(
    problem: _Problem, point: NDArray[np.float64], weights: NDArray[np.float64], noise: float
) -> _State:
    """Solve for the brightnesses at one centre and log radius (3,)."""
    patch = problem.patch
    parts = pit_parts(problem.table, patch.places_mm - point[:2], float(point[2]))
    hidden = problem.strokes * (1 - parts[:, :1])
    design = np.column_stack([np.ones(len(patch.grey)), parts, hidden])
    normal = (design.T * (weights / noise**2)) @ design + np.diag(problem.deviations**-2.0)
    aim = design.T @ (weights * patch.grey) / noise**2
    amplitudes = np.asarray(np.linalg.solve(normal, aim), np.float64)
    left = patch.grey - design @ amplitudes
    belief = (point[2] - np.log(TYPICAL_RADIUS_MM)) / problem.beliefs.spread
    scaled = np.concatenate(
        [np.sqrt(weights) * left / noise, amplitudes / problem.deviations, np.array([belief])]
    )
    return _State(amplitudes, left, scaled)


def _slopes(
    problem: _Problem,
    point: NDArray[np.float64],
    weights: NDArray[np.float64],
    noise: float,
    state: _State,
) -> NDArray[np.float64]:
    """Return the change of everything that is left with centre and log radius, by differences."""
    columns = []
    for axis, step in enumerate((1e-3, 1e-3, 1e-2)):
        aside = point.copy()
        aside[axis] += step
        columns.append((_solve(problem, aside, weights, noise).scaled - state.scaled) / step)
    return np.column_stack(columns)
