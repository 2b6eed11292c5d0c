"""A second look finds a faint line within its reach, and texture nowhere."""

import numpy as np
import pytest

from scribegauge.figure.lines import offsets
from scribegauge.marks.metal import look_at_metal
from scribegauge.marks.seek import REACH_MM, seek_line

START, END = np.array([30.0, 40.0]), np.array([50.0, 48.0])
ALONG = (END - START) / np.hypot(*(END - START))
ACROSS = np.array([-ALONG[1], ALONG[0]])
TRUTH = np.array([START, END])
# The grain of `brushed` is level in the picture: so turned, it runs along the line.
GRAIN_DEG = float(np.degrees(np.arctan2(ALONG[1], ALONG[0])))


def sought(setup, photo, first_mm, last_mm):
    rough = TRUTH + np.array([first_mm, last_mm])[:, None] * ACROSS
    return seek_line(photo, setup.face, look_at_metal(photo, setup.face), rough)


@pytest.mark.parametrize(
    ("first_mm", "last_mm"), [(0.0, 0.0), (0.8, 0.8), (-0.9, -0.7), (0.6, -0.5), (-0.2, 0.7)]
)
@pytest.mark.parametrize("mark", [{"grey": -16}, {"grey": 16}, {"grey": 25, "look": "double"}])
def test_a_faint_line_within_reach(hold_camera, stroke, mark, first_mm, last_mm):
    setup = hold_camera()
    line = sought(setup, setup.draw(stroke(START, END, **mark), noise=4.0), first_mm, last_mm)
    assert line is not None
    assert np.abs(offsets(TRUTH, line.ends_mm)).max() < 0.02
    assert not line.hinted


def test_a_line_beyond_reach_is_not_taken(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, END, -40), noise=4.0)
    assert sought(setup, photo, 2 * REACH_MM, 2 * REACH_MM) is None
    assert sought(setup, photo, 1.7, -1.7) is None


def test_fine_texture_is_no_line(hold_camera, brushed):
    # One false line in a thousand looks; the grain runs along the guess.
    setup = hold_camera(roll_deg=GRAIN_DEG)
    for seed in range(5):
        photo = setup.draw(brushed(seed, 8.0, 8), seed=seed)
        assert sought(setup, photo, 0.0, 0.0) is None


def test_long_scratches_across_the_guess_are_no_line(hold_camera, brushed):
    setup = hold_camera(roll_deg=GRAIN_DEG + 40)
    for seed in range(5):
        photo = setup.draw(brushed(seed, 8.0, 80), seed=seed)
        assert sought(setup, photo, 0.0, 0.0) is None


def test_long_scratches_along_the_guess_are_no_line(hold_camera, brushed):
    setup = hold_camera(roll_deg=GRAIN_DEG)
    lines = [
        sought(setup, setup.draw(brushed(seed, 8.0, 80), seed=seed), 0.0, 0.0) for seed in range(4)
    ]
    assert lines == [None] * 4


def test_noise_is_no_line(hold_camera, expose):
    setup = hold_camera()
    light = setup.light()
    for seed in range(6):
        assert sought(setup, expose(light, 5.0, seed), 0.0, 0.0) is None


def test_a_line_over_a_small_part_only_is_not_the_side(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, START + 7 * ALONG, -50), noise=3.0)
    assert sought(setup, photo, 0.0, 0.0) is None


def test_lines_that_cross_do_not_outvote_it(hold_camera, stroke):
    setup = hold_camera()
    crossing = [
        stroke(START + at * ALONG - 3 * ACROSS, START + at * ALONG + 3 * ACROSS, -100)
        for at in (0.0, 9.0, 21.0)
    ]
    line = sought(setup, setup.draw(stroke(START, END, -20), *crossing, noise=4.0), 0.5, 0.5)
    assert line is not None
    assert np.abs(offsets(TRUTH, line.ends_mm)).max() < 0.02


def test_of_two_lines_the_clearer_one(hold_camera, stroke):
    setup = hold_camera()
    aside = 0.7 * ACROSS
    photo = setup.draw(stroke(START, END, -40), stroke(START + aside, END + aside, -12), noise=4.0)
    line = sought(setup, photo, 0.4, 0.4)
    assert np.abs(offsets(TRUTH, line.ends_mm)).max() < 0.02
