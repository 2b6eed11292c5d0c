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
