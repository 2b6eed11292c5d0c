"""Rays and projection against each other and against OpenCV's own projection."""

import cv2
import numpy as np

from scribegauge.simulate.pinhole import (
    camera_centre_mm,
    camera_matrix,
    pose_towards,
    project_px,
    rays_mm,
)
from scribegauge.simulate.scene import CameraModel

CAMERA = CameraModel(aspect=1.001, dist=(0.062, -0.118, 0.0006, -0.0004, 0.041))
POSE = pose_towards((60, 66), distance_mm=170, tilt_deg=15, azimuth_deg=200, roll_deg=100)


def test_projection_agrees_with_opencv():
    points = np.random.default_rng(1).uniform([0, 0, -3], [126, 126, 0], (50, 3))
    turn, _ = cv2.Rodrigues(POSE.rotation)
    theirs, _ = cv2.projectPoints(
        points, turn, POSE.translation_mm, camera_matrix(CAMERA), np.array(CAMERA.dist)
    )
    np.testing.assert_allclose(project_px(points, CAMERA, POSE), theirs.reshape(-1, 2), atol=1e-6)


def test_rays_undo_the_projection():
    u, v = np.meshgrid(np.linspace(0, 1599, 9), np.linspace(0, 1199, 7))
    ray = rays_mm(u, v, CAMERA, POSE)
    centre = camera_centre_mm(POSE)
    met = centre[:2, None, None] - ray * (centre[2] + 1.5)
    points = np.column_stack([met[0].ravel(), met[1].ravel(), np.full(u.size, -1.5)])
    seen = project_px(points, CAMERA, POSE)
    np.testing.assert_allclose(
        seen, np.column_stack([u.ravel(), v.ravel()]), atol=1e-3, err_msg="px"
    )


def test_the_axis_meets_the_paper_where_the_camera_aims():
    straight = CameraModel(dist=(0, 0, 0, 0, 0))
    seen = project_px(np.array([[60.0, 66.0, 0.0]]), straight, POSE)
    np.testing.assert_allclose(seen[0], straight.centre_px, atol=1e-9)
    tilt_deg = np.degrees(np.arccos(POSE.rotation[2, 2]))
    np.testing.assert_allclose(tilt_deg, 15.0)
    np.testing.assert_allclose(np.linalg.det(POSE.rotation), 1.0)
    assert camera_centre_mm(POSE)[2] < 0
