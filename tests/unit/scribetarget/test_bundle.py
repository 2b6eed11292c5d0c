"""Many photos solved together: derivatives, truth within the covariance, outliers, scatter."""

from dataclasses import replace

import numpy as np
import pytest

from scribetarget.bundle import PointView, adjust
from scribetarget.printscale import scale_from_bars
from scribetarget.priors import camera_from_exif
from scribetarget.spec import corner_positions_mm, load_specs

SPEC = load_specs()["S"]
SIZE = (4000, 3000)
LENS = np.array([2905.0, 0.9995, 1977.5, 1508.5, -0.041, 0.052, -0.0005, 0.0007, -0.018])
PRINTED = np.array([1.0006, 0.9991])
SIGMA_PX = 0.05
LEANS = [(3, 0), (15, 20), (20, 110), (25, 200), (30, 290), (33, 60), (12, 150), (28, 330)]
PRIOR = camera_from_exif(*SIZE, 27.0, "")
SCALE = scale_from_bars(SPEC, [tuple(SPEC.check_bar_mm * PRINTED)])


def view(looks, number, seed, sigma=SIGMA_PX):
    tilt, towards = LEANS[number % len(LEANS)]
    pose = looks.pose_over(SPEC, tilt, towards, 40.0 * number, 130.0 + 5 * number)
    sighting = looks.sight_corners(SPEC, np.concatenate([LENS, pose, PRINTED]), sigma, seed)
    flat = corner_positions_mm(SPEC, sighting.corner_ids)
    drawn = np.column_stack([flat, np.zeros(len(flat))])
    return PointView(drawn, sighting.corners_px, sighting.sigma_px)


def views(looks, count, seed=0, sigma=SIGMA_PX):
    return [view(looks, k, 100 * seed + k, sigma) for k in range(count)]


def distance(bundle):
    away = bundle.lens - LENS
    return away @ np.linalg.solve(bundle.covariance[:9, :9], away)


def test_the_truth_lies_within_the_covariance(looks):
    """Ten sets of eight photos: the mean of ten chi-squares of 9, within four standard errors."""
    bundles = [adjust(views(looks, 8, seed), PRIOR, SCALE) for seed in range(10)]
    assert np.mean([distance(each) for each in bundles]) == pytest.approx(9, abs=4 * 18**0.5 / 3.2)
    assert all(0.8 < each.reduced_chi2 < 1.2 for each in bundles)
    # eight photos: the jackknife is generous, and knows no more than its own noise
    assert 0.5 < np.median([each.photo_scatter for each in bundles]) < 4


def test_it_says_much_more_than_was_known(looks):
    bundle = adjust(views(looks, 8), PRIOR, SCALE)
    gain = np.sqrt(np.diag(PRIOR.covariance) / np.diag(bundle.covariance)[:9])
    assert np.all(gain[:8] > 3)  # k3 shows at the picture's edge alone, where no corner is
    assert 1 < gain[8] < 2
    assert gain[0] > 30
    assert bundle.poses.shape == (8, 6)
    assert bundle.covariance.shape == (59, 59)


def test_twice_the_noise_is_twice_the_uncertainty(looks):
    quiet, noisy = (adjust(views(looks, 6, 1, s), PRIOR, SCALE) for s in (0.001, 0.002))
    ratio = np.sqrt(noisy.covariance[0, 0] / quiet.covariance[0, 0])
    assert ratio == pytest.approx(2, rel=0.05)


def test_noise_that_was_understated_is_found_out(looks):
    honest = views(looks, 6, 2)
    boasting = [replace(each, sigma_px=each.sigma_px / 3) for each in honest]
    first, second = adjust(honest, PRIOR, SCALE), adjust(boasting, PRIOR, SCALE)
    assert second.reduced_chi2 == pytest.approx(9 * first.reduced_chi2, rel=0.05)
    ratio = second.covariance[0, 0] / first.covariance[0, 0]
    assert ratio == pytest.approx(max(first.reduced_chi2, 1), rel=0.1)


def test_wrong_corners_are_left_out_and_do_no_harm(looks):
    spoilt = views(looks, 6, 3)
    for k, each in enumerate(spoilt):
        seen = each.seen_px.copy()
        seen[[4 * k, 4 * k + 11]] += [[3.0, -8.0], [-40.0, 15.0]]
        spoilt[k] = replace(each, seen_px=seen)
    bundle = adjust(spoilt, PRIOR, SCALE)
    lost = [set(np.flatnonzero(~keep)) for keep in bundle.kept]
    assert lost == [{4 * k, 4 * k + 11} for k in range(6)]
    assert distance(bundle) < 28  # chi-square of 9, one in a thousand


def test_photos_that_disagree_widen_by_scatter_and_not_by_residuals(looks):
    """Each photo's corners are stretched alike, as light or focus may do; no corner sticks out."""
    random = np.random.default_rng(5)
    good = views(looks, 8, 4)
    stretched = []
    for each in good:
        middle = each.seen_px.mean(axis=0)
        bend = 1e-9 * random.normal() * ((each.seen_px - middle) ** 2).sum(axis=1, keepdims=True)
        seen = each.seen_px + bend * (each.seen_px - middle)
        stretched.append(replace(each, seen_px=seen))
    plain, shifted = (adjust(each, PRIOR, SCALE) for each in (good, stretched))
    assert shifted.photo_scatter > 4 * plain.photo_scatter


def test_the_lens_without_a_photo_is_what_the_others_give(looks):
    all_of_them = views(looks, 8, 6)
    bundle = adjust(all_of_them, PRIOR, SCALE)
    for left_out in (0, 4):
        others = [each for k, each in enumerate(all_of_them) if k != left_out]
        again = adjust(others, PRIOR, SCALE)
        u = np.sqrt(np.diag(again.covariance)[:9])
        assert np.all(np.abs(bundle.lens_without[left_out] - again.lens) < 0.1 * u)
        assert np.any(np.abs(bundle.lens - again.lens) > 0.2 * u)
