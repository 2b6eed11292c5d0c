"""Calibrating: the camera within its covariance, bad photos left out, mixtures refused."""

from dataclasses import replace

import numpy as np
import pytest

from scribetarget.calibrate import calibrate
from scribetarget.errors import CameraError
from scribetarget.lens import project
from scribetarget.printscale import scale_from_bars, unmeasured_scale
from scribetarget.spec import load_specs
from scribetarget.targetphoto import TargetPhoto, turned_by_half

SPEC = load_specs()["M"]
SIZE = (4000, 3000)
LENS = np.array([2905.0, 0.9995, 1977.5, 1508.5, -0.041, 0.052, -0.0005, 0.0007, -0.018])
PRINTED = np.array([1.0006, 0.9991])
SIGMA_PX = 0.05
LEANS = [(3, 0), (15, 20), (20, 110), (25, 200), (30, 290), (33, 60), (12, 150), (28, 330)]
SCALE = scale_from_bars(SPEC, [tuple(SPEC.check_bar_mm * PRINTED)])
NAME = "Bench model A-12"


def photo(looks, number, seed=0, lean=None):
    tilt, towards = lean or LEANS[number % len(LEANS)]
    pose = looks.pose_over(SPEC, tilt, towards, 40.0 * number, 240.0 + 5 * number)
    values = np.concatenate([LENS, pose, PRINTED])
    sighting = looks.sight_corners(SPEC, values, SIGMA_PX, 100 * seed + number)
    return TargetPhoto(f"ring-{number}.jpg", f"{number:064d}", *SIZE, NAME, 27.0, sighting)


def photos(looks, count, seed=0):
    return [photo(looks, k, seed) for k in range(count)]


def bent(looks, number):
    """A photo of the sheet with two edges standing up by 3 mm."""
    whole = photo(looks, number)
    pose = looks.pose_over(SPEC, *LEANS[number], 40.0 * number, 240.0 + 5 * number)
    values = np.concatenate([LENS, pose, PRINTED])
    flat = np.array(
        [((k % 17 + 1) * SPEC.square_mm, (k // 17 + 1) * SPEC.square_mm) for k in SPEC.corner_ids]
    )
    rise = -3.0 * (2 * flat[:, 0] / SPEC.side_mm - 1) ** 2
    seen = project(values, np.column_stack([flat * PRINTED, rise]))
    return replace(whole, sighting=replace(whole.sighting, corners_px=seen))


def refusal(given):
    with pytest.raises(CameraError) as caught:
        calibrate(given, SCALE)
    assert caught.value.cure
    return caught.value


@pytest.fixture(scope="module")
def result(looks):
    return calibrate(photos(looks, 12), SCALE)


def test_the_truth_lies_within_the_covariance(result):
    away = result.camera.values - LENS
    # chi-square of 9: one in a thousand is beyond 28
    assert away @ np.linalg.solve(result.camera.covariance, away) < 28
    assert np.sqrt(result.camera.covariance[0, 0]) < 2  # and it does say something


def test_the_camera_carries_what_its_photos_say(result):
    camera = result.camera
    assert (camera.width_px, camera.height_px) == SIZE
    assert (camera.name, camera.focal_35mm, camera.source) == (NAME, 27.0, "profile")
    assert np.linalg.eigvalsh(camera.covariance).min() > 0
    widened = result.bundle.covariance[:9, :9] * max(1, result.bundle.photo_scatter)
    assert camera.covariance == pytest.approx(widened)


def test_each_photo_is_reported(result):
    assert [each.name for each in result.photos] == [f"ring-{k}.jpg" for k in range(12)]
    assert [each.tilt_deg for each in result.photos] == pytest.approx(
        [LEANS[k % 8][0] for k in range(12)], abs=0.5
    )
    expected_px = SIGMA_PX * np.sqrt(2)
    assert all(each.rms_px == pytest.approx(expected_px, rel=0.35) for each in result.photos)
    assert all(50 < each.corners <= 84 for each in result.photos)
    assert result.rms_px == pytest.approx(expected_px, rel=0.1)
    assert result.left_out == ()


def test_lengths_held_back_are_as_good_as_the_corners_allow(result):
    """Two corners of 0.05 px, about 0.09 mm to a pixel, over 50 mm: 6 um, less what the fit took."""
    assert 3 < result.held_back_um < 9


def test_a_profile_costs_less_than_none(result):
    assert 0.5 < result.cost_um < result.cost_uncalibrated_um / 1.5


@pytest.mark.parametrize("numbers", [(6,), (1, 4, 6)])
def test_photos_of_a_bent_sheet_are_named_and_left_out(looks, numbers):
    given = [bent(looks, k) if k in numbers else photo(looks, k) for k in range(8)]
    result = calibrate(given, SCALE)
    assert [name for name, _ in result.left_out] == [f"ring-{k}.jpg" for k in numbers]
    assert all("flat" in reason for _, reason in result.left_out)
    away = result.camera.values - LENS
    assert away @ np.linalg.solve(result.camera.covariance, away) < 28


def test_corners_that_fit_worse_than_they_are_seen_are_told(looks, result):
    given = photos(looks, 6)
    boasting = [
        replace(each, sighting=replace(each.sighting, sigma_px=each.sighting.sigma_px / 3))
        for each in given
    ]
    assert "tape the sheet" in calibrate(boasting, SCALE).advice[0]
    assert not [each for each in result.advice if "tape" in each]


def shown_larger(given, factor, shift_px=0.0):
    """The photo as if zoomed by the camera's program, or cut off on one side."""
    middle = (np.array(SIZE) - 1) / 2
    corners = middle + (given.sighting.corners_px - middle) * factor + [shift_px, 0]
    return replace(given, sighting=replace(given.sighting, corners_px=corners))


@pytest.mark.parametrize(("factor", "shift_px"), [(1.25, 0), (1.0, 60)])
def test_a_zoomed_or_cut_photo_is_left_out_and_no_other(looks, factor, shift_px):
    given = photos(looks, 8)
    given[4] = shown_larger(given[4], factor, shift_px)
    result = calibrate(given, SCALE)
    assert [name for name, _ in result.left_out] == ["ring-4.jpg"]
    assert "another camera or zoom" in result.left_out[0][1]
    away = result.camera.values - LENS
    assert away @ np.linalg.solve(result.camera.covariance, away) < 28


def test_a_set_of_both_ways_round_gives_the_lens_of_one(looks):
    given = photos(looks, 8)
    mixed = [turned_by_half(each) if k in {1, 2, 5} else each for k, each in enumerate(given)]
    result = calibrate([replace(each, turned=False) for each in mixed], SCALE)
    assert [each.turned for each in result.photos] == [k in {1, 2, 5} for k in range(8)]
    assert result.camera.values == pytest.approx(calibrate(given, SCALE).camera.values, rel=1e-6)
    away = result.camera.values - LENS
    assert away @ np.linalg.solve(result.camera.covariance, away) < 28


def test_a_sheet_that_nobody_measured_gives_its_stretch_along_with_the_lens(looks):
    """The photos tell how much more it was stretched one way; its size is distance only."""
    result = calibrate(photos(looks, 12), unmeasured_scale())
    assert result.bundle.scale[0] / result.bundle.scale[1] == pytest.approx(
        PRINTED[0] / PRINTED[1], abs=1e-4
    )
    away = result.camera.values - LENS
    assert away @ np.linalg.solve(result.camera.covariance, away) < 28


def test_a_steep_photo_is_named_and_left_out(looks):
    result = calibrate([*photos(looks, 6), photo(looks, 6, lean=(52, 0))], SCALE)
    assert [name for name, _ in result.left_out] == ["ring-6.jpg"]


@pytest.mark.parametrize("count", [0, 3])
def test_too_few_photos_are_refused(looks, count):
    error = refusal(photos(looks, count))
    assert error.code == "too_few_photos"
    assert f"Only {count} of" in error.text
    assert "10 to 15" in error.cure


def test_what_was_wrong_with_the_others_is_said(looks):
    error = refusal([*photos(looks, 3), photo(looks, 6, lean=(52, 0))])
    assert error.code == "too_few_photos"
    assert "ring-6.jpg: Taken 52 degrees" in error.text


@pytest.mark.parametrize("tilt", [0.3, 3.0])
def test_photos_that_are_all_alike_are_refused(looks, tilt):
    given = [photo(looks, k, lean=(tilt, 37 * k)) for k in range(8)]
    assert refusal(given).code == "views_too_alike"


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"width_px": 3000, "height_px": 4000}, "sizes_differ"),
        ({"camera_name": "Bench model A-13"}, "cameras_differ"),
        ({"focal_35mm": 13.0}, "cameras_differ"),
    ],
)
def test_photos_of_different_cameras_are_refused_by_name(looks, change, code):
    given = photos(looks, 5)
    given[3] = replace(given[3], **change)
    error = refusal(given)
    assert error.code == code
    assert "ring-3.jpg" in error.text


def test_photos_of_different_sheets_are_refused(looks):
    given = photos(looks, 5)
    other = replace(given[2].sighting, spec=load_specs()["L"])
    given[2] = replace(given[2], sighting=other)
    assert refusal(given).code == "sheets_differ"


def test_photos_that_say_nothing_of_their_camera_go_with_any(looks):
    given = photos(looks, 5)
    given[0] = replace(given[0], camera_name="", focal_35mm=None)
    camera = calibrate(given, SCALE).camera
    assert (camera.name, camera.focal_35mm) == (NAME, 27.0)
