"""Gap, overshoot, pricks aside, and marks that should meet in one point."""

import numpy as np
import pytest

from scribegauge.figure.assign import Placement
from scribegauge.figure.crossings import crossings
from scribegauge.figure.fit import fit_figure
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.meetings import find_meetings, judge_corners
from scribegauge.figure.merge import merge_lines
from scribegauge.marks.record import ArcMark, LineMark, LineWorth, PrickMark

WORTH = LineWorth(0.02, 0.0, 0.01, (), (0.0, 0.0), (), (0.4, 0.6))


def line(start, end, worth=WORTH):
    ends = np.array([start, end], float)
    covariance = np.diag([1e-6, 1e-10])
    return LineMark(
        ends, covariance, 0.01, 0.003, 0.07, -9.0, "dark", 1.0, -20.0, hinted=False, worth=worth
    )


def arc(centre, radius, start=0.0, sweep=360.0):
    covariance = np.diag([1e-6, 1e-6, 1e-6])
    place = np.array(centre, float)
    return ArcMark(place, radius, start, sweep, covariance, 0.01, 0.07, "dark", 1.0)


def prick(x, y, u=0.02):
    return PrickMark(np.array([x, y], float), u, 0.2, -9.0, hinted=False)


def square(lines, pricks=()):
    vertices = np.array([[0, 0], [20, 0], [20, 20], [0, 20]], float)
    layout = Layout("square", vertices, ("A", "B", "C", "D"), Tolerance(None, None))
    placement = Placement(0.0, np.zeros(2), 1.0)
    return fit_figure(layout, placement, merge_lines([lines]), pricks)


SIDES = [
    line((-1.0, 0), (21.5, 0)),
    line((20, 19.2), (20, -0.7)),  # drawn against the way the figure goes
    line((20.3, 20), (-2, 20)),
    line((0, 21), (0, 0.9)),
]


def test_overshoot_and_gap_at_every_corner():
    corners = judge_corners(square(SIDES))
    past = [corner.past_mm for corner in corners]
    expected = [(-0.9, 1.0), (1.5, 0.7), (-0.8, 0.3), (2.0, 1.0)]
    np.testing.assert_allclose(past, expected, atol=1e-9)
    # The second side's own start lies at C: its U belongs there.
    assert corners[1].U_past_mm == (0.6, 0.6)
    assert corners[2].U_past_mm == (0.4, 0.4)


def test_a_prick_beside_its_corner_is_told_along_and_across_both_lines():
    (b,) = [c for c in judge_corners(square(SIDES, (prick(20.1, -0.3),))) if c.prick_mm is not None]
    # Along A-B is +x and across it +y; along B-C is +y and across it -x.
    np.testing.assert_allclose(b.prick_mm, [[0.1, -0.3], [-0.3, -0.1]], atol=1e-9)
    assert b.vertex == 1
    across = b.U_prick_mm[0, 1]
    turned = 0.003 * (20.1 - 10.25) / 11.25  # the line's turn at the prick
    u = np.sqrt(0.02**2 + 0.01**2 + turned**2 + 1e-6 + 1e-10 * (20.1 - 10.25) ** 2)
    assert across == pytest.approx(2 * u, rel=1e-6)


def test_a_corner_without_a_line_is_left_out():
    lines = [*SIDES[:3], None]
    assert [c.vertex for c in judge_corners(square(lines))] == [1, 2]


def test_lines_nobody_judged_have_no_overshoot():
    bare = [line(*s.ends_mm, worth=None) for s in SIDES]
    assert judge_corners(square(bare))[0].past_mm == (None, None)


def test_three_lines_that_miss_by_a_known_triangle():
    # A triangle of two right angles' legs: x axis, y axis and x + y = 0.3.
    marks = [line((-5, 0), (5, 0)), line((0, -5), (0, 5)), line((-5, 5.3), (5, -4.7))]
    (meeting,) = find_meetings(marks)
    # Least squares: x = y = s with 2 s² + (2 s - 0.3)²/2 least: s = 0.075.
    np.testing.assert_allclose(meeting.place_mm, [0.075, 0.075], atol=1e-9)
    np.testing.assert_allclose(meeting.misses_mm, [0.075, 0.075, 0.15 / np.sqrt(2)], atol=1e-9)
    assert meeting.miss_mm == pytest.approx(0.15 / np.sqrt(2))
    assert meeting.members == (0, 1, 2)


def test_the_miss_has_the_spread_of_its_marks():
    rng = np.random.default_rng(3)
    misses, stated = [], []
    for _ in range(400):
        a, b, c = rng.normal(0, np.hypot(0.01, 0.001), 3)
        marks = [
            line((-5, a), (5, a)),
            line((b, -5), (b, 5)),
            line(
                (-5 - c / np.sqrt(2), 5 - c / np.sqrt(2)), (5 - c / np.sqrt(2), -5 - c / np.sqrt(2))
            ),
        ]
        (meeting,) = find_meetings(marks)
        misses.append(meeting.miss_mm)
        stated.append(meeting.U_miss_mm)
    assert np.mean(np.array(misses) < np.array(stated)) == pytest.approx(0.955, abs=0.04)


def test_arc_line_and_prick_meet():
    marks = [arc((0, 0), 10.0), line((0, -3), (0, 12)), line((-4, 10.2), (4, 10.2)), prick(0.1, 10)]
    (meeting,) = find_meetings(marks)
    assert meeting.members == (0, 1, 2, 3)
    assert 0.05 < meeting.miss_mm < 0.2
    assert meeting.place_mm == pytest.approx([0.03, 10.07], abs=0.04)


def test_two_marks_are_no_meeting_and_far_ones_were_not_meant():
    assert find_meetings([line((-5, 0), (5, 0)), line((0, -5), (0, 5))]) == ()
    far = [line((-5, 0), (5, 0)), line((0, -5), (0, 5)), line((-5, 7.5), (5, -2.5))]
    assert find_meetings(far) == ()
    along = [line((-5, 0), (5, 0)), line((-5, 0.1), (5, 0.1)), prick(0, 0.2)]
    assert all(meeting.miss_mm < 0.2 for meeting in find_meetings(along))


def test_a_line_that_ends_long_before_has_no_part():
    marks = [line((-5, 0), (5, 0)), line((0, -5), (0, 5)), line((3, 3), (9, 9))]
    assert find_meetings(marks) == ()


def test_crossings_of_lines_and_circles():
    big = arc((0, 0), 5.0)
    points = sorted(crossings(line((-9, 3), (9, 3)), big), key=lambda p: p[0])
    np.testing.assert_allclose(points, [[-4, 3], [4, 3]], atol=1e-9)
    both = sorted(crossings(big, arc((6, 0), 5.0)), key=lambda p: p[1])
    np.testing.assert_allclose(both, [[3, -4], [3, 4]], atol=1e-9)
    assert crossings(big, arc((0, 0), 4.0)) == []
    assert crossings(line((-9, 6), (9, 6)), big) == []
    assert crossings(line((0, 0), (1, 0)), line((0, 1), (1, 1))) == []
