"""Distances, corners and angles of outlines whose answers are known by hand."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from scribegauge.simulate.polygon import (
    inner_angles_deg,
    inside_by_mm,
    meeting_points_mm,
    outward_normals,
    sides_mm,
    turned,
)

BRACKET = np.array([[0, 0], [40, 0], [40, 15], [15, 15], [15, 30], [0, 30]], dtype=float)


def test_distance_is_positive_inside_and_negative_outside():
    x, y = np.array([7.0, 30.0, 41.0, 20.0]), np.array([20.0, 7.0, 7.0, 20.0])
    distance, side = inside_by_mm(x, y, BRACKET)
    np.testing.assert_allclose(distance, [7, 7, -1, -5])
    assert side.tolist()[2] == 1


@settings(deadline=None, derandomize=True, max_examples=30)
@given(st.floats(-180, 180), st.booleans())
def test_angles_and_sides_survive_turning_and_reversing(turn_deg, reverse):
    figure = turned(BRACKET, turn_deg)
    angles, sides = np.array([90, 90, 90, 270, 90, 90]), np.array([40, 15, 25, 15, 15, 30])
    if reverse:
        figure, angles, sides = figure[::-1], angles[::-1], np.roll(sides[::-1], -1)
    np.testing.assert_allclose(inner_angles_deg(figure), angles, atol=1e-9)
    np.testing.assert_allclose(sides_mm(figure), sides, atol=1e-9)


def test_normals_point_out_whichever_way_round():
    for outline in (BRACKET, BRACKET[::-1]):
        middle = (outline + np.roll(outline, -1, axis=0)) / 2
        beyond = middle + 0.01 * outward_normals(outline)
        distance, _ = inside_by_mm(beyond[:, 0], beyond[:, 1], outline)
        np.testing.assert_allclose(distance, -0.01)


def test_lines_meet_where_overshoot_does_not_matter():
    starts, ends = BRACKET, np.roll(BRACKET, -1, axis=0)
    way = (ends - starts) / sides_mm(BRACKET)[:, None]
    np.testing.assert_allclose(meeting_points_mm(starts - way, ends + 2 * way), BRACKET, atol=1e-9)
