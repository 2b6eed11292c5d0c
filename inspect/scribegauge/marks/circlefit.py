"""The circle with the smallest sum of squared distances from given points."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

MOST_STEPS = 100
CLOSE_ENOUGH = 1e-13


@dataclass(frozen=True, slots=True)
class CircleFit:
    """A fitted circle.

    Attributes
    ----------
    centre_mm : ndarray, shape (2,), float64
    radius_mm : float
    covariance : ndarray, shape (3, 3), float64
        Of (centre x, centre y, radius) [mm²], from the points' scatter about the circle.
    residuals_mm : ndarray, shape (N,), float64
        Distance of each point from the circle, outwards positive.
    """

    centre_mm: NDArray[np.float64]
    radius_mm: float
    covariance: NDArray[np.float64]
    residuals_mm: NDArray[np.float64]


def fit_circle(
    points_mm: NDArray[np.float64], weights: NDArray[np.float64] | None = None
) -> CircleFit:
    """Fit a circle by geometric (orthogonal) least squares.

    Gauss-Newton on the distances, from the circle that is best in the sense of
    ``x² + y² = 2 a x + 2 b y + c``.

    Parameters
    ----------
    points_mm : ndarray, shape (N, 2), float64
        At least three, not in one line.
    weights : ndarray, shape (N,), float64, or None
        Inverse variances up to a common factor.

    Raises
    ------
    ValueError
        When the points do not determine a circle.

    References
    ----------
    W. Gander, G. H. Golub, R. Strebel, Least-squares fitting of circles and ellipses, BIT 34
    (1994) 558-578, section 4.
    """
    points = np.asarray(points_mm, np.float64)
    weight = np.ones(len(points)) if weights is None else np.asarray(weights, np.float64)
    if np.count_nonzero(weight > 0) < 3:  # noqa: PLR2004 - a circle has three parameters
        msg = f"{np.count_nonzero(weight > 0)} points; a circle needs three"
        raise ValueError(msg)
    root = np.sqrt(weight)[:, None]
    middle = np.average(points, axis=0, weights=weight)
    away = points - middle
    centre, radius = _first_circle(away, root)
    for _ in range(MOST_STEPS):
        distance = np.hypot(*(away - centre).T)
        slopes = np.column_stack([(away - centre) / np.maximum(distance, 1e-12)[:, None], distance])
        slopes[:, 2] = 1.0
        step, *_ = np.linalg.lstsq(slopes * root, root[:, 0] * (distance - radius), rcond=None)
        centre, radius = centre + step[:2], radius + step[2]
        if np.abs(step).max() < CLOSE_ENOUGH * max(1.0, radius):
            break
    residuals = np.hypot(*(away - centre).T) - radius
    freedom = max(int(np.count_nonzero(weight > 0)) - 3, 1)
    variance = float(weight @ residuals**2) / freedom
    covariance = np.linalg.inv((slopes * root).T @ (slopes * root)) * variance
    return CircleFit(middle + centre, float(radius), np.asarray(covariance), residuals)


def _first_circle(
    away: NDArray[np.float64], root: NDArray[np.float64]
) -> tuple[NDArray[np.float64], float]:
    """Return centre and radius of the circle that is linear in its unknowns."""
    size = max(float(np.abs(away).max()), 1e-12)
    scaled = away / size
    design = np.column_stack([2 * scaled, np.ones(len(away))]) * root
    solution, _, rank, _ = np.linalg.lstsq(design, root[:, 0] * (scaled**2).sum(axis=1), rcond=1e-9)
    if rank < 3:  # noqa: PLR2004 - three unknowns
        msg = "the points lie in one line"
        raise ValueError(msg)
    radius = float(np.sqrt(max(solution[2] + solution[:2] @ solution[:2], 1e-18)))
    return solution[:2] * size, radius * size
