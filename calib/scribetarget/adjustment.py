"""Least squares for one photo: 17 parameters from corners, with what was known before."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve_triangular

from scribetarget.camera import Camera
from scribetarget.printscale import PrintScale
from scribetarget.slopes import project_with_slopes

Array = NDArray[np.float64]

_MOST_ROUNDS = 40
_SETTLED = 1e-9  # of the cost
_MOST_DAMPING = 1e6


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of lens and print before the photo is looked at; nothing of the pose.

    Attributes
    ----------
    values : ndarray, shape (17,)
        In the order of `scribetarget.view.VIEW_NAMES`, noughts for the pose.
    root : ndarray, shape (17, 11)
        Square root R of the covariance R R', noughts for the pose.
    information : ndarray, shape (17, 17)
        Inverse of the covariance where there is one, noughts for the pose.
    """

    values: Array
    root: Array
    information: Array


@dataclass(frozen=True, slots=True)
class Prediction:
    """Where corners should be, and how that moves.

    Attributes
    ----------
    places_px : ndarray, shape (N, 2)
    by_values : ndarray, shape (2N, 17)
        x and y of a corner in turn.
    by_points : ndarray, shape (N, 2, 3)
        With x, y and z on the printed sheet [px/mm].
    """

    places_px: Array
    by_values: Array
    by_points: Array


def known_of(camera: Camera, scale: PrintScale) -> Known:
    """Join what is known of a camera and of a print."""
    values = np.concatenate([camera.values, np.zeros(6), scale.values])
    root, information = np.zeros((17, 11)), np.zeros((17, 17))
    root[:9, :9] = np.linalg.cholesky(camera.covariance)
    root[15:, 9:] = np.linalg.cholesky(scale.covariance)
    information[:9, :9] = inverse_of(camera.covariance)
    information[15:, 15:] = inverse_of(scale.covariance)
    return Known(values, root, information)


def predict(drawn_mm: Array, values: Array) -> Prediction:
    """Predict where points of the sheet, (N, 3) [mm] as drawn, are in the photo."""
    places, by_values, by_points = project_with_slopes(values, drawn_mm * [*values[15:17], 1.0])
    by_scale = by_points[:, :, :2] * drawn_mm[:, None, :2]
    slopes = np.concatenate([by_values, by_scale], axis=2)
    return Prediction(places, slopes.reshape(-1, 17), by_points)


def settle(
    drawn_mm: Array, seen_px: Array, noise: Array, known: Known, start: Array
) -> tuple[Array, Array]:
    """Find the most probable parameters (Levenberg and Marquardt).

    Parameters
    ----------
    drawn_mm : ndarray, shape (N, 3)
    seen_px : ndarray, shape (N, 2)
    noise : ndarray, shape (2N, 2N)
        Covariance of the corners, x and y in turn [px²].
    known : Known
    start : ndarray, shape (17,)

    Returns
    -------
    values : ndarray, shape (17,)
    slopes : ndarray, shape (2N, 17)
        Of the corners at `values`.
    """
    whitener = _whitener(noise)
    values, damping = start, 1e-3
    now = predict(drawn_mm, values)
    rest = whitener @ (seen_px - now.places_px).ravel()
    cost = _cost(rest, values, known)
    for _ in range(_MOST_ROUNDS):
        slopes = whitener @ now.by_values
        normal = slopes.T @ slopes + known.information
        gradient = slopes.T @ rest - known.information @ (values - known.values)
        while True:
            tried = values + np.linalg.solve(normal + damping * np.diag(np.diag(normal)), gradient)
            new = predict(drawn_mm, tried)
            new_rest = whitener @ (seen_px - new.places_px).ravel()
            gain = cost - _cost(new_rest, tried, known)
            if gain >= 0 or damping > _MOST_DAMPING:
                break
            damping *= 10
        if gain < 0:
            break
        values, now, rest, cost = tried, new, new_rest, cost - gain
        damping /= 10
        if gain <= _SETTLED * max(cost, 1.0):
            break
    return values, now.by_values


def inverse_of(matrix: Array) -> Array:
    """Invert a covariance whose rows have very different units."""
    size = np.sqrt(np.diag(matrix))
    return np.asarray(np.linalg.inv(matrix / np.outer(size, size)) / np.outer(size, size))


def _whitener(noise: Array) -> Array:
    """Return W with W'W the inverse of a covariance."""
    root = np.linalg.cholesky(noise)
    return np.asarray(solve_triangular(root, np.eye(len(noise)), lower=True))


def _cost(rest: Array, values: Array, known: Known) -> float:
    away = values - known.values
    cost = float(rest @ rest + away @ known.information @ away)
    return cost if np.isfinite(cost) else np.inf
