"""Medians of short rows, against numpy's."""

import numpy as np
import pytest

from scribegauge.marks.spread import median, spread


@pytest.mark.parametrize("count", [1, 2, 7, 8, 31])
def test_median_is_numpys(count):
    values = np.random.default_rng(count).normal(size=count)
    before = values.copy()
    assert median(values) == pytest.approx(float(np.median(values)), abs=1e-15)
    np.testing.assert_array_equal(values, before)


def test_spread_of_a_normal_distribution():
    values = np.random.default_rng(1).normal(scale=2.0, size=40001)
    assert spread(values) == pytest.approx(2.0, rel=0.02)
