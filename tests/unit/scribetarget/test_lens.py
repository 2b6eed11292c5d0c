"""The lens model agrees with OpenCV's and can be undone."""

import cv2
import numpy as np
import pytest

from scribetarget.lens import plane_from_photo, project, rotation_matrix, undistort

PHONE = [3040.0, 1.0008, 2029.5, 1500.5, 0.062, -0.118, 0.0006, -0.0004, 0.041]
BARREL = [700.0, 0.997, 308.0, 246.0, -0.256, 0.10, 0.0, 0.0, 0.0]
POSES = [[0.3, -0.2, 1.4, -60.0, -70.0, 300.0], [0.0, 0.0, 0.0, -80.0, -80.0, 250.0]]


def values_of(lens, pose):
    return np.array([*lens, *pose, 1.0, 1.0])


@pytest.fixture
def points_mm():
    return np.random.default_rng(3).uniform([0, 0, -2], [150, 150, 1], (60, 3))


@pytest.mark.parametrize("vector", [[0.4, -1.2, 2.0], [1e-5, 2e-5, 0], [0, 0, 0], [3.1, 0.2, 0]])
def test_a_rotation_vector_is_read_as_opencv_reads_it(vector):
    vector = np.array(vector, float)
    assert np.abs(rotation_matrix(vector) - cv2.Rodrigues(vector)[0]).max() < 1e-9


@pytest.mark.parametrize("lens", [PHONE, BARREL])
@pytest.mark.parametrize("pose", POSES)
def test_points_fall_where_opencv_projects_them(lens, pose, points_mm):
    f, aspect, cx, cy = lens[:4]
    matrix = np.array([[f, 0, cx], [0, f * aspect, cy], [0, 0, 1]])
    turn, shift = np.array(pose[:3]), np.array(pose[3:])
    other, _ = cv2.projectPoints(points_mm, turn, shift, matrix, np.array(lens[4:]))
    assert np.abs(project(values_of(lens, pose), points_mm) - other.reshape(-1, 2)).max() < 1e-8


def test_undistorting_undoes_the_lens_over_the_whole_picture():
    values = values_of(PHONE, POSES[0])
    x, y = np.meshgrid(np.linspace(0, 4031, 15), np.linspace(0, 3023, 12))
    seen = np.column_stack([x.ravel(), y.ravel()])
    flat = undistort(values, seen)
    level = values_of(PHONE, [0, 0, 0, 0, 0, 0])
    again = project(level, np.column_stack([flat, np.ones(len(flat))]))
    assert np.abs(again - seen).max() < 1e-7
    plain = (seen - values[2:4]) / [values[0], values[0] * values[1]]
    assert np.abs((flat - plain) * values[0]).max() > 10  # there was something to undo


@pytest.mark.parametrize("plane", [(0.0, 0.0, 0.0), (-0.8, 0.0, 0.0), (-1.0, 0.01, -0.02)])
@pytest.mark.parametrize("pose", POSES)
def test_a_ray_meets_the_plane_where_the_point_lay(plane, pose, points_mm):
    z0, a, b = plane
    lying = points_mm.copy()
    lying[:, 2] = z0 + a * lying[:, 0] + b * lying[:, 1]
    values = values_of(PHONE, pose)
    found = plane_from_photo(values, project(values, lying), plane)
    assert np.abs(found - lying[:, :2]).max() < 1e-8


def test_a_plate_taken_for_paper_is_magnified_about_the_foot_of_the_perpendicular():
    """P = P0 + (P_apparent - P0)(H - t) / H with H the camera's height over the paper."""
    values = values_of(PHONE, POSES[0])
    rotation = rotation_matrix(values[9:12])
    eye = -rotation.T @ values[12:15]
    height, thickness = -eye[2], 1.0
    true = np.array([[40.0, 50.0], [90.0, 50.0], [60.0, 99.0]])
    seen = project(values, np.column_stack([true, np.full(3, -thickness)]))
    apparent = plane_from_photo(values, seen, (0.0, 0.0, 0.0))
    assert np.hypot(*(apparent - true).T).max() > 0.05
    corrected = eye[:2] + (apparent - eye[:2]) * (height - thickness) / height
    assert np.abs(corrected - true).max() < 1e-9


def test_no_points_give_no_points():
    values = values_of(PHONE, POSES[0])
    assert plane_from_photo(values, np.empty((0, 2)), (0.0, 0.0, 0.0)).shape == (0, 2)


def test_many_views_at_once_are_what_each_gives_alone(points_mm):
    values = np.array([values_of(PHONE, pose) for pose in POSES] + [values_of(BARREL, POSES[0])])
    values[0, 9:12] = 0.0  # looks straight down, where the rotation's formula divides by nothing
    planes = np.column_stack([np.linspace(-2, 0, len(values)), *[np.full(len(values), 0.01)] * 2])
    seen = project(values[1], points_mm)
    many = plane_from_photo(values, seen, planes)
    assert many.shape == (len(values), len(points_mm), 2)
    for row, view, plane in zip(many, values, planes, strict=True):
        alone = plane_from_photo(view, seen, tuple(plane.tolist()))
        np.testing.assert_allclose(row, alone, rtol=1e-9, atol=1e-9)
