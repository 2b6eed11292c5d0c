"""Plane geometry of straight lines given by two points. Plate frame, millimetres."""

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
# Sine of an angle below which two lines count as parallel.
PARALLEL = 1e-6


def directions(ends: Points) -> Points:
    """Return unit vectors (..., 2) of lines (..., 2, 2)."""
    step = ends[..., 1, :] - ends[..., 0, :]
    return np.asarray(step / np.linalg.norm(step, axis=-1, keepdims=True))


def normals(ends: Points) -> Points:
    """Return left normals (-dy, dx), shape (..., 2), of lines (..., 2, 2)."""
    along = directions(ends)
    return np.stack([-along[..., 1], along[..., 0]], axis=-1)


def meeting(first: Points, second: Points) -> Points:
    """Return where lines (..., 2, 2) meet pairwise, shape (..., 2); NaN when parallel."""
    p, q = first[..., 0, :], second[..., 0, :]
    d, e = directions(first), directions(second)
    cross = d[..., 0] * e[..., 1] - d[..., 1] * e[..., 0]
    gap = q - p
    along = gap[..., 0] * e[..., 1] - gap[..., 1] * e[..., 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = np.where(np.abs(cross) > PARALLEL, along / cross, np.nan)
    return np.asarray(p + reach[..., None] * d)


def offsets(line: Points, points: Points) -> NDArray[np.float64]:
    """Return signed distances (N,) of points (N, 2) from a line (2, 2)."""
    return np.asarray((points - line[0]) @ normals(line))


def moved(ends: Points, offset: float | Points, turn: float | Points) -> Points:
    """Shift lines (..., 2, 2) along their normals [mm] and turn them about their middles [rad]."""
    offset, turn = np.asarray(offset), np.asarray(turn)
    middle = ends.mean(axis=-2) + offset[..., None] * normals(ends)
    half = (ends[..., 1, :] - ends[..., 0, :]) / 2
    c, s = np.cos(turn), np.sin(turn)
    x, y = half[..., 0], half[..., 1]
    reach = np.stack([c * x - s * y, s * x + c * y], axis=-1)
    return np.stack([middle - reach, middle + reach], axis=-2)
