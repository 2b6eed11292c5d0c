"""ISO 2768-1 as printed, at every border of its ranges."""

import json
from pathlib import Path

import numpy as np
import pytest

from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.verdict.iso2768 import CLASSES, angle_tolerance_deg, length_tolerance_mm
from scribegauge.verdict.limits import limits_of

REFERENCE = Path(__file__).parents[4] / "fixtures" / "reference" / "general_tolerances.json"
TABLES = json.loads(REFERENCE.read_text(encoding="utf-8"))
LINEAR, ANGULAR = TABLES["general_tolerances_linear"], TABLES["general_tolerances_angular"]
RANGES = [tuple(map(float, text.split("-"))) for text in LINEAR["ranges_mm_over_upto"]]
LEGS_MM = [(0.6, 10.0), (10.0, 50.0), (50.0, 120.0), (120.0, 400.0), (400.0, 900.0)]
SQUARE = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])


@pytest.mark.parametrize("name", CLASSES)
@pytest.mark.parametrize("row", range(8))
def test_lengths_over_the_lower_up_to_and_including_the_upper_limit(name, row):
    over, up_to = RANGES[row]
    wanted = LINEAR["values"][name][row]
    for nominal_mm in (over + 0.01, (over + up_to) / 2, up_to):
        assert length_tolerance_mm(name, nominal_mm) == wanted


@pytest.mark.parametrize("name", CLASSES)
@pytest.mark.parametrize("row", range(5))
def test_angles_by_the_shorter_leg(name, row):
    over, up_to = LEGS_MM[row]
    wanted = ANGULAR["values_arcmin"][name][row] / 60
    for leg_mm in (over + 0.01, (over + up_to) / 2, up_to):
        assert angle_tolerance_deg(name, leg_mm) == wanted


def test_half_a_millimetre_belongs_to_the_first_range_and_less_to_none():
    assert length_tolerance_mm("m", 0.5) == 0.1
    assert length_tolerance_mm("m", 0.49) is None
    assert length_tolerance_mm("m", 4000.01) is None


def test_what_copies_get_wrong():
    # Some print the older DIN 7168 for class c below 6 mm, and 20' for its angles over 120 mm.
    assert (length_tolerance_mm("c", 2.0), length_tolerance_mm("c", 5.0)) == (0.2, 0.3)
    assert angle_tolerance_deg("c", 200.0) == 0.25
    assert length_tolerance_mm("v", 3.0) is None


def test_a_size_rounded_in_the_layout_stays_in_its_range():
    assert length_tolerance_mm("m", 30.0004) == 0.2
    assert length_tolerance_mm("m", 30.01) == 0.3
    assert angle_tolerance_deg("m", 50.0004) == 0.5


def layout(vertices, tolerance):
    return Layout("blank", np.asarray(vertices, float), ("A", "B", "C", "D"), tolerance)


def test_each_side_and_angle_by_its_own_size():
    bracket = [[0, 0], [40, 0], [40, 26], [0, 26]]
    limits = limits_of(layout(bracket, Tolerance(None, None, "m")))
    assert limits.side_mm == (0.3, 0.2, 0.3, 0.2)
    assert limits.angle_deg == (0.5,) * 4
    # One leg of 8 mm is enough to allow a degree.
    short = [[0, 0], [40, 0], [40, 8], [0, 30]]
    limits = limits_of(layout(short, Tolerance(None, None, "m")))
    assert limits.angle_deg == (0.5, 1.0, 1.0, 0.5)


def test_own_numbers_go_before_the_class():
    limits = limits_of(layout(50 * SQUARE, Tolerance(0.15, None, "m")))
    assert limits.side_mm == (0.15,) * 4
    assert limits.angle_deg == (0.5,) * 4
    limits = limits_of(layout(50 * SQUARE, Tolerance(None, 0.1, "f")))
    assert limits.side_mm == (0.15,) * 4
    assert limits.angle_deg == (0.1,) * 4


def test_without_numbers_nothing_is_judged():
    limits = limits_of(layout(50 * SQUARE, Tolerance(None, 0.1)))
    assert limits.side_mm == (None,) * 4
    assert limits.angle_deg == (0.1,) * 4


def test_a_length_that_the_standard_leaves_out_is_not_judged():
    limits = limits_of(layout([[0, 0], [40, 0], [40, 2], [0, 2]], Tolerance(None, None, "v")))
    assert limits.side_mm == (1.5, None, 1.5, None)
    assert limits.angle_deg == (3.0,) * 4


def test_the_fixed_opening_pentagons_angles():
    # At 50 mm class m allows 30': its apex, 71.53' off, is outside, its base, 21.97', within.
    allowed = angle_tolerance_deg("m", 50.0) * 60
    assert 21.97 < allowed < 71.53
