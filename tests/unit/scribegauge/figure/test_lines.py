"""Plane geometry of lines by two points."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribegauge.figure.lines import directions, meeting, moved, normals, offsets

MM = st.floats(-80, 80)


def test_where_known_lines_meet():
    level = np.array([[0.0, 2.0], [10.0, 2.0]])
    steep = np.array([[3.0, -5.0], [3.0, 1.0]])
    askew = np.array([[0.0, 0.0], [4.0, 8.0]])
    np.testing.assert_allclose(meeting(level, steep), [3.0, 2.0])
    np.testing.assert_allclose(meeting(level, askew), [1.0, 2.0])
    np.testing.assert_allclose(
        meeting(np.stack([level, steep]), np.stack([askew, askew])), [[1.0, 2.0], [3.0, 6.0]]
    )


def test_parallel_lines_meet_nowhere():
    level = np.array([[0.0, 2.0], [10.0, 2.0]])
    assert np.isnan(meeting(level, level + np.array([0.0, 1.0]))).all()
    assert np.isnan(meeting(level, level[::-1] + np.array([0.0, 1.0]))).all()


def test_the_left_normal():
    ends = np.array([[1.0, 1.0], [4.0, 5.0]])
    np.testing.assert_allclose(directions(ends), [0.6, 0.8])
    np.testing.assert_allclose(normals(ends), [-0.8, 0.6])
    np.testing.assert_allclose(offsets(ends, 1.0 + 2 * normals(ends)[None]), [2.0])


@settings(max_examples=60, deadline=None)
@given(MM, MM, MM, MM, st.floats(-1, 1), st.floats(-0.3, 0.3))
def test_moving_a_line(ax, ay, bx, by, offset, turn):
    ends = np.array([[ax, ay], [bx, by]])
    length = np.hypot(bx - ax, by - ay)
    if length < 1:
        return
    after = moved(ends, offset, turn)
    assert np.hypot(*(after[1] - after[0])) == pytest.approx(length)
    off = offsets(ends, after)
    # The middle moves along the left normal; a positive turn leads from x to y.
    assert off.mean() == pytest.approx(offset, abs=1e-9)
    assert off[1] - off[0] == pytest.approx(length * np.sin(turn), abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(MM, MM, st.floats(0, 6.28), st.floats(0.1, 3.0), st.floats(-0.9, 4))
def test_the_meeting_point_lies_on_both_lines(x, y, angle, between, reach):
    place = np.array([x, y])
    pair = []
    for turn in (angle, angle + between):
        along = np.array([np.cos(turn), np.sin(turn)])
        pair.append(place + np.outer([reach, reach + 7.0], along))
    np.testing.assert_allclose(meeting(*pair), place, atol=1e-7)
