"""What a line is worth: nothing is said of a clean one, and every fault of the hand is found."""

import numpy as np
import pytest

from scribegauge.marks.linefit import trace_line
from scribegauge.marks.lineworth import judge_line, lagged
from scribegauge.marks.metal import look_at_metal

START, END = np.array([28.0, 41.0]), np.array([52.0, 48.0])
LENGTH = float(np.hypot(*(END - START)))
ALONG = (END - START) / LENGTH
ACROSS = np.array([-ALONG[1], ALONG[0]])


def judged(setup, photo):
    line = trace_line(photo, setup.face, look_at_metal(photo, setup.face), np.array([START, END]))
    assert line is not None
    line = judge_line(photo, setup.face, line)
    backwards = (line.ends_mm[1] - line.ends_mm[0]) @ ALONG < 0
    assert not backwards
    return line.worth


def wavy(amplitude_mm, period_mm, grey=-60.0):
    """Draw a stroke that swings about the straight line."""

    def brightness(x, y, blur):
        u = (x - START[0]) * ALONG[0] + (y - START[1]) * ALONG[1]
        v = (x - START[0]) * ACROSS[0] + (y - START[1]) * ACROSS[1]
        off = v - amplitude_mm * np.sin(2 * np.pi * u / period_mm)
        width = np.hypot(blur, 0.08 / np.sqrt(12))
        return grey * np.exp(-0.5 * (off / width) ** 2) * ((u > 0) & (u < LENGTH))

    return brightness


@pytest.mark.parametrize("seed", range(4))
def test_nothing_is_said_of_a_clean_line(hold_camera, stroke, seed):
    setup = hold_camera()
    worth = judged(setup, setup.draw(stroke(START, END, -50), noise=5.0, seed=seed))
    assert worth.wander_mm < worth.U_wander_mm < 0.02
    assert worth.gaps_mm == ()
    assert worth.doubled == ()
    assert worth.faded_mm == (0.0, 0.0)
    assert max(worth.U_ends_mm) < 1.0


@pytest.mark.parametrize("seed", range(3))
def test_no_wander_comes_from_brushing(hold_camera, stroke, brushed, seed):
    setup = hold_camera(roll_deg=float(np.degrees(np.arctan2(ALONG[1], ALONG[0]))))
    photo = setup.draw(stroke(START, END, -60), brushed(seed, 4.0, 40), seed=seed)
    worth = judged(setup, photo)
    assert worth.wander_mm < worth.U_wander_mm


@pytest.mark.parametrize("amplitude_mm", [0.03, 0.06])
def test_a_wandering_line_is_found_with_its_size(hold_camera, amplitude_mm):
    setup = hold_camera()
    worth = judged(setup, setup.draw(wavy(amplitude_mm, 20.0), noise=3.0))
    assert worth.wander_mm > worth.U_wander_mm
    assert worth.wander_mm == pytest.approx(amplitude_mm / np.sqrt(2), rel=0.25)


def test_white_noise_has_no_lag_and_a_wave_keeps_its_mean_square():
    rng = np.random.default_rng(4)
    good = np.ones(4000, bool)
    noise = rng.normal(0, 0.02, 4000)
    assert lagged(noise, good)[0] < 0.004
    wave = 0.03 * np.sin(np.arange(4000) / 5)
    size, limit = lagged(noise + wave, good)
    assert size == pytest.approx(0.03 / np.sqrt(2), rel=0.1)
    assert limit < 0.006


def test_noise_alone_keeps_within_its_limit_nineteen_times_in_twenty():
    rng = np.random.default_rng(5)
    good = np.ones(14, bool)
    rows = [lagged(rng.normal(0, 0.01, 14), good) for _ in range(2000)]
    within = np.mean([size <= limit for size, limit in rows])
    assert 0.94 < within < 0.995


def test_a_gap_is_told_from_where_to_where(hold_camera, stroke):
    setup = hold_camera()
    strokes = stroke(START, START + 11 * ALONG, -50), stroke(START + 14 * ALONG, END, -50)
    ((first, last),) = judged(setup, setup.draw(*strokes, noise=3.0)).gaps_mm
    assert first == pytest.approx(11.0, abs=0.6)
    assert last == pytest.approx(14.0, abs=0.6)


def test_a_faint_end_is_told(hold_camera, stroke):
    setup = hold_camera()
    strokes = stroke(START, START + 19 * ALONG, -60), stroke(START + 19 * ALONG, END, -18)
    start, end = judged(setup, setup.draw(*strokes, noise=2.0)).faded_mm
    assert start == 0.0
    assert end == pytest.approx(6.0, abs=1.0)


def test_a_second_stroke_is_told_where_and_how_far(hold_camera, stroke):
    setup = hold_camera()
    aside = 0.13 * ACROSS
    second = stroke(START + 10 * ALONG + aside, START + 19 * ALONG + aside, -50)
    (found,) = judged(setup, setup.draw(stroke(START, END, -50), second, noise=2.0)).doubled
    assert found.first_mm == pytest.approx(10.0, abs=2.6)
    assert found.last_mm == pytest.approx(19.0, abs=2.6)
    assert abs(found.apart_mm - 0.13) < max(2 * found.u_apart_mm, 0.02)


def test_a_width_is_known_less_through_more_blur(hold_camera, stroke):
    setup = hold_camera()
    sharp, soft = (
        judged(setup, setup.draw(stroke(START, END, -60))),
        judged(
            hold_camera(distance_mm=230.0),
            hold_camera(distance_mm=230.0).draw(stroke(START, END, -60)),
        ),
    )
    assert sharp.u_width_mm < soft.u_width_mm < 0.035
