"""Strip sums against sums taken pixel by pixel along each digital line."""

import numpy as np
import pytest

from scribegauge.marks.radon import strip_sums


def steps(slope, width):
    """Return how far the digital line has dropped in each column, by its recursive definition."""
    if width == 1:
        return [0]
    half = steps(slope // 2, width // 2)
    return half + [(slope + 1) // 2 + drop for drop in half]


def brute(image, width, strip, slope, row):
    total = 0.0
    for column, drop in enumerate(steps(slope, width)):
        if row + drop < image.shape[0]:
            total += float(image[row + drop, strip * width + column])
    return total


@pytest.mark.parametrize("levels", [1, 2, 4])
def test_every_sum_is_that_of_its_pixels(levels):
    width = 1 << levels
    image = np.random.default_rng(levels).normal(size=(21, 3 * width)).astype(np.float32)
    (sums,) = strip_sums(image, levels, levels)
    assert sums.shape == (3, width, 21)
    expected = [
        [[brute(image, width, strip, slope, row) for row in range(21)] for slope in range(width)]
        for strip in range(3)
    ]
    np.testing.assert_allclose(sums, expected, atol=1e-4)


@pytest.mark.parametrize("slope", [0, 1, 5, 10, 15])
def test_a_digital_line_starts_and_ends_where_it_says_and_stays_near_the_straight_one(slope):
    # One pixel of light at a time shows which pixels the sum runs over.
    levels, width = 4, 16
    hit = np.full(width, -1)
    for column in range(width):
        image = np.zeros((16, width), np.float32)
        for row in range(16):
            image[:, column] = 0
            image[row, column] = 1
            (sums,) = strip_sums(image, levels, levels)
            if sums[0, slope, 0]:
                hit[column] = row
    assert hit[0] == 0
    assert hit[-1] == slope
    assert np.all(np.isin(np.diff(hit), [0, 1]))
    # Brady (1998): the digital line strays by at most a sixth of the number of levels.
    assert np.abs(hit - slope * np.arange(width) / (width - 1)).max() <= max(1.0, levels / 6)


def test_levels_come_in_order_from_the_first_asked_for():
    image = np.ones((5, 32), np.float32)
    shapes = [sums.shape for sums in strip_sums(image, 4, 2)]
    assert shapes == [(8, 4, 5), (4, 8, 5), (2, 16, 5)]


def test_a_width_that_does_not_divide_is_an_error():
    with pytest.raises(ValueError, match="12 is not a multiple of 8"):
        next(strip_sums(np.zeros((4, 12), np.float32), 3, 3))


def test_sums_are_linear():
    rng = np.random.default_rng(2)
    first, second = rng.normal(size=(2, 9, 8)).astype(np.float32)
    (a,), (b,) = strip_sums(first, 3, 3), strip_sums(second, 3, 3)
    (both,) = strip_sums(2 * first - second, 3, 3)
    np.testing.assert_allclose(both, 2 * a - b, atol=1e-5)
