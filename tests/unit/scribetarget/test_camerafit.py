"""A profile for photos of other sizes: the same points of the world, other pixels."""

from dataclasses import replace

import numpy as np
import pytest

from scribetarget.camera import Camera
from scribetarget.camerafit import U_REFOCUS, camera_for_photo
from scribetarget.errors import CameraFileError
from scribetarget.lens import project

VALUES = np.array([3040.0, 1.0008, 2029.5, 1500.5, 0.062, -0.118, 0.0006, -0.0004, 0.041])
SPREAD = np.array([0.2, 1e-5, 0.1, 0.1, 3e-4, 1e-3, 3e-5, 3e-5, 1e-3])
NAME = "Bench model A-12"
CAMERA = Camera(4032, 3024, VALUES, np.diag(SPREAD**2), "profile", NAME, 27.0)
RAYS = np.random.default_rng(2).uniform([-0.5, -0.4, 1], [0.5, 0.4, 1], (40, 3))


def seen(values, rays=RAYS):
    return project(np.concatenate([values, np.zeros(6)]), rays)


def refusal(*given):
    with pytest.raises(CameraFileError) as caught:
        camera_for_photo(CAMERA, *given)
    assert caught.value.cure
    return caught.value.code


def test_a_photo_of_the_same_size_keeps_the_lens_and_gains_what_focusing_changes():
    fitted = camera_for_photo(CAMERA, 4032, 3024, NAME, 27.0)
    assert fitted.values == pytest.approx(VALUES)
    u_focal = np.sqrt(fitted.covariance[0, 0])
    assert u_focal == pytest.approx(np.hypot(0.2, U_REFOCUS * 3040))
    assert np.sqrt(np.diag(fitted.covariance)[2:4]) == pytest.approx(4.0, rel=0.02)
    assert np.diag(fitted.covariance)[4:] == pytest.approx(SPREAD[4:] ** 2)


@pytest.mark.parametrize("size", [(2016, 1512), (1600, 1200), (8064, 6048)])
def test_a_resized_photo_has_its_pixel_edges_where_they_were(size):
    """Resampling keeps the picture's edges, at half a pixel outside the outer centres."""
    fitted = camera_for_photo(CAMERA, *size, NAME)
    share = size[0] / 4032
    assert seen(fitted.values) + 0.5 == pytest.approx((seen(VALUES) + 0.5) * share)
    assert (fitted.width_px, fitted.height_px) == size


def test_sizes_rounded_to_whole_pixels_are_still_the_same_picture():
    fitted = camera_for_photo(CAMERA, 1599, 1199, NAME)
    across, down = 1599 / 4032, 1199 / 3024
    assert seen(fitted.values) + 0.5 == pytest.approx((seen(VALUES) + 0.5) * [across, down])


def test_the_covariance_of_a_resized_photo_is_carried_along():
    fitted = camera_for_photo(CAMERA, 2016, 1512, NAME)
    widened = (U_REFOCUS * 1520) ** 2
    assert fitted.covariance[0, 0] - widened == pytest.approx(0.1**2, rel=1e-6)


@pytest.mark.parametrize(
    "turn", [lambda p: [3023 - p[1], p[0]], lambda p: [p[1], 4031 - p[0]]], ids=["right", "left"]
)
def test_a_standing_photo_is_covered_whichever_way_it_was_turned(turn):
    """The truth of either turn lies within the stated covariance, and near its edge."""
    fitted = camera_for_photo(CAMERA, 3024, 4032, NAME)
    assert (fitted.width_px, fitted.height_px) == (3024, 4032)
    pixels = np.array([turn(point) for point in seen(VALUES)])
    flat_turn = np.array([turn(p) for p in np.eye(2)]) - turn(np.zeros(2))
    rays = np.column_stack([RAYS[:, :2] @ flat_turn, RAYS[:, 2]])
    slopes = np.array(
        [
            (seen(fitted.values + d, rays) - seen(fitted.values - d, rays)).ravel() / 2
            for d in np.diag(1e-6 * np.maximum(np.abs(fitted.values), 1))
        ]
    ).T
    slopes /= 1e-6 * np.maximum(np.abs(fitted.values), 1)
    stated = np.sqrt(np.diag(slopes @ fitted.covariance @ slopes.T))
    away = np.abs((pixels - seen(fitted.values, rays)).ravel())
    assert np.all(away < 1.5 * stated)
    assert away.max() > 10  # the two turns are really apart


def test_a_turned_covariance_is_a_covariance_of_the_turned_lens():
    """Both turns of a camera with its centre amid the picture and no tangential part are one."""
    values = VALUES.copy()
    values[2:4], values[6:8] = [2015.5, 1511.5], 0
    fitted = camera_for_photo(replace(CAMERA, values=values), 3024, 4032, NAME)
    assert fitted.values[:4] == pytest.approx([3040 * 1.0008, 1 / 1.0008, 1511.5, 2015.5])
    assert np.sqrt(np.diag(fitted.covariance)[4:]) == pytest.approx(SPREAD[4:])
    assert np.linalg.eigvalsh(fitted.covariance / np.outer(SPREAD, SPREAD)).min() > 0


def test_the_tangential_part_turns_as_a_vector_does():
    """(p2, p1) turns with the picture: either turn puts p2 in p1's place, with opposite signs."""
    fitted = camera_for_photo(CAMERA, 3024, 4032, NAME)
    assert fitted.values[6:8] == pytest.approx([0, 0])
    p1, p2 = VALUES[6:8]
    between_turns = np.array([[p2 * p2, -p1 * p2], [-p1 * p2, p1 * p1]])
    own = np.diag(SPREAD[[7, 6]] ** 2)
    assert fitted.covariance[6:8, 6:8] == pytest.approx(own + between_turns)


@pytest.mark.parametrize("size", [(4032, 2268), (3024, 3024), (4032, 3020), (2268, 4032)])
def test_a_cropped_photo_is_refused(size):
    assert refusal(*size, NAME) == "camera_other_size"


def test_another_model_is_refused_and_an_unknown_one_is_not():
    assert refusal(4032, 3024, "Bench model A-13") == "camera_other_model"
    assert camera_for_photo(CAMERA, 4032, 3024, "").name == NAME
    assert camera_for_photo(CAMERA, 4032, 3024, "bench  MODEL a-12 ").name == NAME
    nameless = replace(CAMERA, name="")
    assert camera_for_photo(nameless, 4032, 3024, "Bench model A-13").values[0] == VALUES[0]


@pytest.mark.parametrize("focal", [13.0, 54.0, 29.0])
def test_another_lens_of_the_same_phone_is_refused(focal):
    assert refusal(4032, 3024, NAME, focal) == "camera_other_lens"


def test_a_focal_length_rounded_otherwise_is_the_same_lens():
    assert camera_for_photo(CAMERA, 4032, 3024, NAME, 26.0).values[0] == VALUES[0]
    assert camera_for_photo(CAMERA, 4032, 3024, NAME, None).values[0] == VALUES[0]
