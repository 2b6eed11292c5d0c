"""From which side the light falls, by the metal's glow."""

import numpy as np
import pytest

from scribegauge.marks.lamp import NO_LAMP, Lamp, find_lamp


def glow(direction_deg, depth):
    """Return a face that darkens by `depth` grey levels over 30 mm in a direction."""
    away = np.array([np.cos(np.radians(direction_deg)), np.sin(np.radians(direction_deg))])
    return lambda x, y: -depth * ((x - 16) * away[0] + (y - 14) * away[1]) / 30


@pytest.mark.parametrize("direction_deg", [0, 77, 200, -40])
def test_the_face_darkens_away_from_the_light(flat_face, draw, direction_deg):
    lamp = find_lamp(draw(glow(direction_deg, 30)), flat_face)
    found_deg = np.degrees(np.arctan2(lamp.fall[1], lamp.fall[0]))
    assert abs((found_deg - direction_deg + 180) % 360 - 180) < 4
    away = np.array([np.cos(np.radians(direction_deg)), np.sin(np.radians(direction_deg))])
    assert lamp.away(away) > 0.99
    assert lamp.away(-away) < -0.99
    # A direction across the light is neither.
    assert abs(lamp.away(np.array([-away[1], away[0]]))) < 0.9


def test_strong_lines_do_not_pass_for_light(flat_face, draw):
    # Ten bright grooves on the side away from the light.
    def lines(x, y):
        return 80.0 * (np.abs((x - 20) % 1.0 - 0.5) < 0.05) * ((x > 20) & (x < 30)) * (y > 0)

    lamp = find_lamp(draw(glow(0, 30), lines), flat_face)
    assert lamp.away(np.array([1.0, 0.0])) > 0.99


def test_an_even_face_says_nothing(flat_face, draw):
    lamps = [find_lamp(draw(seed=seed), flat_face) for seed in range(8)]
    assert max(abs(lamp.away(np.array([1.0, 0.0]))) for lamp in lamps) < 0.7


def test_a_blotchy_face_is_less_sure_than_an_even_one(flat_face, draw):
    rng = np.random.default_rng(3)
    spots = rng.uniform([0, 0], [32, 28], (12, 2))

    def blotches(x, y):
        return sum(-25 * np.exp(-((x - a) ** 2 + (y - b) ** 2) / 18) for a, b in spots)

    even = find_lamp(draw(glow(30, 20)), flat_face)
    blotchy = find_lamp(draw(glow(30, 20), blotches), flat_face)
    assert blotchy.u_fall > 1.5 * even.u_fall


def test_probabilities_of_a_normal_distribution():
    # One standard uncertainty: 84.13 % against 15.87 % (table of the normal distribution).
    lamp = Lamp(np.array([0.1, 0.0]), 0.1)
    assert lamp.away(np.array([1.0, 0.0])) == pytest.approx(0.8413 - 0.1587, abs=1e-4)
    assert NO_LAMP.away(np.array([0.6, 0.8])) == 0.0
