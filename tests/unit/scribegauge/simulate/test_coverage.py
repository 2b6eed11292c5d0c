"""A quick look whether U holds; the full count is a command of its own (DEVELOPERS.md)."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import binom, chi2

from scribegauge.simulate.coverage import KINDS, count
from scribegauge.simulate.poses import Given, try_plate

PLATES = 8
QUICK = ("profile", "no profile", "no bars", "unknown thickness", "two photos")
# Wrong once in a thousand choices of seeds.
RARE = 1e-3


@pytest.fixture(scope="module")
def trials():
    return {
        name: [try_plate(KINDS[name], 100 * kind + k) for k in range(PLATES)]
        for kind, name in enumerate(QUICK, start=1)
    }


def one_side_and_angle(trials):
    """Of each plate one side and one angle, over their standard uncertainties: nearly independent."""
    picked = []
    for number, trial in enumerate(trials):
        over = 2 * trial.error / trial.budget.expanded
        n = len(over) // 2
        picked += [over[number % n], over[n + (number + 1) % n]]
    return np.array(picked)


@pytest.mark.slow
def test_true_values_lie_within_u(trials):
    over = np.concatenate([one_side_and_angle(each) for each in trials.values()])
    outside = int((np.abs(over) > 2).sum())
    assert outside <= binom.isf(RARE, len(over), 0.0455)
    # Neither too small nor too large: the squares add up as those of normal errors.
    low, high = chi2.ppf([RARE, 1 - RARE], len(over))
    assert low < (over**2).sum() < high


@pytest.mark.slow
@pytest.mark.parametrize("name", QUICK)
def test_no_kind_is_far_off(trials, name):
    over = one_side_and_angle(trials[name])
    low, high = chi2.ppf([RARE, 1 - RARE], len(over))
    assert low < (over**2).sum() < high


@pytest.mark.slow
def test_what_is_given_makes_u_smaller(trials):
    u = {name: count(each).U_side_mm for name, each in trials.items()}
    assert u["two photos"] < u["profile"]
    assert u["profile"] < min(u["no bars"], u["unknown thickness"])


def test_the_same_seed_gives_the_same_plate():
    one, other, third = (try_plate(Given(profile=False), seed) for seed in (5, 5, 6))
    np.testing.assert_array_equal(one.error, other.error)
    assert one.error.shape != third.error.shape or np.any(one.error != third.error)


def test_counting():
    trial = try_plate(Given(profile=False), 7)
    n = len(trial.error) // 2
    error = np.zeros(2 * n)
    error[0], error[-1] = 1.5 * trial.budget.expanded[0], -0.5 * trial.budget.expanded[-1]
    counted = count([replace(trial, error=error), replace(trial, error=0 * error)])
    assert counted.sides == pytest.approx(1 - 1 / (2 * n))
    assert counted.angles == 1.0
    assert counted.share == pytest.approx(1 - 1 / (4 * n))
    assert counted.spread == pytest.approx(np.sqrt((9 + 1) / (4 * n)))
