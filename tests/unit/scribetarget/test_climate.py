"""Paper that grows: none more than the season's damp, and never less for being older."""

import numpy as np
import pytest

from scribetarget.climate import SEASON_PERCENT, growth_covariance, season_percent


def test_the_season_is_the_spread_of_a_wave_between_two_dates():
    days = np.linspace(0, 365.25, 10_001)[:-1]
    for age in (1, 20, 91):
        wave = [SEASON_PERCENT * np.sin(2 * np.pi * (days + shift) / 365.25) for shift in (0, age)]
        assert season_percent(age) == pytest.approx(np.sqrt(np.mean((wave[0] - wave[1]) ** 2)))


def test_age_never_makes_it_better_and_counts_either_way():
    sizes = [season_percent(age) for age in range(800)]
    assert sizes[0] == 0
    assert np.all(np.diff(sizes) >= 0)
    assert season_percent(-40) == season_percent(40)
    assert max(sizes) < 25  # percent of relative humidity in a room


def test_growth_lies_within_what_paper_does():
    u_per_percent = np.sqrt(np.diag(growth_covariance(1.0)))
    assert np.all((u_per_percent > 10e-6) & (u_per_percent < 100e-6))
    shape = growth_covariance(1.0)
    assert 0 < shape[0, 1] < shape[0, 0]  # both directions grow, one more than the other
