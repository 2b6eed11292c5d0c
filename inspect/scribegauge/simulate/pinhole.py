"""Rays, projection and pose of the made-up camera, independent of cv2's own projection."""

import math

import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.scene import CameraModel, Point, Pose

_UNDISTORT_STEPS = 6  # a phone's lens gains a factor of 8 or more a step: 1e-3 px from 30 px


def camera_matrix(camera: CameraModel) -> NDArray[np.float64]:
    """Return the 3 by 3 camera matrix [px]."""
    fx, fy = camera.f_px, camera.f_px * camera.aspect
    cx, cy = camera.centre_px
    return np.array([[fx, 0.0, cx], [0.0, fy, cy], [0.0, 0.0, 1.0]])


def camera_centre_mm(pose: Pose) -> NDArray[np.float64]:
    """Return where the camera stands in the target frame, shape (3,) [mm]."""
    centre: NDArray[np.float64] = -pose.rotation.T @ pose.translation_mm
    return centre


def project_px(
    points_mm: NDArray[np.float64], camera: CameraModel, pose: Pose
) -> NDArray[np.float64]:
    """Project points of the target frame into the photo.

    Parameters
    ----------
    points_mm : ndarray, shape (N, 3), float64
        Target frame [mm].
    camera : CameraModel
    pose : Pose

    Returns
    -------
    ndarray, shape (N, 2), float64
        (u, v) [px], the centre of the top-left pixel is (0, 0).

    References
    ----------
    D. C. Brown, "Close-range camera calibration", Photogrammetric Engineering 37 (1971).
    """
    seen = points_mm @ pose.rotation.T + pose.translation_mm
    a, b = _distort(seen[:, 0] / seen[:, 2], seen[:, 1] / seen[:, 2], camera.dist)
    cx, cy = camera.centre_px
    return np.column_stack([cx + camera.f_px * a, cy + camera.f_px * camera.aspect * b])


def rays_mm(
    u_px: NDArray[np.float64], v_px: NDArray[np.float64], camera: CameraModel, pose: Pose
) -> NDArray[np.float64]:
    """Return the directions of view, target frame, scaled to z = 1.

    Parameters
    ----------
    u_px, v_px : ndarray, any one shape
    camera : CameraModel
    pose : Pose

    Returns
    -------
    ndarray, shape (2, ...), float64
        dx/dz and dy/dz of the ray; a plane at depth h below the camera is met at h times this.
    """
    cx, cy = camera.centre_px
    a0 = (u_px - cx) / camera.f_px
    b0 = (v_px - cy) / (camera.f_px * camera.aspect)
    a, b = a0, b0
    for _ in range(_UNDISTORT_STEPS if any(camera.dist) else 0):
        a1, b1 = _distort(a, b, camera.dist)
        a, b = a + (a0 - a1), b + (b0 - b1)
    turn = pose.rotation
    z = turn[0, 2] * a + turn[1, 2] * b + turn[2, 2]
    x = (turn[0, 0] * a + turn[1, 0] * b + turn[2, 0]) / z
    y = (turn[0, 1] * a + turn[1, 1] * b + turn[2, 1]) / z
    return np.stack([x, y])


def pose_towards(
    aim_mm: Point, *, distance_mm: float, tilt_deg: float, azimuth_deg: float, roll_deg: float
) -> Pose:
    """Place the camera so that it looks at a point of the paper.

    Parameters
    ----------
    aim_mm : point
        Met by the optical axis, on the paper.
    distance_mm : float
    tilt_deg : float
        Between the optical axis and the paper's perpendicular.
    azimuth_deg : float
        Side that the camera stands on, atan2(y, x) in the target frame.
    roll_deg : float
        Turn of the picture; 0 keeps the target's x axis about level.
    """
    tilt, azimuth, roll = (math.radians(d) for d in (tilt_deg, azimuth_deg, roll_deg))
    axis = np.array(
        [-math.sin(tilt) * math.cos(azimuth), -math.sin(tilt) * math.sin(azimuth), math.cos(tilt)]
    )
    level = np.array([math.cos(roll), math.sin(roll), 0.0])
    right = level - axis * (axis @ level)
    right /= np.linalg.norm(right)
    rotation = np.stack([right, np.cross(axis, right), axis])
    centre = np.array([*aim_mm, 0.0]) - distance_mm * axis
    return Pose(rotation=rotation, translation_mm=-rotation @ centre)


def _distort(
    a: NDArray[np.float64], b: NDArray[np.float64], dist: tuple[float, float, float, float, float]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    k1, k2, p1, p2, k3 = dist
    r2 = a * a + b * b
    radial = 1.0 + r2 * (k1 + r2 * (k2 + r2 * k3))
    ab2 = 2.0 * a * b
    return (
        a * radial + p1 * ab2 + p2 * (r2 + 2.0 * a * a),
        b * radial + p1 * (r2 + 2.0 * b * b) + p2 * ab2,
    )
