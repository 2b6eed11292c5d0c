"""The pose of one photo: true values recovered, stated covariances borne out, refusals."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from scribetarget.adjustment import predict
from scribetarget.camera import Camera
from scribetarget.errors import SightingError
from scribetarget.lens import plane_from_photo, project, rotation_matrix
from scribetarget.pose import residual_mm, solve_view, tilt_deg
from scribetarget.printscale import scale_from_bars, unmeasured_scale
from scribetarget.priors import camera_from_exif
from scribetarget.spec import corner_positions_mm, load_specs

SPEC = load_specs()["M"]
LENS = np.array([2905.0, 0.9995, 1977.5, 1508.5, -0.041, 0.052, -0.0005, 0.0007, -0.018])
PRINTED = np.array([1.0006, 0.9991])
SIGMA_PX = 0.05
SIZE = (4000, 3000)


def truth(looks, tilt_deg, towards_deg=40.0, turn_deg=12.0, distance_mm=260.0):
    pose = looks.pose_over(SPEC, tilt_deg, towards_deg, turn_deg, distance_mm)
    return np.concatenate([LENS, pose, PRINTED])


def bars():
    return scale_from_bars(SPEC, [tuple(SPEC.check_bar_mm * PRINTED)])


def profile(values=LENS):
    spread = np.array([8.0, 1e-4, 2, 2, 0.003, 0.01, 1e-4, 1e-4, 0.01])
    return Camera(*SIZE, values, np.diag(spread**2), "profile", "")


def refusal(*given):
    with pytest.raises(SightingError) as caught:
        solve_view(*given)
    assert caught.value.cure
    return caught.value.code


@pytest.mark.parametrize("tilt", [0.0, 12.0, 30.0])
@pytest.mark.parametrize("turn", [0.0, 95.0, 180.0])
def test_perfect_corners_give_the_true_pose(looks, tilt, turn):
    values = truth(looks, tilt, turn_deg=turn)
    view = solve_view(looks.sight_corners(SPEC, values, 1e-4, 1), profile(), bars())
    places = corner_positions_mm(SPEC, SPEC.corner_ids)
    drawn = np.column_stack([places, np.zeros(len(places))])
    moved = predict(drawn, view.values).places_px - predict(drawn, values).places_px
    assert np.abs(moved).max() < 5e-4
    assert rotation_matrix(view.values[9:12]) == pytest.approx(
        rotation_matrix(values[9:12]), abs=1e-4
    )
    assert tilt_deg(view) == pytest.approx(tilt, abs=1e-2)
    assert residual_mm(view) < 1e-4


def test_the_focal_length_comes_from_a_tilted_photo_alone(looks):
    values = truth(looks, 25.0)
    exif = camera_from_exif(*SIZE, 26.0, "")
    view = solve_view(looks.sight_corners(SPEC, values, 0.01, 2), exif, bars())
    before, after = exif.covariance[0, 0], view.covariance[0, 0]
    assert after < before / 10
    assert abs(view.values[0] - LENS[0]) < 3 * np.sqrt(after)


def test_derivatives_follow_the_function(looks):
    """Central differences give the same slopes."""
    values = truth(looks, 20.0)
    places = corner_positions_mm(SPEC, SPEC.corner_ids)
    drawn = np.column_stack([places, np.zeros(len(places))])
    now = predict(drawn, values)
    for k, step in enumerate(np.where(np.abs(values) > 1, 1e-2, 1e-5)):
        change = np.eye(17)[k] * step
        up, down = (predict(drawn, values + way * change).places_px for way in (1, -1))
        between = (up - down).ravel() / (2 * step)
        assert now.by_values[:, k] == pytest.approx(between, rel=1e-5, abs=1e-6 * np.ptp(between))


def test_the_causes_add_up_to_the_covariance(looks):
    sighting = looks.sight_corners(SPEC, truth(looks, 15.0), SIGMA_PX, 3)
    for camera in (profile(), camera_from_exif(*SIZE, 26.0, "")):
        view = solve_view(sighting, camera, bars())
        causes = {"lens", "focal", "bars", "caliper", "climate", "corners", "sheet"}
        assert set(view.parts) == causes
        size = np.sqrt(np.outer(np.diag(view.covariance), np.diag(view.covariance)))
        assert np.abs((sum(view.parts.values()) - view.covariance) / size).max() < 1e-9
        for part in view.parts.values():
            assert np.linalg.eigvalsh(part / size).min() > -1e-9
    assert np.all(solve_view(sighting, profile(), bars()).parts["focal"] == 0)


def test_the_calipers_share_is_taken_out_of_the_bars(looks):
    sighting = looks.sight_corners(SPEC, truth(looks, 15.0), SIGMA_PX, 3)
    apart = solve_view(sighting, profile(), bars()).parts
    whole = solve_view(sighting, profile(), replace(bars(), caliper=np.zeros((2, 2)))).parts
    both = apart["bars"] + apart["caliper"]
    size = np.sqrt(np.outer(np.diag(both), np.diag(both)))
    assert np.abs((both - whole["bars"]) / size).max() < 1e-6
    assert np.all(whole["caliper"] == 0)
    assert apart["caliper"][15, 15] > apart["bars"][15, 15] > 0


@pytest.mark.slow
def test_the_stated_covariance_is_what_repeating_it_all_gives(looks):
    """Corners, lens and bars are drawn anew each time, each from what is stated of it."""
    values, rng = truth(looks, 15.0), np.random.default_rng(4)
    camera, scale = profile(), bars()
    face = (-0.8, 0.0, 0.0)
    ends = project(values, np.array([[70.0, 80.0, -0.8], [120.0, 80.0, -0.8]]))
    stated, lengths = [], []
    for seed in range(30):
        lens = rng.multivariate_normal(LENS, camera.covariance)
        print_scale = rng.multivariate_normal(PRINTED, scale.covariance)
        view = solve_view(
            looks.sight_corners(SPEC, values, SIGMA_PX, seed),
            replace(camera, values=lens),
            replace(scale, values=print_scale),
        )
        away = view.values - values
        stated.append(away @ np.linalg.solve(view.covariance, away))
        first, second = plane_from_photo(view.values, ends, face)
        lengths.append(np.hypot(*(second - first)))
    # the mean of 30 chi-squares of 17 degrees of freedom, within four standard errors
    assert np.mean(stated) == pytest.approx(17, abs=4 * np.sqrt(2 * 17 / 30))
    assert np.mean(lengths) == pytest.approx(50.0, abs=0.005)


def test_an_independent_solver_agrees(looks):
    """OpenCV's iterative pose with the true lens, on corners with errors."""
    values = truth(looks, 18.0)
    sighting = looks.sight_corners(SPEC, values, SIGMA_PX, 5)
    tight = replace(profile(), covariance=profile().covariance * 1e-8)
    view = solve_view(sighting, tight, replace(bars(), covariance=np.eye(2) * 1e-14))
    places = corner_positions_mm(SPEC, sighting.corner_ids) * PRINTED
    matrix = np.array([[LENS[0], 0, LENS[2]], [0, LENS[0] * LENS[1], LENS[3]], [0, 0, 1]])
    points = np.column_stack([places, np.zeros(len(places))])
    _, turn, shift = cv2.solvePnP(points, sighting.corners_px, matrix, LENS[4:])
    away = view.values[9:15] - np.concatenate([turn.ravel(), shift.ravel()])
    assert np.all(np.abs(away) < 0.5 * np.sqrt(np.diag(view.covariance)[9:15]))


def test_a_wrong_corner_is_found_out(looks):
    values = truth(looks, 15.0)
    sighting = looks.sight_corners(SPEC, values, SIGMA_PX, 6)
    moved = sighting.corners_px.copy()
    moved[[5, 30]] += [[1.5, 0], [0, -4.0]]
    view = solve_view(replace(sighting, corners_px=moved), profile(), bars())
    assert set(sighting.corner_ids) - set(view.corner_ids) == set(sighting.corner_ids[[5, 30]])
    away = view.values - values
    assert away @ np.linalg.solve(view.covariance, away) < 40  # 17 + 4 standard deviations


def test_corners_worse_than_stated_widen_the_covariance(looks):
    sighting = looks.sight_corners(SPEC, truth(looks, 15.0), 0.2, 7)
    boasting = replace(sighting, sigma_px=np.full(len(sighting.sigma_px), 0.05))
    honest, widened = (solve_view(each, profile(), bars()) for each in (sighting, boasting))
    assert widened.reduced_chi2 == pytest.approx(16 * honest.reduced_chi2, rel=0.1)
    ratio = np.diag(widened.covariance) / np.diag(honest.covariance)
    assert np.all(np.abs(ratio - 1) < 0.3)


def test_without_bars_shape_is_known_and_size_is_not(looks):
    sighting = looks.sight_corners(SPEC, truth(looks, 15.0), SIGMA_PX, 8)
    view = solve_view(sighting, profile(), unmeasured_scale())
    u_scale = np.sqrt(np.diag(view.covariance)[15:])
    assert np.all(u_scale > 0.001)
    assert np.sqrt(view.parts["bars"][15, 15]) > 0.9 * u_scale[0]


def test_swapped_bars_are_seen_by_a_known_lens_and_believed_less(looks):
    sighting = looks.sight_corners(SPEC, truth(looks, 15.0), SIGMA_PX, 8)
    swapped = scale_from_bars(SPEC, [tuple(SPEC.check_bar_mm * PRINTED[::-1])])
    right, wrong = (solve_view(sighting, profile(), scale) for scale in (bars(), swapped))
    assert not right.scale.doubted
    assert wrong.scale.doubted
    u_right, u_wrong = (np.sqrt(np.diag(view.covariance)[15:]) for view in (right, wrong))
    assert np.all(u_wrong > 3 * u_right)
    # The lens tells the ratio and the bars' mean the size, so that the stretches come out right.
    assert np.all(np.abs(wrong.values[15:] - PRINTED) < 2 * u_wrong)
    assert wrong.values[15] > wrong.values[16]


@pytest.mark.parametrize(("tilt", "code"), [(40.0, None), (50.0, "too_steep")])
def test_a_steep_photo_is_refused(looks, tilt, code):
    given = looks.sight_corners(SPEC, truth(looks, tilt), SIGMA_PX, 9), profile(), bars()
    if code is None:
        assert tilt_deg(solve_view(*given)) == pytest.approx(tilt, abs=0.5)
    else:
        assert refusal(*given) == code


def test_a_bent_sheet_is_refused(looks):
    """Two edges of the sheet stand up by 4 mm."""
    values = truth(looks, 15.0)
    places = corner_positions_mm(SPEC, SPEC.corner_ids) * PRINTED
    rise = -4.0 * (2 * places[:, 0] / SPEC.side_mm - 1) ** 2
    seen = project(values, np.column_stack([places, rise]))
    flat = looks.sight_corners(SPEC, values, SIGMA_PX, 10)
    assert refusal(replace(flat, corners_px=seen), profile(), bars()) == "sheet_not_flat"


def test_corners_of_no_sheet_are_refused(looks):
    sighting = looks.sight_corners(SPEC, truth(looks, 15.0), SIGMA_PX, 11)
    scattered = np.random.default_rng(1).uniform(0, 3000, sighting.corners_px.shape)
    code = refusal(replace(sighting, corners_px=scattered), profile(), bars())
    assert code in {"sheet_not_flat", "pose_impossible", "too_steep"}
