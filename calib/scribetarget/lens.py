"""From millimetres to pixels and back: pinhole with radial and tangential distortion.

Parameter vectors are in the order of `scribetarget.view.VIEW_NAMES`; their last two entries, the
print scale, are not used here: points are in true millimetres. A stack of parameter vectors gives a
stack of results, as many trials at once.

References
----------
D. C. Brown, Close-range camera calibration, Photogrammetric Engineering 37 (1971) 855-866, in the
form and with the signs of OpenCV's calib3d documentation.
"""

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
# Newton's steps halve the digits left; a phone lens is done in four.
MOST_STEPS = 12
CLOSE_ENOUGH = 1e-12
# Below this the rotation formula would divide by almost nothing.
NO_TURN_RAD = 1e-9


def rotation_matrix(vector: Array) -> Array:
    """Return rotations (..., 3, 3) of rotation vectors (..., 3) [rad] by Rodrigues' formula."""
    angle = np.sqrt((vector * vector).sum(axis=-1))[..., None, None]
    x, y, z = np.moveaxis(vector, -1, 0)
    o = np.zeros_like(x)
    cross = np.stack([o, -z, y, z, o, -x, -y, x, o], axis=-1).reshape(*x.shape, 3, 3)
    still = angle < NO_TURN_RAD
    angle = np.where(still, 1.0, angle)
    once = np.where(still, 1.0, np.sin(angle) / angle)
    twice = np.where(still, 0.0, (1 - np.cos(angle)) / angle**2)
    return np.asarray(np.eye(3) + once * cross + twice * (cross @ cross))


def project(values: Array, points_mm: Array) -> Array:
    """Project points of the target frame into the photo.

    Parameters
    ----------
    values : ndarray, shape (17,) or longer
        View parameters.
    points_mm : ndarray, shape (N, 3), float64
        Target frame, true millimetres.

    Returns
    -------
    ndarray, shape (N, 2), float64
        Photo (x, y) [px]; (0, 0) is the centre of the top-left pixel.
    """
    camera = points_mm @ rotation_matrix(values[9:12]).T + values[12:15]
    bent = distort(values, camera[:, :2] / camera[:, 2:])
    return bent * _focal_px(values) + values[2:4]


def distort(values: Array, flat: Array) -> Array:
    """Bend ideal image points (..., N, 2) (at unit distance) as the lens does."""
    k1, k2, p1, p2, k3 = np.moveaxis(values[..., 4:9, None], -2, 0)
    x, y = flat[..., 0], flat[..., 1]
    r2 = x * x + y * y
    radial = 1 + r2 * (k1 + r2 * (k2 + r2 * k3))
    return np.stack(
        [
            x * radial + 2 * p1 * x * y + p2 * (r2 + 2 * x * x),
            y * radial + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y,
        ],
        axis=-1,
    )


def undistort(values: Array, points_px: Array) -> Array:
    """Return the ideal image points (..., N, 2) at unit distance of photo points (N, 2) [px].

    Fixed-point start, then Newton's method with a numerical Jacobian.
    """
    bent = (points_px - values[..., None, 2:4]) / _focal_px(values)[..., None, :]
    flat = bent - (distort(values, bent) - bent)
    right, down = np.array([1e-6, 0.0]), np.array([0.0, 1e-6])
    for _ in range(MOST_STEPS):
        rest = distort(values, flat) - bent
        if np.abs(rest).max(initial=0.0) < CLOSE_ENOUGH:
            break
        by_x = (distort(values, flat + right) - distort(values, flat - right)) / 2e-6
        by_y = (distort(values, flat + down) - distort(values, flat - down)) / 2e-6
        determinant = by_x[..., 0] * by_y[..., 1] - by_x[..., 1] * by_y[..., 0]
        flat = flat - np.stack(
            [
                (rest[..., 0] * by_y[..., 1] - rest[..., 1] * by_y[..., 0]) / determinant,
                (rest[..., 1] * by_x[..., 0] - rest[..., 0] * by_x[..., 1]) / determinant,
            ],
            axis=-1,
        )
    return flat


def plane_from_photo(
    values: Array, points_px: Array, plane: tuple[float, float, float] | Array
) -> Array:
    """Return where the rays of photo points meet a plane of the target frame.

    Parameters
    ----------
    values : ndarray, shape (..., 17) or longer
    points_px : ndarray, shape (N, 2), float64
    plane : (z0, a, b) or ndarray, shape (..., 3), float64
        The plane ``z = z0 + a x + b y`` [mm].

    Returns
    -------
    ndarray, shape (..., N, 2), float64
        x and y in the target frame [mm].
    """
    flat = undistort(values, points_px)
    rotation = rotation_matrix(values[..., 9:12])
    rays = np.concatenate([flat, np.ones((*flat.shape[:-1], 1))], axis=-1) @ rotation
    eye = -(values[..., None, 12:15] @ rotation)
    z0, a, b = np.moveaxis(np.asarray(plane, np.float64)[..., None], -2, 0)
    height = z0 + a * eye[..., 0] + b * eye[..., 1] - eye[..., 2]
    reach = height / (rays[..., 2] - a * rays[..., 0] - b * rays[..., 1])
    return np.asarray(eye[..., :2] + reach[..., None] * rays[..., :2])


def _focal_px(values: Array) -> Array:
    return np.stack([values[..., 0], values[..., 0] * values[..., 1]], axis=-1)
