"""Geometry of a polygon given by its vertices in order.

Side i runs from vertex i to vertex i + 1. With y pointing down, as in a layout and on the plate,
a positive area means clockwise to the viewer; sides, angles and turns do not depend on it.
"""

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


def side_lengths_mm(vertices_mm: Points) -> NDArray[np.float64]:
    """Length of each side.

    Parameters
    ----------
    vertices_mm : ndarray, shape (n, 2), float64

    Returns
    -------
    ndarray, shape (n,), float64
        From vertex i to vertex i + 1 [mm].
    """
    return np.asarray(np.hypot(*_side_vectors(vertices_mm).T))


def signed_area_mm2(vertices_mm: Points) -> float:
    """Area by the shoelace formula; positive when the turn from x to y leads round the figure.

    Parameters
    ----------
    vertices_mm : ndarray, shape (n, 2), float64

    Returns
    -------
    float
        [mm²]; 0 without any vertex.
    """
    if len(vertices_mm) == 0:
        return 0.0
    near = vertices_mm - vertices_mm.mean(axis=0)  # far from the origin the products would cancel
    return 0.5 * float(_cross(near, np.roll(near, -1, axis=0)).sum())


def inside_angles_deg(vertices_mm: Points) -> NDArray[np.float64]:
    """Angle inside the figure at each vertex, for either handedness.

    Parameters
    ----------
    vertices_mm : ndarray, shape (n, 2), float64
        A polygon that does not cross itself.

    Returns
    -------
    ndarray, shape (n,), float64
        0 to 360 degrees; more than 180 at a corner that points inwards. The sum is
        (n − 2) · 180.
    """
    ahead = _side_vectors(vertices_mm)
    behind = np.roll(ahead, 1, axis=0)
    turn = np.arctan2(_cross(behind, ahead), (behind * ahead).sum(axis=1))
    hand = np.copysign(1.0, signed_area_mm2(vertices_mm))
    return np.asarray(180.0 - hand * np.degrees(turn))


def rotations_that_match(vertices_mm: Points, tolerance_mm: float) -> list[int]:
    """Ways to name the vertices anew so that the figure cannot be told from itself.

    Parameters
    ----------
    vertices_mm : ndarray, shape (n, 2), float64
    tolerance_mm : float
        How far a vertex may be from the one whose place it takes [mm].

    Returns
    -------
    list of int
        Each k for which a turn (never a mirror image) takes every vertex i to vertex i + k; 0
        always belongs to them. A square has four, a rectangle two.
    """
    # Turned figures differ by a unit complex factor about the centre of their vertices.
    points = (vertices_mm - vertices_mm.mean(axis=0)) @ np.array([1.0, 1.0j])
    return [
        k
        for k in range(len(points))
        if k == 0 or _best_turn_misses_mm(points, np.roll(points, -k)) <= tolerance_mm
    ]


def clashing_sides(vertices_mm: Points, touch_mm: float) -> list[tuple[int, int]]:
    """Pairs of sides without a common vertex that cross, or come closer than `touch_mm`.

    Parameters
    ----------
    vertices_mm : ndarray, shape (n, 2), float64
    touch_mm : float
        Closer than this two sides cannot be scribed apart [mm].

    Returns
    -------
    list of (int, int)
        Side numbers, the smaller first.
    """
    n = len(vertices_mm)
    pairs = [(i, j) for i in range(n) for j in range(i + 2, n) if (j + 1) % n != i]
    return [(i, j) for i, j in pairs if _gap_mm(vertices_mm, i, j) < touch_mm]


def least_square_mm(vertices_mm: Points) -> float:
    """Side of the smallest square that the figure fits into, turned any way.

    Parameters
    ----------
    vertices_mm : ndarray, shape (n, 2), float64

    Returns
    -------
    float
        [mm], to better than 0.001 mm for anything that fits on a table.
    """
    centre_rad, half_rad, best_mm = np.pi / 4, np.pi / 4, np.inf
    for _ in range(4):  # 900 directions in a quarter turn, then finer about the best of them
        angles = centre_rad + half_rad * np.linspace(-1, 1, 901)
        along = np.stack([np.cos(angles), np.sin(angles)])
        across = np.stack([-np.sin(angles), np.cos(angles)])
        widths = np.maximum(
            np.ptp(vertices_mm @ along, axis=0), np.ptp(vertices_mm @ across, axis=0)
        )
        best_mm = min(best_mm, float(widths.min()))
        centre_rad, half_rad = float(angles[widths.argmin()]), half_rad / 200
    return best_mm


def _side_vectors(vertices_mm: Points) -> Points:
    return np.roll(vertices_mm, -1, axis=0) - vertices_mm


def _cross(first: Points, second: Points) -> NDArray[np.float64]:
    return np.asarray(first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0])


def _best_turn_misses_mm(points: NDArray[np.complex128], targets: NDArray[np.complex128]) -> float:
    overlap = np.vdot(points, targets)
    if overlap == 0:
        return float("inf")
    return float(np.abs(points * (overlap / abs(overlap)) - targets).max())


def _gap_mm(vertices_mm: Points, i: int, j: int) -> float:
    """Shortest distance between two sides, 0 when they cross."""
    n = len(vertices_mm)
    a, b = vertices_mm[i], vertices_mm[(i + 1) % n]
    c, d = vertices_mm[j], vertices_mm[(j + 1) % n]
    if (
        _cross(b - a, c - a) * _cross(b - a, d - a)
        < 0
        > _cross(d - c, a - c) * _cross(d - c, b - c)
    ):
        return 0.0
    return min(_reach_mm(a, c, d), _reach_mm(b, c, d), _reach_mm(c, a, b), _reach_mm(d, a, b))


def _reach_mm(point: Points, start: Points, end: Points) -> float:
    """Distance of a point from a side."""
    along = end - start
    share = np.clip((point - start) @ along / max(float(along @ along), 1e-300), 0.0, 1.0)
    return float(np.hypot(*(start + share * along - point)))
