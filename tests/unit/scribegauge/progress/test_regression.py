"""Straight lines against another library, and against values drawn at random."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import linregress, ttest_1samp

from scribegauge.progress.regression import Values, columns_of, estimate

FILE = Path(__file__).parents[4] / "fixtures" / "reference" / "process_control.json"


def exactly_measured(values: np.ndarray) -> Values:
    none = np.zeros(len(values))
    return Values(values, none, none, np.zeros(len(values), np.int64))


def line(count: int) -> np.ndarray:
    return np.column_stack([np.ones(count), np.arange(count, dtype=float)])


def published() -> np.ndarray:
    entries = json.loads(FILE.read_text())["entries"]
    (entry,) = (entry for entry in entries if entry["id"] == "rank_trend_by_hand")
    return np.array(entry["data"])


def test_exact_values_give_the_line_of_least_squares() -> None:
    values = published()
    other = linregress(np.arange(len(values)), values)
    found = estimate(line(len(values)), exactly_measured(values))
    assert found.coefficients[1] == pytest.approx(other.slope, rel=1e-9)
    assert np.sqrt(found.covariance[1, 1]) == pytest.approx(other.stderr, rel=1e-6)
    assert found.chance(1) == pytest.approx(other.pvalue, rel=1e-5)
    assert found.chance(1) < 0.05  # as its ranks say, too


def test_equal_uncertainties_change_nothing_while_the_scatter_is_larger() -> None:
    values = published()
    small = np.full(len(values), 0.01)
    plain = estimate(line(len(values)), exactly_measured(values))
    measured = Values(values, small, np.zeros(len(values)), np.zeros(len(values), np.int64))
    found = estimate(line(len(values)), measured)
    np.testing.assert_allclose(found.covariance, plain.covariance, rtol=1e-6)
    assert found.scatter**2 == pytest.approx(plain.scatter**2 - 1e-4, rel=1e-6)


def test_a_mean_is_that_of_student_s_test() -> None:
    values = published()
    other = ttest_1samp(values, 14.0)
    found = estimate(np.ones((len(values), 1)), exactly_measured(values - 14.0))
    assert found.chance(0) == pytest.approx(other.pvalue, rel=1e-6)
    low, high = other.confidence_interval(0.95)
    assert found.half_width(0) == pytest.approx((high - low) / 2, rel=1e-6)


def test_what_all_share_widens_the_mean_and_not_the_slope() -> None:
    values = published()
    none, groups = np.zeros(len(values)), np.zeros(len(values), np.int64)
    apart = estimate(line(len(values)), exactly_measured(values))
    shared = estimate(line(len(values)), Values(values, none, none + 0.7, groups))
    assert shared.covariance[1, 1] == pytest.approx(apart.covariance[1, 1], rel=1e-5)
    assert shared.covariance[0, 0] == pytest.approx(apart.covariance[0, 0] + 0.49, rel=1e-5)


def test_a_large_matrix_gives_the_same() -> None:
    rng = np.random.default_rng(4)
    groups = np.array([0, 0, 1, 1, 1, 2, 2, 2], dtype=np.int64)
    u, shared = rng.uniform(0.1, 0.3, 8), rng.uniform(0.2, 0.4, 8)
    values = rng.normal(0, 2.0, 8)
    found = estimate(line(8), Values(values, u, shared, groups))
    same = groups[:, None] == groups
    whole = np.diag(u**2 + found.scatter**2) + same * np.outer(shared, shared)
    inverse = np.linalg.inv(whole)
    covariance = np.linalg.inv(line(8).T @ inverse @ line(8))
    np.testing.assert_allclose(found.covariance, covariance, rtol=1e-8)
    np.testing.assert_allclose(
        found.coefficients, covariance @ line(8).T @ inverse @ values, rtol=1e-8
    )
    rest = values - line(8) @ found.coefficients
    assert rest @ inverse @ rest == pytest.approx(6, rel=1e-6)  # Paule and Mandel's condition


def test_intervals_hold_as_often_as_they_say() -> None:
    rng = np.random.default_rng(11)
    held = 0
    for _ in range(400):
        groups = np.repeat([0, 1], 5)
        offsets = rng.normal(0, 0.3, 2)[groups]
        u = rng.uniform(0.1, 0.6, 10)
        values = 1.0 + 0.2 * np.arange(10) + offsets + rng.normal(0, u) + rng.normal(0, 0.4, 10)
        found = estimate(line(10), Values(values, u, np.full(10, 0.3), groups))
        held += abs(found.coefficients[1] - 0.2) <= found.half_width(1)
    assert 0.92 <= held / 400 <= 0.99


def test_too_few_values_are_refused() -> None:
    with pytest.raises(ValueError, match="too few"):
        estimate(line(2), exactly_measured(np.array([1.0, 2.0])))
    with pytest.raises(ValueError, match="too similar"):
        estimate(np.ones((5, 2)), exactly_measured(np.arange(5.0)))


def test_columns_mark_each_label() -> None:
    np.testing.assert_array_equal(columns_of(["b", "a", "b"]), [[1, 0], [0, 1], [1, 0]])
