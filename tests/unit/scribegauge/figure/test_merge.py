"""One side's line in several photos."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.figure.lines import offsets
from scribegauge.figure.merge import merge_lines
from scribegauge.marks.record import LineMark

ENDS = np.array([[10.0, 20.0], [40.0, 32.0]])
ACROSS = np.array([-12.0, 30.0]) / np.hypot(12, 30)


def line(first=0.0, last=0.0, u_optics=0.02, **more):
    """Return a line whose ends lie aside of ENDS."""
    ends = ENDS + np.array([first, last])[:, None] * ACROSS
    mark = LineMark(
        ends, np.diag([1e-8, 1e-10]), u_optics, 0.005, 0.08, -9.0, "dark", 0.9, -5.0, hinted=False
    )
    return replace(mark, **more)


def join(*marks):
    return merge_lines([[mark] for mark in marks]).lines[0]


def test_one_photo_gives_its_own_lines():
    first, second = line(), line(0.1, 0.1)
    merged = merge_lines([[first, None, second]])
    assert merged.lines == (first, None, second)
    np.testing.assert_allclose(merged.anchors_mm[0, [0, 2]], [first.ends_mm, second.ends_mm])
    assert np.isnan(merged.anchors_mm[0, 1]).all()


def test_equal_photos_meet_half_way():
    joined = join(line(0.02, 0.02), line(-0.02, -0.02))
    assert np.abs(offsets(ENDS, joined.ends_mm)).max() < 1e-6
    joined = join(line(0.02, -0.02), line(-0.02, 0.02))
    assert np.abs(offsets(ENDS, joined.ends_mm)).max() < 1e-6


def test_the_better_photo_counts_more():
    # Weights go by the inverse of the variances: 1 to 4.
    joined = join(line(0.0, 0.0, 0.02), line(0.05, 0.05, 0.04))
    np.testing.assert_allclose(offsets(ENDS, joined.ends_mm), 0.01, atol=1e-4)


@pytest.mark.parametrize("count", [2, 3, 5])
def test_photos_that_agree_shrink_the_doubt_by_the_root_of_their_number(count):
    joined = join(*[line() for _ in range(count)])
    assert joined.u_optics_mm == pytest.approx(0.02 / np.sqrt(count), rel=1e-3)
    assert joined.u_optics_turn_mm == pytest.approx(0.005 / np.sqrt(count), rel=0.01)
    assert joined.covariance[0, 0] == pytest.approx(1e-8 / count, rel=1e-3)


def test_spread_over_many_joins_is_the_stated_one():
    rng = np.random.default_rng(2)
    off = []
    for _ in range(400):
        shifts = rng.normal(0, [0.02, 0.03])
        joined = join(line(shifts[0], shifts[0], 0.02), line(shifts[1], shifts[1], 0.03))
        off.append(offsets(ENDS, joined.ends_mm).mean())
    stated = join(line(0, 0, 0.02), line(0, 0, 0.03)).u_optics_mm
    assert np.std(off) == pytest.approx(stated, rel=0.12)


def test_lines_run_either_way_and_reach_differently_far():
    long = line(0.01, 0.01)
    short = line(-0.01, -0.01)
    step = ENDS[1] - ENDS[0]
    part = np.array([short.ends_mm[0] + 0.3 * step, short.ends_mm[0] + 0.8 * step])
    joined = join(long, replace(short, ends_mm=part[::-1]))
    assert np.abs(offsets(ENDS, joined.ends_mm)).max() < 1e-6
    along = step / np.hypot(*step)
    reach = np.sort((joined.ends_mm - ENDS[0]) @ along)
    np.testing.assert_allclose(reach, [0.0, np.hypot(*step)], atol=0.01)


def test_a_photo_that_does_not_show_the_line_has_no_say():
    merged = merge_lines([[line(0.03, 0.03)], [None], [line(-0.03, -0.03)]])
    assert np.abs(offsets(ENDS, merged.lines[0].ends_mm)).max() < 1e-6
    assert np.isnan(merged.anchors_mm[1]).all()
    assert not merged.weights[1].any()
    np.testing.assert_allclose(merged.weights.sum(axis=0), 1.0)
    assert merge_lines([[None], [None]]).lines == (None,)


def test_what_is_known_of_the_joined_line():
    joined = join(
        line(seen=0.4, log10_nfa=-6.0, width_mm=0.06), line(seen=0.8, log10_nfa=-4.0, hinted=True)
    )
    assert joined.seen == 0.8
    assert joined.log10_nfa == -10.0
    assert joined.hinted
    assert joined.width_mm == pytest.approx(0.07)


def test_each_photo_is_seen_at_the_joined_ends():
    merged = merge_lines([[line(0.1, 0.1)], [line(-0.1, 0.1)]])
    for anchor, (first, last) in zip(
        merged.anchors_mm[:, 0], ((0.1, 0.1), (-0.1, 0.1)), strict=True
    ):
        np.testing.assert_allclose(offsets(ENDS, anchor), [first, last], atol=1e-4)
