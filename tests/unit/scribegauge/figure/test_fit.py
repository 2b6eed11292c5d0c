"""Corners, sides and angles of a scribed figure, against exact polygons."""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribegauge.figure.assign import Placement
from scribegauge.figure.fit import angles_of, area_sign, corners_of, fit_figure, sides_of
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.merge import merge_lines
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm
from scribegauge.marks.record import LineMark, PrickMark

REFERENCE = Path(__file__).parents[4] / "fixtures" / "reference" / "regular_polygons.json"
REGULAR = json.loads(REFERENCE.read_text(encoding="utf-8"))["polygons"]
BRACKET = np.array([[0.0, 0], [40, 0], [40, 10], [10, 10], [10, 30], [0, 30]])
HERE = Placement(0.0, np.zeros(2), 1.0)


def regular(n, radius_mm=24.0):
    angles = 2 * np.pi * np.arange(n) / n + 0.2
    return radius_mm * np.column_stack([np.cos(angles), np.sin(angles)]) + [40.0, 45.0]


def lines_through(vertices, past=0.1):
    """Return lines longer than the sides by a share of them."""
    ends = np.stack([vertices, np.roll(vertices, -1, axis=0)], axis=1)
    step = past * (ends[:, 1] - ends[:, 0])
    return np.stack([ends[:, 0] - step, ends[:, 1] + step], axis=1)


def line_mark(ends):
    return LineMark(ends, np.eye(2) * 1e-8, 0.01, 0.0, 0.08, -9.0, "dark", 1.0, -9.0, hinted=False)


def prick(centre):
    return PrickMark(np.asarray(centre, float), 0.01, 0.25, -8.0, hinted=False)


def layout_of(vertices):
    names = tuple(chr(65 + k) for k in range(len(vertices)))
    return Layout("blank", vertices, names, Tolerance(None, None))


def fitted(vertices, lines, pricks=()):
    marks = [None if ends is None else line_mark(ends) for ends in lines]
    return fit_figure(layout_of(vertices), HERE, merge_lines([marks]), tuple(pricks))


@pytest.mark.parametrize("exact", REGULAR, ids=lambda exact: str(exact["n"]))
@pytest.mark.parametrize("way", [1, -1])
def test_regular_polygons_against_exact_values(exact, way):
    vertices = regular(exact["n"])[::way]
    lines = lines_through(vertices)
    np.testing.assert_allclose(corners_of(lines), vertices, atol=1e-9)
    side_mm = 24.0 * float(exact["side_over_circumradius"])
    np.testing.assert_allclose(sides_of(lines), side_mm, rtol=1e-10)
    angles = np.degrees(angles_of(lines, area_sign(vertices)))
    np.testing.assert_allclose(angles, float(exact["interior_angle_deg"]), rtol=1e-10)


def test_a_corner_that_points_inwards():
    for vertices in (BRACKET, BRACKET[::-1]):
        angles = np.degrees(angles_of(lines_through(vertices), area_sign(vertices)))
        np.testing.assert_allclose(angles, inside_angles_deg(vertices), atol=1e-9)
    assert area_sign(BRACKET) == 1.0
    assert area_sign(BRACKET[::-1]) == -1.0


@settings(max_examples=50, deadline=None)
@given(st.floats(0, 6.28), st.floats(-50, 50), st.integers(0, 5))
def test_turn_place_and_first_vertex_do_not_matter(angle, shift, first):
    cos, sin = np.cos(angle), np.sin(angle)
    moved = BRACKET @ np.array([[cos, sin], [-sin, cos]]) + [shift, -shift]
    moved = np.roll(moved, -first, axis=0)
    lines = lines_through(moved)
    np.testing.assert_allclose(sides_of(lines), np.roll(side_lengths_mm(BRACKET), -first))
    angles = np.degrees(angles_of(lines, area_sign(moved)))
    np.testing.assert_allclose(angles, np.roll(inside_angles_deg(BRACKET), -first))


def test_lines_are_turned_the_way_the_layout_goes():
    vertices = regular(5)
    lines = lines_through(vertices)
    lines[[1, 3]] = lines[[1, 3], ::-1]
    fit = fitted(vertices, lines)
    np.testing.assert_allclose(fit.lines_mm, lines_through(vertices), atol=1e-9)
    np.testing.assert_allclose(fit.corners_mm, vertices, atol=1e-9)


def test_a_side_that_was_not_seen_takes_its_two_corners_with_it():
    vertices = regular(5)
    lines = list(lines_through(vertices))
    lines[2] = None
    fit = fitted(vertices, lines)
    missing = np.isnan(fit.corners_mm).any(axis=1)
    assert missing.tolist() == [False, False, True, True, False]
    assert np.isnan(fit.lines_mm[2]).all()
    assert np.isfinite(np.delete(fit.lines_mm, 2, axis=0)).all()


def test_each_corner_takes_its_nearest_prick_once():
    vertices = regular(4)
    pricks = [
        prick(vertices[0] + [0.3, 0.0]),
        prick(vertices[0] + [0.1, 0.0]),
        prick(vertices[2] + [0.0, 0.9]),
        prick(vertices[3] + [1.3, 0.0]),
        prick([40.0, 45.0]),
    ]
    fit = fitted(vertices, lines_through(vertices), pricks)
    assert fit.pricks == (pricks[1], None, pricks[2], None)


def test_two_corners_do_not_share_a_prick():
    vertices = np.array([[0.0, 0], [0.8, 0], [20, 15], [0, 15]])
    near = prick([0.3, 0.0])
    fit = fitted(vertices, lines_through(vertices), [near])
    assert fit.pricks == (near, None, None, None)


def test_where_no_corner_was_found_the_prick_is_looked_for_where_it_should_be():
    vertices = regular(4)
    lines = list(lines_through(vertices))
    lines[1] = None
    there = prick(vertices[1] + 0.2)
    assert fitted(vertices, lines, [there]).pricks[1] is there
