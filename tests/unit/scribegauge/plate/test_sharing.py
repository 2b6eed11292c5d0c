"""One cause in several views at once, against drawing it at random."""

from types import SimpleNamespace

import numpy as np
import pytest

from scribegauge.plate.sharing import joint_covariance
from scribetarget.camera import Camera
from scribetarget.camerafit import half_turned

RNG = np.random.default_rng(3)
LENS = np.array([3000.0, 1.0, 2010.0, 1490.0, 0.05, -0.1, 5e-4, -4e-4, 0.04])


def camera(source="profile", name="A phone", values=LENS):
    return Camera(4000, 3000, values, np.eye(9), source, name)


def view(root, cause="lens", own=0.0, cam=None):
    part = root @ root.T + own * np.eye(17)
    return SimpleNamespace(parts={cause: part}, roots={cause: root}, camera=cam or camera())


def test_one_view_keeps_its_part():
    one = view(RNG.normal(size=(17, 9)), own=0.3)
    np.testing.assert_allclose(joint_covariance("lens", [one]), one.parts["lens"])


@pytest.mark.parametrize("cause", ["lens", "bars", "climate"])
def test_what_is_shared_moves_both_views_and_the_rest_each_alone(cause):
    roots = RNG.normal(size=(2, 17, 9))
    views = [view(root, cause, own=0.5) for root in roots]
    drawn = RNG.normal(size=(20000, 9)) @ np.concatenate(roots).T
    drawn += np.sqrt(0.5) * RNG.normal(size=drawn.shape)
    joint = joint_covariance(cause, views)
    np.testing.assert_allclose(np.cov(drawn.T), joint, atol=0.06 * np.diag(joint).max())


def test_a_picture_turned_by_half_a_turn_has_the_lens_turned_with_it():
    """The same two roots, one in the other's picture: nothing but signs may differ."""
    sign = np.array([1.0, 1, -1, -1, 1, 1, -1, -1, 1])
    root = RNG.normal(size=(17, 9))
    straight = joint_covariance("lens", [view(root), view(root)])
    turned = joint_covariance("lens", [view(root), view(root * sign, cam=half_turned(camera()))])
    np.testing.assert_allclose(turned, straight)


@pytest.mark.parametrize(
    "other",
    [camera(name="Another phone"), camera(source="exif"), camera(values=LENS * 1.01)],
    ids=["other phone", "other source", "other lens"],
)
def test_another_lens_shares_nothing_that_is_known_and_is_bounded(other):
    views = [view(RNG.normal(size=(17, 9))), view(RNG.normal(size=(17, 9)), cam=other)]
    joint = joint_covariance("lens", views)
    np.testing.assert_array_equal(joint[:17, 17:], 0.0)
    # (a + b)² is at most 2 a² + 2 b², whatever a and b have in common.
    worst = np.concatenate([each.roots["lens"] for each in views])
    for way in RNG.normal(size=(20, 34)):
        assert way @ joint @ way >= ((way @ worst) ** 2).sum() - 1e-9


def test_corners_are_each_photos_own():
    views = [SimpleNamespace(parts={"corners": np.eye(17)}, roots={}, camera=camera())] * 2
    np.testing.assert_array_equal(joint_covariance("corners", views), np.eye(34))
    sheet = [SimpleNamespace(parts={"sheet": np.eye(17)}, roots={}, camera=camera())] * 2
    np.testing.assert_array_equal(joint_covariance("sheet", sheet), 2 * np.eye(34))
