"""A picture that is out of focus is smeared evenly, one that was moved along one direction."""

import cv2
import numpy as np
import pytest

from scribetarget.detect import find_ring_part
from scribetarget.smear import Smear
from scribetarget.spec import load_specs

SPEC = load_specs()["S"]
SQUARE_PX = 52.0


@pytest.fixture(scope="module")
def level(studio):
    matrix = studio.view_matrix(SPEC, SQUARE_PX, 12.0, 0.05, (400.0, 400.0))
    return studio.draw(studio.ink_of(SPEC), SPEC, matrix, (800, 800)).photograph(0.8)


def moved(level, path_px, towards_deg):
    """Average the picture along a path: what an even movement does during an exposure."""
    turn = np.radians(towards_deg)
    total = np.zeros_like(level)
    for share in np.linspace(-0.5, 0.5, 15):
        shift = np.array(
            [[1, 0, share * path_px * np.cos(turn)], [0, 1, share * path_px * np.sin(turn)]]
        )
        total += cv2.warpAffine(
            level, shift, level.shape[::-1], flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
        )
    return total / 15


def smear(studio, level):
    return find_ring_part(studio.as_photo(level, 1.5, 3)).smear


# Along an edge of the squares (12°), across one (102°), and aslant to both, where the two edges are
# equally soft and only the corner between them tells.
@pytest.mark.parametrize("towards_deg", [12.0, 102.0, 57.0, 147.0])
def test_a_movement_is_found_with_its_length_and_direction(studio, level, towards_deg):
    found = smear(studio, moved(level, 6.0, towards_deg))
    assert found.path_px == pytest.approx(6.0, abs=0.8)
    off = (np.degrees(found.direction_rad) - towards_deg + 90) % 180 - 90
    assert abs(off) < 6
    # Drawn with 0.85 px; aslant to both edges it comes out of a small difference.
    assert 0.5 < found.across_px < 1.0


@pytest.mark.parametrize("blur_px", [0.01, 1.0, 2.0])
def test_defocus_points_nowhere(studio, level, blur_px):
    found = smear(studio, cv2.GaussianBlur(level, (0, 0), blur_px))
    assert found.along_px < 1.1 * found.across_px
    assert found.along_px == pytest.approx(np.hypot(0.85, blur_px), rel=0.1)


@pytest.mark.parametrize("shift", [-25.0, 25.0])
def test_a_tone_curve_is_no_movement(studio, level, shift):
    """Lighter or darker midtones draw paper or ink together at every corner."""
    share = (level - level.min()) / np.ptp(level)
    found = smear(studio, level + 4 * shift * share * (1 - share))
    assert found.along_px < 1.15 * found.across_px


def test_path_of_an_even_smear_is_none():
    assert Smear(1.5, 1.5, 0.3).path_px == 0
