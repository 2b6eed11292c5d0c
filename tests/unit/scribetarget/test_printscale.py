"""The print scale from caliper readings, and what is known without them."""

import numpy as np
import pytest

from scribetarget.errors import BarsError
from scribetarget.printscale import scale_from_bars, unmeasured_scale
from scribetarget.spec import load_specs

SPECS = load_specs()


@pytest.mark.parametrize(("size", "drawn_mm"), [("S", 60.0), ("M", 100.0), ("L", 100.0)])
def test_a_bar_over_its_drawn_length(size, drawn_mm):
    scale = scale_from_bars(SPECS[size], [(drawn_mm * 1.002, drawn_mm * 0.999)])
    assert scale.values == pytest.approx([1.002, 0.999])
    assert scale.known


def test_the_uncertainty_is_caliper_and_setting_and_climate():
    """20 um half-width rectangular and 10 um of setting on 100 mm, with paper's own part."""
    scale = scale_from_bars(SPECS["M"], [(100.0, 100.0)])
    paper = scale.climate[0, 0]
    u_um = np.sqrt(scale.covariance[0, 0] - paper) * 100e3
    assert u_um == pytest.approx(np.hypot(20 / np.sqrt(3), 10), rel=1e-6)
    caliper_and_climate_are_shared = scale.covariance[0, 1] - scale.climate[0, 1]
    assert np.sqrt(caliper_and_climate_are_shared) * 100e3 == pytest.approx(20 / np.sqrt(3))


def test_reading_again_shrinks_the_setting_and_not_the_caliper():
    once, four = (scale_from_bars(SPECS["M"], [(100.1, 99.9)] * n) for n in (1, 4))
    free = once.covariance - once.climate - once.covariance[0, 1] + once.climate[0, 1]
    free4 = four.covariance - four.climate - four.covariance[0, 1] + four.climate[0, 1]
    assert free4[0, 0] == pytest.approx(free[0, 0] / 4)
    assert four.covariance[0, 1] == pytest.approx(once.covariance[0, 1])


def test_a_coarser_caliper_is_believed_less():
    fine, coarse = (scale_from_bars(SPECS["M"], [(100.0, 100.0)], error) for error in (0.02, 0.05))
    assert np.sqrt(coarse.caliper[0, 0]) * 100 == pytest.approx(0.05 / np.sqrt(3))
    grown = coarse.covariance - fine.covariance
    assert grown == pytest.approx(coarse.caliper - fine.caliper)
    assert coarse.caliper[0, 1] == coarse.caliper[0, 0]  # one caliper for both bars


def test_readings_that_scatter_speak_for_themselves():
    """Spread 0.05 mm along x, none along y: type A with two degrees of freedom, and the usual."""
    scale = scale_from_bars(SPECS["M"], [(100.05, 99.9), (100.10, 99.9), (100.0, 99.9)])
    assert scale.bars is not None
    assert scale.bars.u_setting_mm == pytest.approx((0.05 / np.sqrt(3), 0.01 / np.sqrt(3)))
    assert scale.bars.freedom == (2, np.inf)
    own = (scale.covariance - scale.climate - scale.caliper) * 100**2
    assert np.diag(own) == pytest.approx(np.square(scale.bars.u_setting_mm))
    assert own[0, 1] == pytest.approx(0, abs=1e-12)


def test_readings_that_agree_to_the_last_digit_are_not_better_than_hands_are():
    scale = scale_from_bars(SPECS["M"], [(100.1, 99.9)] * 5)
    assert scale.bars is not None
    assert scale.bars.u_setting_mm == pytest.approx((0.01 / np.sqrt(5),) * 2)
    assert len(scale.bars.readings_mm) == 5


def test_what_three_readings_say_covers_the_truth():
    """Monte Carlo: readings that scatter by 0.04 mm; the mean within k u of the truth, k of t(2)."""
    rng = np.random.default_rng(11)
    inside = 0
    for _ in range(2000):
        readings = 100 + rng.normal(0, 0.04, (3, 2))
        bars = scale_from_bars(SPECS["M"], [(x, y) for x, y in readings]).bars
        assert bars is not None
        inside += abs(readings[:, 0].mean() - 100) < 4.30 * bars.u_setting_mm[0]
    assert 0.94 < inside / 2000 < 0.97


def test_old_bars_widen_the_paper_s_part_alone():
    new, old = (scale_from_bars(SPECS["M"], [(100, 100)], age_days=age) for age in (0, 120))
    assert (old.covariance - new.covariance) == pytest.approx(old.climate - new.climate)
    assert old.climate[0, 0] > 20 * new.climate[0, 0]
    assert np.sqrt(old.covariance[0, 0]) < np.sqrt(unmeasured_scale().covariance[0, 0])


@pytest.mark.parametrize(("size", "error_mm", "days"), [("M", 0.02, 28), ("S", 0.02, 45)])
def test_bars_are_outgrown_when_paper_outweighs_the_caliper(size, error_mm, days):
    bar = SPECS[size].check_bar_mm
    ages = (days - 1, days, -days)
    scales = [scale_from_bars(SPECS[size], [(bar, bar)], error_mm, age) for age in ages]
    assert [scale.outgrown for scale in scales] == [False, True, True]


def test_readings_are_averaged_each_axis_by_itself():
    scale = scale_from_bars(SPECS["L"], [(100.10, 99.80), (100.14, 99.86)])
    assert scale.values == pytest.approx([1.0012, 0.9983])


def test_a_sheet_fitted_to_the_page_still_measures():
    assert scale_from_bars(SPECS["M"], [(94.1, 94.3)]).values == pytest.approx([0.941, 0.943])


def test_a_shorter_bar_knows_less():
    small, large = (scale_from_bars(SPECS[s], [(b, b)]) for s, b in (("S", 60.0), ("M", 100.0)))
    assert small.covariance[0, 0] > 2 * large.covariance[0, 0]


@pytest.mark.parametrize(
    "reading",
    [(60.0, 60.0), (100.1, 96.9), (103.1, 100.0), (89.0, 89.0), (float("nan"), 100.0), (-100, 100)],
)
def test_bars_of_another_sheet_or_of_nothing_are_refused(reading):
    with pytest.raises(BarsError) as caught:
        scale_from_bars(SPECS["M"], [reading])
    assert caught.value.code == "bars_absurd"
    assert "100 mm" in caught.value.text


def test_one_absurd_reading_among_good_ones_is_refused():
    with pytest.raises(BarsError, match="10 and 100 mm"):
        scale_from_bars(SPECS["M"], [(100.0, 100.0), (10.0, 100.0)])


def test_without_bars_the_shape_alone_is_known():
    scale = unmeasured_scale()
    assert not scale.known
    assert scale.values == pytest.approx([1, 1])
    # what printers do: up to half a per cent, hardly ever more
    assert 0.001 < np.sqrt(scale.covariance[0, 0]) < 0.005


@pytest.mark.parametrize("scale", [unmeasured_scale(), scale_from_bars(SPECS["S"], [(60, 60)])])
def test_covariances_are_covariances(scale):
    for matrix in (scale.covariance, scale.climate, scale.covariance - scale.climate):
        assert np.linalg.eigvalsh(matrix).min() > 0
        assert np.array_equal(matrix, matrix.T)
