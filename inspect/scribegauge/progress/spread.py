"""Means and roots of mean squares of measured errors, with the uncertainty of both."""

import math

import numpy as np
from numpy.typing import NDArray

from scribegauge.progress.record import Measured


def root_mean_square(
    errors: NDArray[np.float64], covariance: NDArray[np.float64], shared: float
) -> Measured:
    """Return the root of the mean square error, less what measuring alone adds to it.

    Measured errors are true ones plus the measuring's, so their mean square is too large by
    trace(C)/n, and a better camera would look like a better hand.

    Parameters
    ----------
    errors : ndarray, shape (n,), float64
    covariance : ndarray, shape (n, n), float64
        Of the measuring.
    shared : float
        Share of U that all photos of one camera and sheet have in common, 0 to 1.

    Returns
    -------
    Measured
        U is the farther side of the interval of the mean square at k = 2; the value is 0 where
        measuring explains all of it.

    References
    ----------
    Mean and variance of a quadratic form of normal variables: S. R. Searle, Linear Models (1971),
    chapter 2, theorems 1 and 4: var = 2 tr(C²) + 4 μᵀCμ; μᵀCμ is estimated by eᵀCe − tr(C²).
    """
    count = len(errors)
    noise = float(np.trace(covariance))
    squares = float(np.trace(covariance @ covariance))
    mean_square = max((float(errors @ errors) - noise) / count, 0.0)
    variance = max(4 * float(errors @ covariance @ errors) - 2 * squares, 2 * squares)
    return _rooted(mean_square, math.sqrt(variance) / count, shared)


def root_mean_square_distance(
    distances: NDArray[np.float64], u: NDArray[np.float64], shared: float
) -> Measured:
    """Return the root of the mean square of distances in a plane, less what measuring adds.

    Parameters
    ----------
    distances, u : ndarray, shape (n,), float64
        With their standard uncertainties in either direction.
    shared : float
        As in `root_mean_square`.
    """
    # Twice as in one dimension: r² = x² + y² with independent parts.
    mean_square = max(float(np.mean(distances**2 - 2 * u**2)), 0.0)
    variance = np.maximum(4 * u**2 * distances**2 - 4 * u**4, 4 * u**4)
    return _rooted(mean_square, math.sqrt(float(variance.sum())) / len(u), shared)


def mean_of(
    values: NDArray[np.float64], covariance: NDArray[np.float64], shared: float
) -> Measured:
    """Return the mean with its U (k = 2).

    Parameters
    ----------
    values : ndarray, shape (n,), float64
    covariance : ndarray, shape (n, n), float64
    shared : float
        As in `root_mean_square`.
    """
    expanded = 2 * math.sqrt(max(float(covariance.sum()), 0.0)) / len(values)
    return Measured(float(values.mean()), expanded, shared * expanded)


def drift_of(
    values: NDArray[np.float64], covariance: NDArray[np.float64], shared: float
) -> Measured:
    """Return by how much each value is larger than the one before, by least squares."""
    place = np.arange(len(values)) - (len(values) - 1) / 2
    weights = place / float(place @ place)
    expanded = 2 * math.sqrt(max(float(weights @ covariance @ weights), 0.0))
    return Measured(float(weights @ values), expanded, shared * expanded)


def _rooted(mean_square: float, u_mean_square: float, shared: float) -> Measured:
    root = math.sqrt(mean_square)
    above = math.sqrt(mean_square + 2 * u_mean_square) - root
    below = root - math.sqrt(max(mean_square - 2 * u_mean_square, 0.0))
    expanded = max(above, below)
    return Measured(root, expanded, shared * expanded)
