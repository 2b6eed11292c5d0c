"""Advice names the views that are missing, and none when nothing is."""

from dataclasses import replace

import numpy as np
import pytest

from scribetarget.coverage import leans_deg, missing_views, residual_field, tilts_deg
from scribetarget.lens import rotation_matrix
from scribetarget.spec import load_specs

SPEC = load_specs()["S"]
SIZE = (4000, 3000)
LENS = np.array([2905.0, 1.0, 1999.5, 1499.5, 0, 0, 0, 0, 0])
# A turn about x by a positive angle brings the upper side of the picture nearer, and so on.
ROUND = [(25, 0), (25, 90), (25, 180), (25, 270)] * 3


def advice(looks, leans, turns=(0.0, 90.0), shift_px=1100.0):
    poses, sightings = [], []
    for k, (tilt, towards) in enumerate(leans):
        pose = looks.pose_over(SPEC, tilt, towards, turns[k % len(turns)], 130.0)
        sighting = looks.sight_corners(SPEC, np.concatenate([LENS, pose, [1, 1]]), 0.05, k)
        away = np.array([(-1) ** k, (-1) ** (k // 2)]) * [shift_px, 0.5 * shift_px]
        poses.append(pose)
        sightings.append(replace(sighting, corners_px=sighting.corners_px + away))
    return missing_views(np.array(poses), sightings, SIZE)


def test_a_full_set_needs_nothing(looks):
    assert advice(looks, ROUND) == ()


@pytest.mark.parametrize(
    ("missing", "side"), [(0, "upper"), (90, "right"), (180, "lower"), (270, "left")]
)
def test_the_side_that_no_photo_leans_to_is_named(looks, missing, side):
    leans = [(tilt, towards) for tilt, towards in ROUND if towards != missing] * 2
    (only,) = advice(looks, leans)
    assert f"with the {side} side of the picture" in only


def test_the_named_side_is_the_one_that_lies_nearer(looks):
    """Told to bring the upper side nearer: there the squares of such a photo are larger."""
    pose = looks.pose_over(SPEC, 25, 0, 0, 130.0)
    seen = looks.sight_corners(SPEC, np.concatenate([LENS, pose, [1, 1]]), 0, 1).corners_px
    upper, lower = seen[:11], seen[-11:]
    assert upper[:, 1].mean() < lower[:, 1].mean()
    assert np.ptp(upper[:, 0]) > np.ptp(lower[:, 0])


def test_edges_of_the_picture_that_the_sheet_never_reaches_are_named(looks):
    (only,) = advice(looks, ROUND, shift_px=0.0)
    assert "close to the right or left edge" in only.replace(", ", " or ")


def test_too_few_are_counted(looks):
    assert "these are 4" in advice(looks, ROUND[:4])[-1]


def test_a_sheet_that_never_turns_is_told_to(looks):
    (only,) = advice(looks, ROUND, turns=(0.0, 180.0))
    assert "quarter" in only


def test_three_sentences_are_enough(looks):
    assert len(advice(looks, [(5, 0)] * 4, turns=(0.0,), shift_px=0.0)) == 3


@pytest.mark.parametrize("tilt", [0.0, 17.0, 40.0])
def test_tilts_are_those_of_the_poses(looks, tilt):
    poses = np.array([looks.pose_over(SPEC, tilt, 77, 30, 200.0)])
    assert tilts_deg(poses) == pytest.approx([tilt], abs=1e-5)


@pytest.mark.parametrize(("tilt", "towards"), [(25, 0), (12, 90), (33, 200), (45, 315)])
def test_an_arrow_is_as_long_as_the_tilt_and_points_to_the_larger_squares(looks, tilt, towards):
    pose = looks.pose_over(SPEC, tilt, towards, 70, 130.0)
    (lean,) = leans_deg(np.array([pose]))
    assert np.hypot(*lean) == pytest.approx(tilt, abs=1e-6)
    ahead = lean / tilt
    # The sheet's points that lie farther along the arrow are nearer to the camera.
    board = np.array([[0, 0, 0], [SPEC.side_mm, 0, 0], [0, SPEC.side_mm, 0]], float)
    seen = board @ rotation_matrix(pose[:3]).T + pose[3:]
    along, depth = seen[:, :2] @ ahead, seen[:, 2]
    assert np.polyfit(along - along.mean(), depth - depth.mean(), 1)[0] == pytest.approx(
        -np.tan(np.radians(tilt)), rel=1e-6
    )


def test_residuals_are_averaged_field_by_field():
    corners = np.array([[0.0, 0.0], [1999.0, 1499.0], [2000.0, 0.0], [3999.0, 2999.0]])
    off = np.array([[1.0, 0.0], [3.0, 2.0], [5.0, 5.0], [-1.0, 4.0]])
    field = residual_field(corners, off, SIZE, (2, 2))
    assert field[0, 0].tolist() == [2.0, 1.0, 2.0]
    assert field[0, 1].tolist() == [5.0, 5.0, 1.0]
    assert field[1, 1].tolist() == [-1.0, 4.0, 1.0]
    assert np.isnan(field[1, 0, :2]).all()
    assert field[1, 0, 2] == 0
