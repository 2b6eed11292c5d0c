"""Figures laid over measured ones: exactly, and by the published least-squares solution."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scribegauge.figure.datum import Datum, factor, laid

SQUARE = np.array([0, 30, 30 + 20j, 20j])
ALL = (0, 1, 2, 3)


def moved(turn_deg, scale=1.0, shift=12 - 5j):
    return shift + scale * np.exp(1j * np.radians(turn_deg)) * SQUARE


@given(st.floats(-180, 180), st.floats(0.9, 1.1))
def test_a_figure_that_was_only_moved_is_laid_exactly(turn_deg, scale):
    measured = moved(turn_deg, scale)
    free = Datum(ALL, side=False, size_free=True)
    np.testing.assert_allclose(laid(SQUARE, measured, free), measured, atol=1e-9)
    assert abs(factor(SQUARE, measured, free)) == pytest.approx(scale)
    by_side = Datum((1, 2), side=True, size_free=True)
    np.testing.assert_allclose(laid(SQUARE, measured, by_side), measured, atol=1e-9)


def test_a_fixed_size_keeps_lengths():
    there = laid(SQUARE, moved(40, 1.01), Datum(ALL, side=False, size_free=False))
    np.testing.assert_allclose(np.abs(np.diff(there)), np.abs(np.diff(SQUARE)), atol=1e-12)
    assert there.mean() == pytest.approx(moved(40, 1.01).mean())


def test_best_fit_is_the_one_with_the_least_squares():
    measured = moved(25) + np.array([0.3, -0.1j, 0.2 + 0.1j, -0.25])
    best = laid(SQUARE, measured, Datum(ALL, side=False, size_free=True))
    least = (np.abs(measured - best) ** 2).sum()
    centre = best.mean()
    for change in (1 + 1e-3, 1 - 1e-3, np.exp(1e-3j), np.exp(-1e-3j)):
        other = centre + change * (best - centre)
        assert (np.abs(measured - other) ** 2).sum() > least
    for shift in (1e-3, -1e-3, 1e-3j, -1e-3j):
        assert (np.abs(measured - best - shift) ** 2).sum() > least


def test_from_a_side_its_start_is_kept_and_the_rest_follows():
    measured = moved(10) + np.array([0, 0.5j, 0, 0])
    datum = Datum((0, 1), side=True, size_free=False)
    there = laid(SQUARE, measured, datum)
    assert there[0] == pytest.approx(measured[0])
    way, wanted = there[1] - there[0], measured[1] - measured[0]
    assert np.angle(way / wanted) == pytest.approx(0.0, abs=1e-12)
    assert datum.kept == (0,)
    assert Datum((0, 1), side=True, size_free=True).kept == (0, 1)
    assert Datum(ALL, side=False, size_free=True).kept == ()


def test_whole_stacks_are_laid_at_once():
    stack = np.array([moved(turn) for turn in (0, 30, 90)])
    datum = Datum(ALL, side=False, size_free=False)
    together = laid(SQUARE, stack, datum)
    for one, each in zip(together, stack, strict=True):
        np.testing.assert_allclose(one, laid(SQUARE, each, datum), atol=1e-12)


def test_points_on_one_another_are_turned_as_they_are_told():
    here = np.array([5 + 5j, 5 + 5j, 15 + 5j])
    datum = Datum((0, 1), side=False, size_free=False, turn_rad=np.pi / 2)
    there = laid(here, np.array([1 + 1j, 1 + 1j, 0]), datum)
    assert there[2] == pytest.approx(1 + 11j)
