"""Sheets that are not flat and profiles that are not the photo's: U grows, or a refusal."""

from dataclasses import replace

import numpy as np
import pytest

from scribetarget.camera import Camera
from scribetarget.camerafit import half_turned
from scribetarget.errors import SightingError
from scribetarget.lens import plane_from_photo, project
from scribetarget.misfit import HIGHEST_RIPPLE_MM
from scribetarget.pose import STEPS, solve_view
from scribetarget.printscale import scale_from_bars
from scribetarget.priors import camera_from_exif
from scribetarget.spec import corner_positions_mm, load_specs

SPEC = load_specs()["M"]
SIZE = (4032, 3024)
LENS = np.array([3040.0, 1.0008, 2029.5, 1500.5, 0.062, -0.118, 0.0006, -0.0004, 0.041])
OTHER_LENS = np.array([2932.0, 0.9995, 1993.5, 1520.5, -0.041, 0.052, -0.0005, 0.0007, -0.018])
SIGMA_PX = 0.03
U_PROFILE = np.array([9.0, 3e-5, 1, 1, 0.0004, 0.0013, 1e-5, 1e-5, 0.0015])
HALF = SPEC.side_mm / 2
# Shapes of height 1: towards the camera is -z; x and y from the middle in halves of a side.
SHAPES = {
    "bow": lambda x, y: x**2 + 0 * y,
    "bow the other way": lambda x, y: -((0.6 * x + 0.8 * y) ** 2),
    "twist": lambda x, y: x * y,
    "corner up": lambda x, y: -np.maximum(0.0, (x + y - 0.8) / 1.2),
    "cockles": lambda x, y: 0.3 * np.sin(6 * x) * np.cos(5 * y),
}


def profile(values=LENS):
    return Camera(*SIZE, values, np.diag(U_PROFILE**2), "profile", "")


def nobodys():
    return camera_from_exif(*SIZE, 27.0, "")


def truth(looks, tilt_deg=12.0, towards_deg=30.0):
    pose = looks.pose_over(SPEC, tilt_deg, towards_deg, 8.0, 190.0)
    return np.concatenate([LENS, pose, [1.0, 1.0]])


def bars():
    return scale_from_bars(SPEC, [(100.0, 100.0)])


def sight(looks, values, shape=None, height_mm=0.0, seed=1):
    """Corners on a sheet of some shape."""
    flat = looks.sight_corners(SPEC, values, SIGMA_PX, seed)
    if shape is None:
        return flat
    drawn = corner_positions_mm(SPEC, flat.corner_ids)
    places = np.column_stack([drawn, np.zeros(len(drawn))])
    raised = places.copy()
    raised[:, 2] = height_mm * SHAPES[shape](*((drawn - HALF) / HALF).T)
    moved = project(values, raised) - project(values, places)
    return replace(flat, corners_px=flat.corners_px + moved)


def errors_over_50_mm(view, values):
    """Errors and U of four lines amid the window on a face 1 mm above the sheet's plane [mm]."""
    turn = np.radians([0, 45, 90, 135])
    arm = 25.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    ends = HALF + np.concatenate([arm, -arm])
    seen = project(values, np.column_stack([ends, np.full(8, -1.0)]))

    def lengths(parameters):
        places = plane_from_photo(parameters, seen, (-1.0, 0.0, 0.0))
        return np.hypot(*(places[:4] - places[4:]).T)

    slopes = [
        (lengths(view.values + step) - lengths(view.values - step)) / (2 * step.sum())
        for step in np.diag(STEPS)
    ]
    variance = np.einsum("ks,kl,ls->s", slopes, view.covariance, slopes)
    return lengths(view.values) - 50.0, 2 * np.sqrt(variance)


@pytest.mark.parametrize("camera", [profile(), nobodys()], ids=["profile", "exif"])
def test_uncertainty_covers_what_an_uneven_sheet_does(looks, camera):
    """95 % of errors within U over shapes, heights and tilts; U far from boundless."""
    ratios, sizes = [], []
    for shape in SHAPES:
        for number, height_mm in enumerate((0.05, 0.1, 0.25)):
            values = truth(looks, 5.0 + 8 * number, 70.0 * number)
            view = solve_view(sight(looks, values, shape, height_mm, number), camera, bars())
            error, expanded = errors_over_50_mm(view, values)
            ratios.extend(np.abs(error) / expanded)
            sizes.extend(expanded / height_mm)
    assert np.mean(np.array(ratios) <= 1) >= 0.92
    assert max(ratios) < 1.5
    assert np.median(sizes) < 1.0


def test_a_flat_sheet_costs_next_to_nothing(looks):
    values = truth(looks)
    heights, shares = [], []
    for seed in range(12):
        view = solve_view(sight(looks, values, seed=seed), profile(), bars())
        error, expanded = errors_over_50_mm(view, values)
        assert np.all(np.abs(error) < expanded)
        heights.append(view.ripple_mm)
        own, sheet = (np.trace(view.parts[cause][9:12, 9:12]) for cause in ("corners", "sheet"))
        shares.append(sheet / own)
    assert np.median(heights) < 0.01
    assert np.median(shares) < 1.0


def test_the_height_of_the_surface_is_found(looks):
    values = truth(looks)
    found = [
        solve_view(sight(looks, values, "bow", height), profile(), bars()).ripple_mm
        for height in (0.05, 0.1, 0.2)
    ]
    assert found[0] < found[1] < found[2] < HIGHEST_RIPPLE_MM
    assert found[2] / found[0] == pytest.approx(4.0, rel=0.3)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("camera", [profile(), nobodys()], ids=["profile", "exif"])
def test_a_sheet_far_from_flat_is_refused(looks, shape, camera):
    with pytest.raises(SightingError) as caught:
        solve_view(sight(looks, truth(looks), shape, 1.5), camera, bars())
    assert caught.value.code == "sheet_not_flat"


@pytest.mark.parametrize("tilt_deg", [0.0, 12.0, 25.0])
def test_a_profile_of_another_camera_is_refused(looks, tilt_deg):
    sighting = sight(looks, truth(looks, tilt_deg))
    with pytest.raises(SightingError) as caught:
        solve_view(sighting, profile(OTHER_LENS), bars())
    assert caught.value.code == "camera_misfit"
    assert "--camera" in caught.value.cure


@pytest.mark.parametrize("tilt_deg", [0.0, 12.0, 25.0])
def test_a_profile_serves_the_picture_turned_by_half_a_turn(looks, tilt_deg):
    """A phone over a table writes its photos either way up."""
    values = truth(looks, tilt_deg)
    sighting = sight(looks, values)
    view = solve_view(sighting, half_turned(profile()), bars())
    straight = solve_view(sighting, profile(), bars())
    assert view.camera.values == pytest.approx(LENS)
    assert view.values == pytest.approx(straight.values)


def test_half_a_turn_twice_is_none():
    root = np.random.default_rng(5).normal(size=(9, 9)) * U_PROFILE[:, None]
    camera = replace(profile(), covariance=root @ root.T)
    turned = half_turned(camera)
    assert turned.values[2:4] == pytest.approx([4031 - 2029.5, 3023 - 1500.5])
    assert turned.covariance[0, 2] == pytest.approx(-camera.covariance[0, 2])
    assert turned.covariance[2, 6] == pytest.approx(camera.covariance[2, 6])
    assert half_turned(turned).values == pytest.approx(camera.values)
    assert half_turned(turned).covariance == pytest.approx(camera.covariance)
