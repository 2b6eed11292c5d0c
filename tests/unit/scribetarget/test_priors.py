"""Guessing a camera from what its photos say."""

import numpy as np
import pytest

from scribetarget.priors import camera_from_exif


@pytest.mark.parametrize(
    ("size", "focal_35mm", "published_f_px"),
    [
        # The made-up cameras of the computed calibration photos.
        ((4032, 3024), 27.0, 3040.0),
        ((4000, 3000), 26.0, 2905.0),
        ((3264, 2448), 28.0, 2520.0),
    ],
)
def test_the_focal_length_lies_within_what_is_stated(size, focal_35mm, published_f_px):
    camera = camera_from_exif(*size, focal_35mm, "maker model")
    u_focal = np.sqrt(camera.covariance[0, 0])
    assert abs(camera.values[0] - published_f_px) < 2 * u_focal
    assert u_focal / camera.values[0] == pytest.approx(0.03)
    assert camera.source == "exif"
    assert camera.name == "maker model"


def test_both_makers_ways_of_counting_are_covered():
    """36 mm across or 43.27 mm corner to corner, on a sensor of 4:3."""
    camera = camera_from_exif(4000, 3000, 27.0, "")
    across, diagonal = 27 / 36 * 4000, 27 / 43.27 * 5000
    u_focal = np.sqrt(camera.covariance[0, 0])
    assert abs(camera.values[0] - across) < u_focal
    assert abs(camera.values[0] - diagonal) < u_focal


def test_the_centre_is_that_of_the_picture_counted_from_pixel_centres():
    camera = camera_from_exif(4000, 3000, 27.0, "")
    assert camera.values[2:4] == pytest.approx([1999.5, 1499.5])


def test_without_a_record_the_guess_is_wide():
    guess, known = (camera_from_exif(4000, 3000, f, "") for f in (None, 27.0))
    assert guess.source == "guess"
    assert guess.covariance[0, 0] > 10 * known.covariance[0, 0]
    low, high = 24 / 36 * 4000, 32 / 36 * 4000  # phones' main lenses
    assert abs(guess.values[0] - low) < 2 * np.sqrt(guess.covariance[0, 0])
    assert abs(guess.values[0] - high) < 2 * np.sqrt(guess.covariance[0, 0])


def test_standing_and_lying_pictures_have_one_focal_length():
    lying, standing = camera_from_exif(4000, 3000, 27.0, ""), camera_from_exif(3000, 4000, 27.0, "")
    assert standing.values[0] == pytest.approx(lying.values[0])
    assert standing.values[2:4] == pytest.approx(lying.values[[3, 2]])


def test_a_picture_sent_smaller_has_the_focal_length_to_match():
    full, half = camera_from_exif(4000, 3000, 27.0, ""), camera_from_exif(2000, 1500, 27.0, "")
    assert half.values[0] == pytest.approx(full.values[0] / 2)


def test_the_covariance_is_one():
    assert np.linalg.eigvalsh(camera_from_exif(4000, 3000, 27.0, "").covariance).min() > 0
