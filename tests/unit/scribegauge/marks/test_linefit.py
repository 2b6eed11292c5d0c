"""Tracing a line over the plate: its place, its ends, and whether it is there at all."""

import numpy as np
import pytest

from scribegauge.figure.lines import offsets
from scribegauge.marks.between import measure_between
from scribegauge.marks.linefit import blur_mm, trace_line
from scribegauge.marks.metal import look_at_metal
from scribegauge.marks.optics import SEEN_OFF_MIDDLE

START, END = np.array([30.0, 40.0]), np.array([48.0, 49.0])
ALONG = (END - START) / np.hypot(*(END - START))
ACROSS = np.array([-ALONG[1], ALONG[0]])


# The grain of `brushed` is level in the picture: so turned, it runs along the line.
GRAIN_DEG = float(np.degrees(np.arctan2(ALONG[1], ALONG[0])))


def traced(setup, photo, rough):
    return trace_line(photo, setup.face, look_at_metal(photo, setup.face), np.asarray(rough))


def sorted_along(ends):
    return ends[np.argsort(ends @ ALONG)]


@pytest.mark.parametrize(
    ("mark", "look"),
    [
        ({"grey": -60}, "dark"),
        ({"grey": 60}, "bright"),
        ({"grey": 60, "look": "double"}, "double"),
    ],
)
def test_a_line_is_measured_from_end_to_end(hold_camera, stroke, mark, look):
    setup = hold_camera(tilt_deg=12.0, azimuth_deg=70.0, thickness_mm=1.0)
    photo = setup.draw(stroke(START, END, **mark))
    rough = np.array([START + 5 * ALONG + 0.15 * ACROSS, START + 14 * ALONG - 0.1 * ACROSS])
    line = traced(setup, photo, rough)
    assert np.abs(offsets(np.array([START, END]), line.ends_mm)).max() < 0.006
    np.testing.assert_allclose(sorted_along(line.ends_mm), [START, END], atol=0.5)
    assert line.look == look
    assert line.log10_nfa < -8
    assert line.seen > 0.95
    assert not line.hinted
    assert np.sign(line.contrast) == (-1 if look == "dark" else 1) or look == "double"


def test_a_short_rough_piece_grows_to_the_whole_line(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, END, -40))
    line = traced(setup, photo, [START + 7 * ALONG, START + 12 * ALONG])
    np.testing.assert_allclose(sorted_along(line.ends_mm), [START, END], atol=0.5)


def test_fine_texture_is_no_line(hold_camera, brushed):
    setup = hold_camera(roll_deg=GRAIN_DEG)
    for seed in range(6):
        photo = setup.draw(brushed(seed, 8.0, 8), noise=2.0, seed=seed)
        assert traced(setup, photo, [START, END]) is None


def test_long_scratches_along_the_guess_are_no_line(hold_camera, brushed):
    # Streaks of some 9 mm (full width at half height), as a brush leaves them.
    setup = hold_camera(roll_deg=GRAIN_DEG)
    lines = [
        traced(setup, setup.draw(brushed(seed, 8.0, 80), seed=seed), [START, END])
        for seed in range(4)
    ]
    assert lines == [None] * 4


def test_an_arc_is_no_line(hold_camera):
    setup = hold_camera()

    def arc(x, y, _blur):
        off = np.hypot(x - 40, y - 75) - 30
        return -60 * np.exp(-0.5 * (off / 0.04) ** 2)

    # Over 16 mm it bows by 1.1 mm.
    photo = setup.draw(arc)
    assert traced(setup, photo, [[32.0, 46.0], [48.0, 46.0]]) is None
    assert traced(setup, photo, [[36.0, 45.2], [44.0, 45.2]]) is None


def test_outside_the_plate_there_is_nothing(hold_camera, stroke):
    setup = hold_camera(half_mm=(6.0, 6.0))
    photo = setup.draw(stroke((26.0, 36.0), (54.0, 36.0), -60))
    assert traced(setup, photo, [[30.0, 36.0], [50.0, 36.0]]) is None


def test_a_line_stops_at_the_plates_edge(hold_camera, stroke):
    setup = hold_camera(half_mm=(8.0, 10.0))
    photo = setup.draw(stroke((26.0, 44.0), (54.0, 46.0), -60))
    line = traced(setup, photo, [[36.0, 44.7], [44.0, 45.3]])
    low, high = np.sort(line.ends_mm[:, 0])
    assert 32.5 < low < 33.6
    assert 46.4 < high < 47.5


def test_a_short_line_on_a_small_face(hold_camera, stroke):
    setup = hold_camera(half_mm=(4.5, 6.0))
    photo = setup.draw(stroke((34.0, 45.0), (46.0, 45.0), -60))
    line = traced(setup, photo, [[37.5, 45.0], [42.5, 45.0]])
    assert np.abs(line.ends_mm[:, 1] - 45.0).max() < 0.01


def test_a_line_ends_where_a_long_gap_begins(hold_camera, stroke):
    # 13 mm of line, then 4 mm of nothing, then 3 mm of another stroke: less than the gap.
    setup = hold_camera()
    photo = setup.draw(stroke(START, START + 13 * ALONG, -40), stroke(START + 17 * ALONG, END, -40))
    line = traced(setup, photo, [START + ALONG, START + 7 * ALONG])
    along = np.sort((line.ends_mm - START) @ ALONG)
    np.testing.assert_allclose(along, [0.0, 13.0], atol=0.5)


def test_a_clear_line_with_a_gap_is_still_a_line(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, START + 8 * ALONG, -40), stroke(START + 13 * ALONG, END, -40))
    line = traced(setup, photo, [START + ALONG, START + 7 * ALONG])
    assert line is not None
    assert np.abs(offsets(np.array([START, END]), line.ends_mm)).max() < 0.01


def test_a_faint_line_has_less_certainty(hold_camera, stroke):
    setup = hold_camera()
    lines = [
        traced(setup, setup.draw(stroke(START, END, g), noise=5.0), [START, END])
        for g in (-60, -20)
    ]
    assert lines[0].log10_nfa < lines[1].log10_nfa < -3
    assert lines[0].covariance[1, 1] < lines[1].covariance[1, 1]
    assert abs(lines[0].contrast) > 2 * abs(lines[1].contrast)


@pytest.mark.parametrize("first", [0.0, 3.0])
def test_a_side_is_measured_between_its_corners_only(hold_camera, stroke, first):
    setup = hold_camera()
    # Beyond 12 mm another stroke goes on, turned aside by 0.15 mm.
    bend = START + 12 * ALONG
    photo = setup.draw(stroke(START, bend, -50), stroke(bend, END + 0.15 * ACROSS, -50), noise=1.0)
    whole = traced(setup, photo, [START, END])
    part = np.array([START + (first + 0.5) * ALONG, START + 11 * ALONG])
    again = measure_between(photo, setup.face, whole, part)
    assert np.abs(offsets(again.ends_mm, part)).max() < 0.008
    # Which of two strokes in one groove is seen cannot be told: half of what lies between the
    # part and the whole is in doubt, beside what every dark line is good for.
    aside = offsets(whole.ends_mm, part)
    alone = SEEN_OFF_MIDDLE["dark"] * again.width_mm
    expected = np.hypot(alone, aside.mean() / 2)
    assert again.u_optics_mm == pytest.approx(expected, rel=0.1)
    assert again.u_optics_turn_mm > 0.9 * abs(aside[1] - aside[0]) / 4
    assert again.u_optics_turn_mm > 2 * whole.u_optics_turn_mm
    # The ends of the whole line are kept: corners lie beyond the part.
    np.testing.assert_allclose(again.ends_mm @ ALONG, whole.ends_mm @ ALONG, atol=0.05)


def test_a_part_that_is_too_short_leaves_the_line_as_it_is(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, END, -50))
    whole = traced(setup, photo, [START, END])
    part = np.array([START + 5 * ALONG, START + 8 * ALONG])
    assert measure_between(photo, setup.face, whole, part) is whole


def test_a_clean_line_is_the_same_between_any_points(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, END, -50))
    whole = traced(setup, photo, [START, END])
    part = np.array([START + 2 * ALONG, START + 17 * ALONG])
    again = measure_between(photo, setup.face, whole, part)
    assert np.abs(offsets(whole.ends_mm, again.ends_mm)).max() < 0.004
    assert again.u_optics_mm == pytest.approx(whole.u_optics_mm, rel=0.15)


def test_blur_grows_by_sampling(hold_camera):
    # 0.7 px and linear interpolation's 1/6 px², at 20 px/mm.
    assert blur_mm(hold_camera().face) == pytest.approx(np.sqrt(0.49 + 1 / 6) / 20, rel=1e-9)


@pytest.mark.parametrize("turn_deg", [0.0, 100.0, 217.0])
def test_turning_plate_and_camera_does_not_matter(hold_camera, stroke, turn_deg):
    turn = np.radians(turn_deg)
    rotation = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    middle = np.array([40.0, 45.0])
    ends = (np.array([START, END]) - middle) @ rotation + middle
    setup = hold_camera(roll_deg=turn_deg, half_mm=(12.0, 12.0))
    line = traced(setup, setup.draw(stroke(*ends, -50)), ends)
    assert np.abs(offsets(ends, line.ends_mm)).max() < 0.005
    straight = hold_camera(half_mm=(12.0, 12.0))
    same = traced(straight, straight.draw(stroke(START, END, -50)), [START, END])
    assert line.width_mm == pytest.approx(same.width_mm, abs=0.006)
