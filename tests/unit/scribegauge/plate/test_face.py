"""From plate to photo and back, against a projection that shares no code with it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribegauge.plate.face import scale_at
from scribegauge.simulate.pinhole import project_px

PHONE = (0.06, -0.11, 0.0006, -0.0005, 0.04)
GRID_MM = np.stack(np.meshgrid(np.linspace(28, 52, 5), np.linspace(34, 56, 5)), -1).reshape(-1, 2)


def held(hold_camera, tilt_deg, azimuth_deg, roll_deg, thickness_mm):
    """Hold a camera with a phone's lens."""
    straight = hold_camera()
    camera = replace(straight.camera, dist=PHONE, aspect=1.0004, centre_px=(330.0, 270.0))
    return hold_camera(
        camera=camera,
        thickness_mm=thickness_mm,
        tilt_deg=tilt_deg,
        azimuth_deg=azimuth_deg,
        roll_deg=roll_deg,
    )


POSES = (st.floats(0, 35), st.floats(0, 360), st.floats(-180, 180), st.floats(0, 6))


@settings(max_examples=40, deadline=None)
@given(*POSES)
def test_the_face_lies_one_thickness_nearer_than_the_paper(
    hold_camera, tilt_deg, azimuth_deg, roll_deg, thickness_mm
):
    setup = held(hold_camera, tilt_deg, azimuth_deg, roll_deg, thickness_mm)
    raised = np.column_stack([GRID_MM, np.full(len(GRID_MM), -thickness_mm)])
    expected = project_px(raised, setup.camera, setup.pose)
    seen = setup.face.photo_from_plate(GRID_MM)
    np.testing.assert_allclose(seen, expected, atol=1e-7, err_msg="px")


@settings(max_examples=40, deadline=None)
@given(*POSES)
def test_there_and_back(hold_camera, tilt_deg, azimuth_deg, roll_deg, thickness_mm):
    face = held(hold_camera, tilt_deg, azimuth_deg, roll_deg, thickness_mm).face
    again = face.plate_from_photo(face.photo_from_plate(GRID_MM))
    np.testing.assert_allclose(again, GRID_MM, atol=1e-8, err_msg="mm")


@pytest.mark.parametrize("thickness_mm", [0.5, 1.0, 3.0])
def test_parallax_is_a_stretch_about_the_foot_of_the_perpendicular(hold_camera, thickness_mm):
    # P = P0 + (P' - P0)(H - t)/H: similar triangles, for any tilt.
    turn = {"tilt_deg": 14.0, "azimuth_deg": 50.0, "roll_deg": 20.0, "distance_mm": 170.0}
    on_paper = hold_camera(thickness_mm=0.0, **turn)
    on_plate = hold_camera(thickness_mm=thickness_mm, **turn)
    pose = on_paper.pose
    foot_x, foot_y, minus_height = -pose.rotation.T @ pose.translation_mm
    px = on_paper.face.photo_from_plate(GRID_MM)
    foot = np.array([foot_x, foot_y])
    shrunk = foot + (GRID_MM - foot) * (-minus_height - thickness_mm) / -minus_height
    np.testing.assert_allclose(on_plate.face.plate_from_photo(px), shrunk, atol=1e-8)


def test_scale_straight_down_is_focal_length_over_distance(hold_camera):
    # 3000 px from 150 mm, plate 2 mm thick.
    view = hold_camera().face.view
    assert scale_at(view, 0.0, np.array([40.0, 45.0])) == pytest.approx(20.0, rel=1e-9)
    assert scale_at(view, 2.0, np.array([30.0, 50.0])) == pytest.approx(3000 / 148, rel=1e-9)


def test_scale_of_a_tilted_camera_is_the_root_of_the_area_ratio(hold_camera):
    # On the optical axis the picture of a small square is foreshortened one way by cos(tilt).
    setup = hold_camera(tilt_deg=30.0, azimuth_deg=70.0)
    expected = 20.0 * np.sqrt(np.cos(np.radians(30.0)))
    assert scale_at(setup.face.view, 0.0, np.array([40.0, 45.0])) == pytest.approx(
        expected, rel=0.01
    )


def tilted(hold_camera, **more):
    """Return a setup whose face rises along x by 3 and falls along y by 2 in a hundred."""
    setup = held(hold_camera, 18.0, 40.0, 25.0, 1.2)
    return setup, replace(setup.face, slopes=(0.03, -0.02), pivot_mm=(40.0, 45.0), **more)


def test_a_tilted_face_is_measured_in_its_own_plane(hold_camera):
    setup, face = tilted(hold_camera)
    level = GRID_MM - [40.0, 45.0]
    height = -1.2 + level @ [0.03, -0.02]
    there = np.column_stack([GRID_MM, height])
    seen = face.plate_from_photo(project_px(there, setup.camera, setup.pose))
    apart = np.linalg.norm(there[:, None] - there[None], axis=-1)
    found = np.linalg.norm(seen[:, None] - seen[None], axis=-1)
    np.testing.assert_allclose(found, apart, atol=1e-8, err_msg="mm in space")
    np.testing.assert_allclose(seen, GRID_MM, atol=0.02)  # nearly the target's own x and y
    np.testing.assert_allclose(
        face.photo_from_plate(seen), project_px(there, setup.camera, setup.pose), atol=1e-7
    )


def test_a_plate_that_was_moved_is_taken_back(hold_camera):
    _, face = tilted(hold_camera)
    _, moved = tilted(hold_camera, shift_mm=(0.4, -0.3), turn_rad=0.01)
    px = face.photo_from_plate(GRID_MM)
    c, s = np.cos(0.01), np.sin(0.01)
    turned = (GRID_MM - [40.0, 45.0]) @ np.array([[c, s], [-s, c]]) + [40.4, 44.7]
    np.testing.assert_allclose(moved.plate_from_photo(px), turned, atol=1e-8)
    np.testing.assert_allclose(moved.photo_from_plate(turned), px, atol=1e-7)


def test_other_planes_and_views_are_seen_one_by_one_or_all_at_once(hold_camera):
    setup, face = tilted(hold_camera)
    px = face.photo_from_plate(GRID_MM)
    change = np.array([[0.1, 0.001, 0.0], [0.0, 0.0, -0.002], [0.0, 0.0, 0.0]])
    values = face.view.values + np.outer([0.0, 1.0, 0.0], np.eye(17)[0])
    many = face.seen_otherwise(px, values, change)
    for one, view, step in zip(many, values, change, strict=True):
        np.testing.assert_allclose(face.seen_otherwise(px, view, step), one)
    np.testing.assert_allclose(many[2], GRID_MM, atol=1e-8)
    # A plane 0.1 mm lower is hit 0.1 mm times the ray's slope farther on: some hundredths.
    away = np.linalg.norm(
        face.seen_otherwise(px, face.view.values, np.array([0.1, 0, 0])) - GRID_MM, axis=1
    )
    assert 0.02 < away.mean() < 0.06
    assert setup.face.seen_otherwise(px, face.view.values, np.zeros(3)).shape == GRID_MM.shape
