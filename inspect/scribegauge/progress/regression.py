"""Straight lines through measured values: measuring uncertainty is known, the hand's scatter not."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.stats import t as student

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Values:
    """Measured values, and what their uncertainty has in common.

    Attributes
    ----------
    values : ndarray, shape (n,), float64
    u_own, u_shared : ndarray, shape (n,), float64
        Standard uncertainties: each value's own part, and the part that all of its group share.
    groups : ndarray, shape (n,), int
        Values with the same number were measured with the same camera and sheet.
    """

    values: Array
    u_own: Array
    u_shared: Array
    groups: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Estimate:
    """Coefficients by generalised least squares.

    Attributes
    ----------
    coefficients : ndarray, shape (p,), float64
    covariance : ndarray, shape (p, p), float64
    scatter : float
        Standard deviation from plate to plate that measuring does not explain.
    degrees_of_freedom : int
    """

    coefficients: Array
    covariance: Array
    scatter: float
    degrees_of_freedom: int

    def half_width(self, which: int, confidence: float = 0.95) -> float:
        """Return half of a coefficient's two-sided confidence interval."""
        factor = student.ppf(0.5 + confidence / 2, self.degrees_of_freedom)
        return float(factor) * float(np.sqrt(self.covariance[which, which]))

    def chance(self, which: int) -> float:
        """Return how often a coefficient of 0 would look as far off as this one (p value)."""
        spread = float(np.sqrt(self.covariance[which, which]))
        if spread <= 0:
            return 0.0 if self.coefficients[which] else 1.0
        off = abs(float(self.coefficients[which])) / spread
        return float(2 * student.sf(off, self.degrees_of_freedom))


def estimate(design: Array, measured: Values) -> Estimate:
    """Fit coefficients; the scatter is whatever makes the residuals as large as they are.

    Parameters
    ----------
    design : ndarray, shape (n, p), float64
        Of full column rank, n > p.
    measured : Values

    Raises
    ------
    ValueError
        When there are no more values than coefficients, or columns depend on each other.

    References
    ----------
    R. C. Paule and J. Mandel, J. Res. Natl. Bur. Stand. 87 (1982) 377, doi:10.6028/jres.087.022,
    with a design matrix and covariance in place of a mean and variances: the scatter is the one at
    which the weighted sum of squares equals its degrees of freedom, or 0.
    """
    count, width = design.shape
    freedom = int(count - width)
    if freedom < 1 or np.linalg.matrix_rank(design) < width:
        raise ValueError("too few or too similar values for this many coefficients")

    def excess(variance: float) -> float:
        return float(_solve(design, measured, variance)[2]) - freedom

    # Not quite nothing: Woodbury's identity subtracts numbers that are shared**2 / least apart.
    size = np.var(measured.values) + np.mean(measured.u_own**2 + measured.u_shared**2)
    least = 1e-9 * max(float(size), 1e-15)
    variance = least
    if excess(least) > 0:
        most = max(float(np.var(measured.values)), least) * 2
        while excess(most) > 0:
            most *= 4
        variance = float(brentq(excess, least, most, xtol=least, rtol=1e-10))
    coefficients, covariance, _ = _solve(design, measured, variance)
    scatter = float(np.sqrt(variance)) if variance > least else 0.0
    return Estimate(coefficients, covariance, scatter, freedom)


def columns_of(labels: Sequence[str]) -> Array:
    """Return a column of zeros and ones for every label, in the order of first appearance."""
    known = list(dict.fromkeys(labels))
    return np.array([[float(label == each) for each in known] for label in labels])


def _solve(design: Array, measured: Values, variance: float) -> tuple[Array, Array, float]:
    """Return coefficients, their covariance and the weighted sum of squared residuals.

    V = diag + Z Zᵀ with a column of Z for each group: its inverse by Woodbury's identity, so that
    many values need no large matrix.
    """
    weights = 1 / (measured.u_own**2 + variance)
    known, where = np.unique(measured.groups, return_inverse=True)
    shared = np.zeros((len(weights), len(known)))
    shared[np.arange(len(weights)), where] = measured.u_shared
    own = np.eye(len(known)) + shared.T @ (weights[:, None] * shared)
    inner = np.asarray(np.linalg.inv(own), dtype=np.float64)

    def weighted(columns: Array) -> Array:
        first = weights[:, None] * columns
        return np.asarray(first - weights[:, None] * (shared @ (inner @ (shared.T @ first))))

    by_weight = weighted(design)
    covariance = np.asarray(np.linalg.inv(design.T @ by_weight), dtype=np.float64)
    coefficients = covariance @ (by_weight.T @ measured.values)
    residuals = measured.values - design @ coefficients
    total = float(residuals @ weighted(residuals[:, None])[:, 0])
    return coefficients, covariance, total
