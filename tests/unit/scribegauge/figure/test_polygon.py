"""Sides, angles, area and symmetry against exact values and under turns."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribegauge.figure.polygon import (
    clashing_sides,
    inside_angles_deg,
    least_square_mm,
    rotations_that_match,
    side_lengths_mm,
    signed_area_mm2,
)

REFERENCE = Path(__file__).parents[4] / "fixtures" / "reference" / "regular_polygons.json"
REGULAR = json.loads(REFERENCE.read_text(encoding="utf-8"))["polygons"]
SQUARE = np.array([[0.0, 0], [40, 0], [40, 40], [0, 40]])
RECTANGLE = np.array([[0.0, 0], [40, 0], [40, 26], [0, 26]])
BRACKET = np.array([[0.0, 0], [40, 0], [40, 10], [10, 10], [10, 30], [0, 30]])


def regular(n, radius_mm=30.0):
    angles = 2 * np.pi * np.arange(n) / n
    return radius_mm * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def laid(vertices, angle_rad, shift_mm):
    cos, sin = np.cos(angle_rad), np.sin(angle_rad)
    return vertices @ np.array([[cos, sin], [-sin, cos]]) + shift_mm


@pytest.mark.parametrize("exact", REGULAR, ids=lambda exact: str(exact["n"]))
def test_regular_polygons_against_exact_values(exact):
    vertices = regular(exact["n"])
    side_mm = 30.0 * float(exact["side_over_circumradius"])
    np.testing.assert_allclose(side_lengths_mm(vertices), side_mm, rtol=1e-12)
    angle_deg = float(exact["interior_angle_deg"])
    np.testing.assert_allclose(inside_angles_deg(vertices), angle_deg, rtol=1e-12)
    area_mm2 = 900.0 * float(exact["area_over_circumradius_squared"])
    np.testing.assert_allclose(signed_area_mm2(vertices), area_mm2, rtol=1e-12)
    assert rotations_that_match(vertices, 0.001) == list(range(exact["n"]))


def test_a_corner_that_points_inwards():
    wanted = [90, 90, 90, 270, 90, 90]
    np.testing.assert_allclose(inside_angles_deg(BRACKET), wanted, atol=1e-9)
    np.testing.assert_allclose(inside_angles_deg(BRACKET[::-1]), wanted[::-1], atol=1e-9)
    assert signed_area_mm2(BRACKET) == pytest.approx(600)
    assert signed_area_mm2(BRACKET[::-1]) == pytest.approx(-600)
    np.testing.assert_allclose(side_lengths_mm(BRACKET), [40, 10, 30, 20, 10, 30])


def test_area_far_from_the_origin():
    assert signed_area_mm2(SQUARE + 1e7) == pytest.approx(1600, rel=1e-9)


@pytest.mark.parametrize(
    ("vertices", "matching"),
    [
        (SQUARE, [0, 1, 2, 3]),
        (RECTANGLE, [0, 2]),
        (BRACKET, [0]),
        (np.array([[0.0, 0], [30, 0], [40, 20], [10, 20]]), [0, 2]),  # parallelogram
        (np.array([[0.0, 0], [40, 0], [20, 30]]), [0]),  # isosceles: a mirror image is no turn
        (np.array([[0.0, -20], [15, 0], [0, 20], [-15, 0]]), [0, 2]),  # rhombus
    ],
)
def test_symmetry(vertices, matching):
    assert rotations_that_match(vertices, 0.01) == matching
    assert rotations_that_match(laid(vertices, 2.0, [500, -300]), 0.01) == matching


def test_symmetry_within_a_tolerance():
    nearly = RECTANGLE * [1.0, 39.8 / 26]
    assert rotations_that_match(nearly, 0.05) == [0, 2]
    assert rotations_that_match(nearly, 0.3) == [0, 1, 2, 3]


def test_crossing_and_touching_sides():
    assert clashing_sides(SQUARE, 0.1) == []
    assert clashing_sides(BRACKET, 0.1) == []
    assert clashing_sides(SQUARE[[0, 2, 1, 3]], 0.1) == [(0, 2)]
    touching = np.array([[0.0, 0], [40, 0], [40, 30], [20, 0.05], [0, 30]])
    assert clashing_sides(touching, 0.1) == [(0, 2), (0, 3)]
    assert clashing_sides(touching, 0.01) == []


def test_smallest_square():
    assert least_square_mm(SQUARE) == pytest.approx(40, abs=1e-3)
    assert least_square_mm(laid(SQUARE, 0.5, [7, 9])) == pytest.approx(40, abs=1e-3)
    # A thin strip of length d lies along the diagonal.
    strip = np.array([[0.0, 0], [100, 0], [100, 1e-6], [0, 1e-6]])
    assert least_square_mm(strip) == pytest.approx(100 / np.sqrt(2), abs=1e-3)
    # An equilateral triangle with side 1 needs a square of cos 15° (Friedman, "Packing unit
    # squares in squares and other shapes", 2009).
    triangle = regular(3, 100 / np.sqrt(3))
    assert least_square_mm(triangle) == pytest.approx(100 * np.cos(np.pi / 12), abs=1e-3)


@settings(max_examples=50, deadline=None)
@given(
    st.sampled_from([SQUARE, RECTANGLE, BRACKET, regular(5), regular(7)]),
    st.floats(-4, 4),
    st.floats(-1000, 1000),
    st.integers(0, 6),
)
def test_position_turn_and_first_vertex_do_not_matter(vertices, angle_rad, shift_mm, first):
    moved = np.roll(laid(vertices, angle_rad, [shift_mm, -shift_mm]), -first, axis=0)
    wanted = np.roll(side_lengths_mm(vertices), -first)
    np.testing.assert_allclose(side_lengths_mm(moved), wanted, atol=1e-9)
    wanted = np.roll(inside_angles_deg(vertices), -first)
    np.testing.assert_allclose(inside_angles_deg(moved), wanted, atol=1e-8)
    np.testing.assert_allclose(signed_area_mm2(moved), signed_area_mm2(vertices), rtol=1e-9)
    assert rotations_that_match(moved, 1e-6) == rotations_that_match(vertices, 1e-6)
    assert least_square_mm(moved) == pytest.approx(least_square_mm(vertices), abs=1e-3)
    np.testing.assert_allclose(inside_angles_deg(moved).sum(), (len(moved) - 2) * 180, atol=1e-8)
