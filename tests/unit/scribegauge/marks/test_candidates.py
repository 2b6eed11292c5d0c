"""Straight pieces are seen in every direction, and only where there are any."""

import numpy as np
import pytest

from scribegauge.marks.candidates import find_candidates
from scribegauge.marks.metal import look_at_metal

MIDDLE = np.array([40.0, 45.0])


def off_line(ends, angle_rad, through):
    normal = np.array([-np.sin(angle_rad), np.cos(angle_rad)])
    return np.abs((ends - through) @ normal).max()


@pytest.mark.parametrize("angle_deg", [3, 30, 52, 80, 100, 130, 155])
@pytest.mark.parametrize("look", ["single", "double"])
def test_the_clearest_piece_is_the_line(hold_camera, stroke, angle_deg, look):
    setup = hold_camera(half_mm=(12.0, 12.0))
    angle = np.radians(angle_deg)
    reach = 10.0 * np.array([np.cos(angle), np.sin(angle)])
    through = MIDDLE + np.array([0.7, -0.4])
    photo = setup.draw(stroke(through - reach, through + reach, -40, look=look), noise=4.0)
    best = find_candidates(look_at_metal(photo, setup.face))[0]
    assert off_line(best.ends_mm, angle, through) < 0.2
    assert best.score > 10
    assert np.hypot(*(best.ends_mm[1] - best.ends_mm[0])) > 8


@pytest.mark.parametrize("angle_deg", [30, 100])
def test_bright_and_dark_side_by_side_count_together(hold_camera, stroke, angle_deg):
    # A single stroke's profile would see 0.7 of what two side by side show.
    setup = hold_camera(half_mm=(12.0, 12.0))
    angle = np.radians(angle_deg)
    reach = 10.0 * np.array([np.cos(angle), np.sin(angle)])
    double = stroke(MIDDLE - reach, MIDDLE + reach, 12, look="double", width_mm=0.16)
    pieces = find_candidates(look_at_metal(setup.draw(double, noise=6.0), setup.face))
    assert pieces[0].score > 16.5


def test_clearest_first(hold_camera, stroke):
    setup = hold_camera(half_mm=(12.0, 12.0))
    strong, weak = ((30.0, 40.0), (50.0, 42.0)), ((30.0, 50.0), (50.0, 47.0))
    photo = setup.draw(stroke(*strong, -50), stroke(*weak, -8), noise=4.0)
    found = find_candidates(look_at_metal(photo, setup.face))
    scores = [piece.score for piece in found]
    assert scores == sorted(scores, reverse=True)
    assert off_line(found[0].ends_mm, np.arctan2(2, 20), np.array(strong[0])) < 0.2


@pytest.mark.parametrize("seed", range(6))
def test_noise_gives_next_to_nothing(hold_camera, seed):
    setup = hold_camera(half_mm=(12.0, 12.0))
    found = find_candidates(look_at_metal(setup.draw(noise=5.0, seed=seed), setup.face))
    # Promised is one in ten plates.
    assert len(found) <= 1


@pytest.mark.parametrize("roll_deg", [0.0, 25.0])
def test_parallel_scratches_raise_the_bar_for_their_direction_only(
    hold_camera, stroke, brushed, roll_deg
):
    # The scratches lie level in the picture, which is turned by roll_deg on the plate.
    setup = hold_camera(half_mm=(12.0, 12.0), roll_deg=roll_deg)
    bare = find_candidates(look_at_metal(setup.draw(brushed(3, 9.0), noise=2.0), setup.face))
    assert len(bare) < 15  # one bar for all directions would let hundreds pass
    score = {}
    for turn_deg in (0, 60):
        angle = np.radians(roll_deg + turn_deg)
        reach = 10.0 * np.array([np.cos(angle), np.sin(angle)])
        photo = setup.draw(brushed(3, 9.0), stroke(MIDDLE - reach, MIDDLE + reach, -40), noise=2.0)
        pieces = find_candidates(look_at_metal(photo, setup.face))
        on_it = [p.score for p in pieces if off_line(p.ends_mm, angle, MIDDLE) < 0.2]
        score[turn_deg] = max(on_it, default=0.0)
    assert score[60] > 10
    assert score[0] < 0.6 * score[60]
