"""How the projection moves with every parameter: exact derivatives for the solvers."""

import numpy as np
from numpy.typing import NDArray

from scribetarget.lens import distort, rotation_matrix

Array = NDArray[np.float64]
_SMALL_ANGLE = 1e-6  # below, the series of Rodrigues' formula is exact to rounding


def project_with_slopes(values: Array, points_mm: Array) -> tuple[Array, Array, Array]:
    """Project points of the target frame, with the derivatives of the projection.

    Parameters
    ----------
    values : ndarray, shape (15,) or longer
        View parameters in the order of `scribetarget.view.VIEW_NAMES`.
    points_mm : ndarray, shape (N, 3), float64
        Target frame, true millimetres.

    Returns
    -------
    places_px : ndarray, shape (N, 2)
        As `scribetarget.lens.project` gives them.
    by_values : ndarray, shape (N, 2, 15)
        Derivatives to lens, rotation vector and translation.
    by_points : ndarray, shape (N, 2, 3)
        Derivatives to the points.
    """
    rotation = rotation_matrix(values[9:12])
    camera = points_mm @ rotation.T + values[12:15]
    flat = camera[:, :2] / camera[:, 2:]
    bent = distort(values, flat)
    focal = np.array([values[0], values[0] * values[1]])
    by_camera = (_by_flat(values, flat) * focal[:, None]) @ _flat_by_camera(camera)
    by_points = by_camera @ rotation
    by_values = np.empty((len(points_mm), 2, 15))
    by_values[:, :, :4] = _by_pinhole(values, bent)
    by_values[:, :, 4:9] = _by_bend(flat) * focal[:, None]
    # A small turn before the rotation moves a point by turn x point = -[point]x turn.
    by_values[:, :, 9:12] = -by_points @ _crosses(points_mm) @ _turn_by_vector(values[9:12])
    by_values[:, :, 12:15] = by_camera
    return bent * focal + values[2:4], by_values, by_points


def _by_pinhole(values: Array, bent: Array) -> Array:
    """Return derivatives (N, 2, 4) to focal length, aspect and principal point."""
    slopes = np.zeros((len(bent), 2, 4))
    slopes[:, 0, 0] = bent[:, 0]
    slopes[:, 1, 0] = bent[:, 1] * values[1]
    slopes[:, 1, 1] = bent[:, 1] * values[0]
    slopes[:, :, 2:4] = np.eye(2)
    return slopes


def _by_bend(flat: Array) -> Array:
    """Return derivatives (N, 2, 5) of bent points to k1, k2, p1, p2, k3."""
    x, y = flat.T
    r2 = x * x + y * y
    by_x = [x * r2, x * r2**2, 2 * x * y, r2 + 2 * x * x, x * r2**3]
    by_y = [y * r2, y * r2**2, r2 + 2 * y * y, 2 * x * y, y * r2**3]
    return np.stack([np.stack(by_x, axis=1), np.stack(by_y, axis=1)], axis=1)


def _by_flat(values: Array, flat: Array) -> Array:
    """Return derivatives (N, 2, 2) of bent points to ideal ones."""
    k1, k2, p1, p2, k3 = values[4:9]
    x, y = flat.T
    r2 = x * x + y * y
    radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3))
    swell = 2 * (k1 + r2 * (2 * k2 + r2 * 3 * k3))
    mixed = x * y * swell + 2 * p1 * x + 2 * p2 * y
    by_x = np.stack([radial + x * x * swell + 2 * p1 * y + 6 * p2 * x, mixed], axis=1)
    by_y = np.stack([mixed, radial + y * y * swell + 6 * p1 * y + 2 * p2 * x], axis=1)
    return np.stack([by_x, by_y], axis=2)


def _flat_by_camera(camera: Array) -> Array:
    """Return derivatives (N, 2, 3) of points at unit distance to points in the camera's frame."""
    slopes = np.zeros((len(camera), 2, 3))
    slopes[:, 0, 0] = slopes[:, 1, 1] = 1 / camera[:, 2]
    slopes[:, :, 2] = -camera[:, :2] / camera[:, 2:] ** 2
    return slopes


def _crosses(points: Array) -> Array:
    """Return the matrices (N, 3, 3) of the cross product with each point."""
    x, y, z = points.T
    nought = np.zeros_like(x)
    rows = [[nought, -z, y], [z, nought, -x], [-y, x, nought]]
    return np.asarray(np.stack([np.stack(row, axis=1) for row in rows], axis=1))


def _turn_by_vector(vector: Array) -> Array:
    """Return the right Jacobian (3, 3) of the rotation vector.

    References
    ----------
    T. D. Barfoot, State Estimation for Robotics (2017), eq. 7.77, with the sign for a turn applied
    before the rotation.
    """
    angle = float(np.linalg.norm(vector))
    cross = np.asarray(_crosses(vector[None])[0])
    if angle < _SMALL_ANGLE:
        return np.eye(3) - cross / 2
    first = (1 - np.cos(angle)) / angle**2
    second = (angle - np.sin(angle)) / angle**3
    return np.asarray(np.eye(3) - first * cross + second * cross @ cross)
