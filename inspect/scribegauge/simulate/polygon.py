"""Distances to a polygon's outline, and the corners and angles of a figure."""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def inside_by_mm(x_mm: Array, y_mm: Array, outline_mm: Array) -> tuple[Array, NDArray[np.int64]]:
    """Return how far points lie inside an outline, and which side is nearest.

    Parameters
    ----------
    x_mm, y_mm : ndarray, one shape
    outline_mm : ndarray, shape (n, 2)

    Returns
    -------
    distance : ndarray
        Positive inside, negative outside [mm].
    side : ndarray, int
        Side i runs from corner i to i + 1.
    """
    best = np.full(x_mm.shape, np.inf)
    side = np.zeros(x_mm.shape, np.int64)
    odd = np.zeros(x_mm.shape, bool)
    for number, (a, b) in enumerate(zip(outline_mm, np.roll(outline_mm, -1, axis=0), strict=True)):
        ex, ey = b - a
        px, py = x_mm - a[0], y_mm - a[1]
        share = np.clip((px * ex + py * ey) / (ex * ex + ey * ey), 0.0, 1.0)
        squared = (px - share * ex) ** 2 + (py - share * ey) ** 2
        nearer = squared < best
        best[nearer] = squared[nearer]
        side[nearer] = number
        if ey != 0:
            odd ^= ((py >= 0) != (y_mm >= b[1])) & (px < ex / ey * py)
    return np.where(odd, 1.0, -1.0) * np.sqrt(best), side


def outward_normals(outline_mm: Array) -> Array:
    """Return the unit normal of each side, pointing out of the outline, shape (n, 2)."""
    step = np.roll(outline_mm, -1, axis=0) - outline_mm
    after = np.roll(outline_mm, -1, axis=0)
    area = np.sum(outline_mm[:, 0] * after[:, 1] - outline_mm[:, 1] * after[:, 0])
    normal = np.column_stack([step[:, 1], -step[:, 0]]) * np.sign(area)
    unit: Array = normal / np.linalg.norm(normal, axis=1, keepdims=True)
    return unit


def meeting_points_mm(starts_mm: Array, ends_mm: Array) -> Array:
    """Return where line i - 1 and line i of a closed figure meet, shape (n, 2)."""
    a, d = np.roll(starts_mm, 1, axis=0), np.roll(ends_mm - starts_mm, 1, axis=0)
    b, e = starts_mm, ends_mm - starts_mm
    across = d[:, 0] * e[:, 1] - d[:, 1] * e[:, 0]
    share = ((b - a)[:, 0] * e[:, 1] - (b - a)[:, 1] * e[:, 0]) / across
    points: Array = a + share[:, None] * d
    return points


def sides_mm(corners_mm: Array) -> Array:
    """Return the length from each corner to the next, shape (n,)."""
    lengths: Array = np.linalg.norm(np.roll(corners_mm, -1, axis=0) - corners_mm, axis=1)
    return lengths


def inner_angles_deg(corners_mm: Array) -> Array:
    """Return the angle inside the figure at each corner, 0 to 360, shape (n,)."""
    back = np.roll(corners_mm, 1, axis=0) - corners_mm
    ahead = np.roll(corners_mm, -1, axis=0) - corners_mm
    turn = np.arctan2(
        ahead[:, 0] * back[:, 1] - ahead[:, 1] * back[:, 0], np.sum(ahead * back, axis=1)
    )
    after = np.roll(corners_mm, -1, axis=0)
    area = np.sum(corners_mm[:, 0] * after[:, 1] - corners_mm[:, 1] * after[:, 0])
    angles: Array = np.degrees(np.mod(turn * np.sign(area), 2 * np.pi))
    return angles


def turned(points: Array, angle_deg: float) -> Array:
    """Turn points, shape (N, 2), about the origin; positive is from x to y."""
    angle = np.radians(angle_deg)
    cos, sin = np.cos(angle), np.sin(angle)
    return np.column_stack(
        [cos * points[:, 0] - sin * points[:, 1], sin * points[:, 0] + cos * points[:, 1]]
    )
