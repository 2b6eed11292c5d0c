"""A sheet that is not quite flat, as correlated noise of its corners.

Paper that bulges by a few tenths of a millimetre moves neighbouring corners together, much of it in
ways that look like another focal length or another tilt. Taken as independent noise such corners
would average away; taken as what it is, a smooth random surface of unknown height, the bulge
enters the covariance as far as the photo cannot tell it from the camera. How high the surface is,
and how much of the stated noise of the corners is needed, comes from the corners themselves by
restricted maximum likelihood.

References
----------
C. E. Rasmussen, C. K. I. Williams, Gaussian Processes for Machine Learning (2006), 2.2 and 5.4;
D. A. Harville, J. Am. Stat. Assoc. 72 (1977) 320-338, doi:10.2307/2286796.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import null_space
from scipy.optimize import minimize

Array = NDArray[np.float64]

# What paper does, as shares of a side (sigma of a Gaussian) with their variances: bows as a whole,
# and cockles. It stretches in its plane far less than it rises. Tried on sheets bowed, twisted,
# cockled and with a corner up: 95 % of errors over 50 mm within U (tests).
_SURFACES = ((1.0, 1.0), (0.3, 0.2))
_IN_PLANE_SHARE = 0.1
# Heights tried first [mm], and shares of the stated noise.
_HEIGHTS_MM = (1e-5, 3e-4, 3e-3, 1e-2, 3e-2, 0.1, 0.3, 1.0)
_SHARES = (10.0, 3.0, 1.0, 0.3, 0.1)
# Logarithms of the limits of both: from nothing to a sheet that is no sheet.
_LEAST, _MOST = np.log([0.03, 1e-6]), np.log([1000.0, 5.0])


@dataclass(frozen=True, slots=True)
class Ripple:
    """Noise of corners, their own and the sheet's.

    Attributes
    ----------
    height_mm : float
        How high the surface is (standard deviation of its larger part).
    sag_mm : float
        How far the sheet amid its corners lies from their plane (standard deviation): there the
        plate is, and no corner shows it.
    noise_share : float
        The corners' own noise over the one stated.
    own, sheet : ndarray, shape (2N, 2N), float64
        Covariances of corners, x and y in turn [px²].
    log_likelihood : float
        Restricted to what the pose cannot absorb; comparable between cameras for one photo.
    """

    height_mm: float
    sag_mm: float
    noise_share: float
    own: Array
    sheet: Array
    log_likelihood: float


@dataclass(frozen=True, slots=True)
class Absorbed:
    """What may move all corners together for other reasons than the sheet.

    Attributes
    ----------
    by_pose : ndarray, shape (2N, 6)
        How the pose, of which nothing is known, moves the corners.
    doubt_px : ndarray, shape (2N, M)
        Square root of the covariance that the doubt about lens and print makes.
    """

    by_pose: Array
    doubt_px: Array


def estimate_ripple(
    drawn_mm: Array,
    sigma_px: Array,
    by_points: Array,
    residual_px: Array,
    absorbed: Absorbed,
    before: Ripple | None = None,
) -> Ripple:
    """Estimate how high a smooth surface the corners lie on.

    Parameters
    ----------
    drawn_mm : ndarray, shape (N, 2)
    sigma_px : ndarray, shape (N,)
        Stated noise of each corner along either axis.
    by_points : ndarray, shape (N, 2, 3)
        How corners move in the photo with x, y, z on the sheet [px/mm].
    residual_px : ndarray, shape (2N,)
        Seen minus predicted with lens and print as known beforehand, x and y in turn.
    absorbed : Absorbed
    before : Ripple, optional
        What was found with other slopes, to start from.
    """
    spread = _surface(drawn_mm, by_points)
    sigma = np.repeat(sigma_px, 2)
    likelihood = _likelihood(spread, sigma, residual_px, absorbed)
    if before is None:
        starts = [np.log([share, height]) for share in _SHARES for height in _HEIGHTS_MM]
        start = min(starts, key=likelihood.loss)
    else:
        start = np.log([before.noise_share, before.height_mm])
    simplex = start + np.array([[0.0, 0.0], [0.5, 0.0], [0.0, 0.5]])
    # A twentieth of the logarithm is finer than any height is known from so few corners.
    options = {"initial_simplex": simplex, "xatol": 0.05, "fatol": 0.05, "maxfev": 80}
    found = minimize(likelihood.loss, start, method="Nelder-Mead", options=options)
    share, height = _bounded(found.x)
    own = np.diag((share * sigma) ** 2)
    sag = height * _sag(drawn_mm)
    return Ripple(height, sag, share, own, height**2 * spread, -float(found.fun))


@dataclass(frozen=True, slots=True)
class _Likelihood:
    """Corners in their own standard uncertainties, along axes in which the surface is diagonal.

    Attributes
    ----------
    residual : ndarray, shape (K,)
    heights : ndarray, shape (K,)
        Variance along each axis of a surface of 1 mm.
    doubt : ndarray, shape (K, 11)
        Square root of the covariance that the doubt about lens and print makes.
    """

    residual: Array
    heights: Array
    doubt: Array

    def loss(self, logs: Array) -> float:
        """Return minus the logarithm of the likelihood, up to a constant."""
        share, height = _bounded(logs)
        variance = share**2 + height**2 * self.heights
        scaled = self.doubt / variance[:, None]
        inner = np.eye(self.doubt.shape[1]) + self.doubt.T @ scaled
        pull = scaled.T @ self.residual
        fit = (self.residual**2 / variance).sum() - pull @ np.linalg.solve(inner, pull)
        size = np.log(variance).sum() + np.linalg.slogdet(inner)[1]
        return float(fit + size) / 2


def _likelihood(spread: Array, sigma: Array, residual_px: Array, absorbed: Absorbed) -> _Likelihood:
    """Rotate everything into what the pose leaves free, and there into the surface's own axes."""
    free = null_space((absorbed.by_pose / sigma[:, None]).T)
    heights, axes = np.linalg.eigh(free.T @ (spread / np.outer(sigma, sigma)) @ free)
    turn = (free @ axes).T
    return _Likelihood(
        turn @ (residual_px / sigma),
        np.maximum(heights, 0.0),
        turn @ (absorbed.doubt_px / sigma[:, None]),
    )


def _bounded(logs: Array) -> tuple[float, float]:
    share, height = np.exp(np.clip(logs, _LEAST, _MOST))
    return float(share), float(height)


def _surface(drawn_mm: Array, by_points: Array) -> Array:
    """Return the covariance (2N, 2N) [px²] that a smooth surface of 1 mm makes."""
    alike = _alike(drawn_mm, drawn_mm, _side_mm(drawn_mm))
    shares = np.array([_IN_PLANE_SHARE, _IN_PLANE_SHARE, 1.0])
    slopes = by_points * shares
    covariance = np.einsum("nia,mja,nm->nimj", slopes, slopes, alike)
    size = 2 * len(drawn_mm)
    return np.asarray(covariance.reshape(size, size))


def _sag(drawn_mm: Array) -> float:
    """Return how far amid its corners a surface of 1 mm lies from their mean (standard)."""
    side = _side_mm(drawn_mm)
    low, high = drawn_mm.min(axis=0), drawn_mm.max(axis=0)
    middle = (low + high)[None] / 2
    among = _alike(drawn_mm, drawn_mm, side).mean()
    own = _alike(middle, middle, side)[0, 0]
    return float(np.sqrt(own - 2 * _alike(middle, drawn_mm, side).mean() + among))


def _side_mm(drawn_mm: Array) -> float:
    return float(np.ptp(drawn_mm, axis=0).max())


def _alike(points_mm: Array, others_mm: Array, side_mm: float) -> Array:
    """Return the covariance of heights (N, M) between points of a surface of 1 mm."""
    apart = ((points_mm[:, None] - others_mm[None]) ** 2).sum(axis=2) / side_mm**2
    terms = [size * np.exp(-apart / (2 * reach**2)) for reach, size in _SURFACES]
    return np.asarray(sum(terms))
