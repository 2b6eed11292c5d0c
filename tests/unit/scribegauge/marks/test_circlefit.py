import json
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import least_squares
from skimage.measure import CircleModel

from scribegauge.marks.circlefit import fit_circle

REFERENCE = Path(__file__).parents[4] / "fixtures" / "reference" / "circles.json"
ENTRIES = {entry["id"]: entry for entry in json.loads(REFERENCE.read_text("utf-8"))["entries"]}


def noisy_arc(seed, sweep=2.0, sigma=0.01, count=40):
    rng = np.random.default_rng(seed)
    angle = np.linspace(0.3, 0.3 + sweep, count)
    radius = 20.0 + rng.normal(scale=sigma, size=count)
    return np.array([5.0, -3.0]) + radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])


def test_gives_the_published_geometric_circle_and_not_the_algebraic_one():
    entry = ENTRIES["circle_six_points"]
    fit = fit_circle(np.array(entry["data"]))
    published, recomputed = entry["published"]["geometric"], entry["recomputed"]["geometric"]
    np.testing.assert_allclose(fit.centre_mm, published["centre"], atol=6e-5)
    assert fit.radius_mm == pytest.approx(published["radius"], abs=6e-5)
    np.testing.assert_allclose(fit.centre_mm, recomputed["centre"], atol=1e-9)
    assert fit.residuals_mm @ fit.residuals_mm == pytest.approx(
        recomputed["sum_of_squared_distances"], abs=1e-9
    )


@pytest.mark.parametrize("name", ["circle_known_answer_full", "circle_known_answer_short_arc"])
def test_gives_the_known_answer_of_constructed_points(name):
    entry = ENTRIES[name]
    fit = fit_circle(np.array(entry["data"]))
    within = entry["tolerance"]["absolute"]
    np.testing.assert_allclose(fit.centre_mm, entry["answer"]["centre"], atol=within)
    assert fit.radius_mm == pytest.approx(entry["answer"]["radius"], abs=within)


def test_covariance_has_the_published_factors_of_a_short_arc():
    entry = ENTRIES["circle_known_answer_short_arc"]
    fit = fit_circle(np.array(entry["data"]))
    spread = np.sqrt(fit.residuals_mm @ fit.residuals_mm / (len(entry["data"]) - 3))
    factors = entry["answer"]["sd_factors"]
    sd = np.sqrt(np.diag(fit.covariance))
    expected = [factors["centre_x"], factors["centre_y"], factors["radius"]]
    np.testing.assert_allclose(sd / spread, expected, rtol=2e-3)
    correlation = fit.covariance[0, 2] / (sd[0] * sd[2])
    assert correlation == pytest.approx(factors["corr_x_radius"], abs=1e-4)


def test_agrees_with_a_general_solver_and_with_scikit_image():
    points = noisy_arc(3)
    fit = fit_circle(points)

    def distances(circle):
        return np.hypot(*(points - circle[:2]).T) - circle[2]

    general = least_squares(distances, [4.0, -2.0, 18.0], xtol=1e-15, ftol=1e-15, gtol=1e-15).x
    np.testing.assert_allclose([*fit.centre_mm, fit.radius_mm], general, atol=1e-6)
    # An algebraic fit: the same circle to within a part of its uncertainty.
    other = CircleModel.from_estimate(points)
    np.testing.assert_allclose(fit.centre_mm, other.center, atol=0.02)


def test_spread_of_many_fits_is_the_stated_one():
    fits = [fit_circle(noisy_arc(seed)) for seed in range(300)]
    found = np.array([[*fit.centre_mm, fit.radius_mm] for fit in fits])
    stated = np.sqrt(np.mean([np.diag(fit.covariance) for fit in fits], axis=0))
    # The standard deviation of 300 is itself good to 4 %.
    np.testing.assert_allclose(found.std(axis=0), stated, rtol=0.15)


def test_weights_decide():
    points = np.vstack([noisy_arc(1), [[5.0, 40.0]]])
    weights = np.ones(len(points))
    weights[-1] = 0.0
    np.testing.assert_allclose(
        fit_circle(points, weights).centre_mm, fit_circle(points[:-1]).centre_mm, atol=1e-9
    )
    assert abs(fit_circle(points).radius_mm - 20.0) > 0.2


@pytest.mark.parametrize(
    "points", [np.zeros((2, 2)), np.column_stack([np.arange(5.0), 2 * np.arange(5.0) + 1])]
)
def test_refuses_points_without_a_circle(points):
    with pytest.raises(ValueError, match=r"three|line"):
        fit_circle(points)
