"""What can be a groove by its look across, and what runs along as straight but cannot."""

import numpy as np
import pytest
from scipy.special import ndtr

from scribegauge.marks.grooveshape import breadth_mm, can_be_groove, step_share

V_MM = np.arange(-35, 36) * 0.02
BLUR_MM = 0.04


def band(left_mm, right_mm, blur_mm=BLUR_MM):
    """Return brightness one between two places across, seen through a blur."""
    return ndtr((V_MM - left_mm) / blur_mm) - ndtr((V_MM - right_mm) / blur_mm)


def levelled(raw):
    """Take out the straight slope between the medians of both sides, as a strip does."""
    sides = [np.median(raw[side * V_MM > 0.25]) for side in (-1, 1)]
    return raw - np.mean(sides) - (sides[1] - sides[0]) / 0.95 * V_MM


def accepted(raw, blur_mm=BLUR_MM):
    return can_be_groove(levelled(raw), V_MM, blur_mm)


@pytest.mark.parametrize(
    "look",
    [
        -band(-0.03, 0.03),
        band(-0.075, 0.075),
        band(-0.075, 0.0) - band(0.0, 0.075),
        # Bright walls with a dark floor, and a burr on one side.
        band(-0.08, -0.04) + band(0.04, 0.08) + 0.6 * band(0.1, 0.13),
        # Two strokes a groove's width apart.
        band(-0.1, -0.02) + band(0.02, 0.1),
    ],
)
@pytest.mark.parametrize("height", [40.0, -3.0])
def test_grooves_can_be_grooves(look, height):
    assert accepted(height * look)
    # On metal that is shaded across.
    assert accepted(height * look + 8.0 * V_MM)


@pytest.mark.parametrize("half_mm", [0.16, 0.2, 0.3])
def test_a_band_broader_than_any_groove_is_none(half_mm):
    assert not accepted(30 * band(-half_mm, half_mm))


def test_a_blur_makes_grooves_look_broad():
    blurred = band(-0.06, 0.06, 0.13)
    assert accepted(blurred, 0.13)
    assert not accepted(blurred, 0.04)


@pytest.mark.parametrize("edge_blur_mm", [0.03, 0.08, 0.15])
def test_an_edge_between_two_brightnesses_is_no_groove(edge_blur_mm):
    edge = 40 * ndtr(V_MM / edge_blur_mm)
    assert step_share(levelled(edge), V_MM) > 1.2
    assert not accepted(edge)
    # Nor one whose rim glints.
    assert not accepted(edge + 20 * band(-0.04, 0.04))


def test_a_clear_line_on_a_boundary_is_still_a_line():
    assert accepted(10 * ndtr(V_MM / 0.04) - 40 * band(-0.04, 0.04))


def test_breadth_at_half_height():
    assert breadth_mm(7 * band(-0.1, 0.1), V_MM) == pytest.approx(0.2, abs=0.021)
    # Another stroke 0.4 mm aside is another stroke.
    two = band(-0.04, 0.04) + band(0.36, 0.44)
    assert breadth_mm(two, V_MM) == pytest.approx(0.1, abs=0.021)


def test_even_slopes_are_no_step():
    assert step_share(-band(-0.04, 0.04) + 3 * V_MM, V_MM) < 0.05
