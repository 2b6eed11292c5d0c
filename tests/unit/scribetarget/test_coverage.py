"""Advice names the views that are missing, and none when nothing is."""

from dataclasses import replace

import numpy as np
import pytest

from scribetarget.coverage import missing_views, tilts_deg
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
