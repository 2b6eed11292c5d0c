"""Lines where a person pointed: found if they are there, and never made up."""

import numpy as np
import pytest

from scribegauge.figure.lines import offsets
from scribegauge.marks.hinted import seek_hinted
from scribegauge.marks.linefit import trace_line
from scribegauge.marks.metal import look_at_metal

START, END = np.array([30.0, 40.0]), np.array([48.0, 49.0])
ROUGH = np.array([[30.5, 39.3], [47.6, 49.7]])


def hinted(setup, photo, rough=ROUGH, known=()):
    return seek_hinted(photo, setup.face, look_at_metal(photo, setup.face), known, {2: rough})[2]


def test_a_line_under_the_hint_is_measured_and_marked(hold_camera, stroke):
    setup = hold_camera()
    line = hinted(setup, setup.draw(stroke(START, END, -25), noise=6.0))
    assert line.hinted
    assert np.abs(offsets(np.array([START, END]), line.ends_mm)).max() < 0.02


def test_bare_metal_gives_no_line_however_often_one_points(hold_camera):
    setup = hold_camera()
    photo = setup.draw(noise=6.0)
    rng = np.random.default_rng(2)
    places = [ROUGH + rng.uniform(-4, 4, 2) for _ in range(20)]
    assert [hinted(setup, photo, rough) for rough in places] == [None] * 20


def test_a_known_line_is_kept_as_it_was_traced(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, END, -50))
    metal = look_at_metal(photo, setup.face)
    known = trace_line(photo, setup.face, metal, np.array([START, END]))
    line = hinted(setup, photo, known=(known,))
    assert line.hinted
    np.testing.assert_array_equal(line.ends_mm, known.ends_mm)


@pytest.mark.parametrize("aside_mm", [0.0, 0.2, 0.6])
def test_pointing_right_at_a_strong_line_that_is_known_finds_it(hold_camera, stroke, aside_mm):
    setup = hold_camera()
    photo = setup.draw(stroke(START, END, 110, width_mm=0.2), noise=1.0)
    known = trace_line(photo, setup.face, look_at_metal(photo, setup.face), np.array([START, END]))
    step = END - START
    across = np.array([-step[1], step[0]]) / np.hypot(*step)
    line = hinted(setup, photo, np.array([START, END]) + aside_mm * across, (known,))
    assert line is not None
    assert line.hinted
    np.testing.assert_array_equal(line.ends_mm, known.ends_mm)


def test_pointing_beyond_the_end_of_a_known_line_shows_nothing(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, END, 110, width_mm=0.2), noise=1.0)
    known = trace_line(photo, setup.face, look_at_metal(photo, setup.face), np.array([START, END]))
    step = END - START
    assert hinted(setup, photo, np.array([END + 0.2 * step, END + 0.7 * step]), (known,)) is None


def test_a_line_farther_than_a_millimetre_is_not_the_one_meant(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, END, -50))
    assert hinted(setup, photo, np.array([START, END]) + np.array([0.0, 3.5])) is None
