"""A figure laid where a person pointed."""

import numpy as np
import pytest

from scribegauge.figure.assign import place_figure
from scribegauge.figure.hints import Hints, place_by_hints

VERTICES = np.array([[0, 0], [40, 0], [40, 26], [0, 26]], float)


def placed(turn_deg, shift):
    turn = np.radians(turn_deg)
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return VERTICES @ rotation.T + shift


def sides(corners, which):
    return np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)[list(which)]


def rough(points, seed=1):
    return points + np.random.default_rng(seed).uniform(-0.7, 0.7, np.shape(points))


def test_two_rough_corners_and_two_lines_place_a_figure():
    corners = placed(203.0, [60.0, 50.0])
    lines = sides(corners, (0, 1))
    hints = Hints({0: rough(corners[[0, 1]])}, {2: rough(corners[2])})
    placement = place_by_hints(VERTICES, lines, (hints,))
    np.testing.assert_allclose(placement.plate_from_layout(VERTICES), corners, atol=0.05)


def test_parallel_lines_that_give_no_figure_away_do_with_hints():
    corners = placed(20.0, [60.0, 50.0])
    lines = sides(corners, (0, 2))
    assert place_figure(VERTICES, lines) is None
    hints = Hints({0: rough(corners[[0, 1]]), 2: rough(corners[[2, 3]])})
    placement = place_by_hints(VERTICES, lines, (hints,))
    assert placement.match(VERTICES, lines) == (0, None, 1, None)


@pytest.mark.parametrize("first", [0, 2])
def test_hints_say_which_corner_is_a(first):
    corners = np.roll(placed(0.0, [60.0, 50.0]), -first, axis=0)
    lines = sides(corners, range(4))
    hints = Hints(pricks={0: rough(corners[0]), 1: rough(corners[1], 2)})
    placement = place_by_hints(VERTICES, lines, (hints,))
    np.testing.assert_allclose(placement.plate_from_layout(VERTICES), corners, atol=0.05)


def test_hints_of_several_photos_are_taken_together():
    corners = placed(75.0, [30.0, 20.0])
    told = (Hints(pricks={0: rough(corners[0])}), Hints(), Hints(pricks={2: rough(corners[2])}))
    placement = place_by_hints(VERTICES, sides(corners, range(4)), told)
    np.testing.assert_allclose(placement.plate_from_layout(VERTICES), corners, atol=0.05)


def test_too_little_pointed_at_or_nothing_there():
    corners = placed(10.0, [60.0, 50.0])
    lines = sides(corners, range(4))
    assert place_by_hints(VERTICES, lines, (Hints(pricks={0: corners[0]}),)) is None
    elsewhere = Hints({0: corners[[0, 1]] + [0.0, 9.0]})
    assert place_by_hints(VERTICES, lines, (elsewhere,)) is None
    assert place_by_hints(VERTICES, lines[:0], (Hints({0: corners[[0, 1]]}),)) is None


def test_places_are_taken_to_another_frame():
    hints = Hints({1: np.zeros((2, 2))}, {0: np.ones(2)})
    moved = hints.moved(lambda points: 2 * points + [1.0, 3.0])
    np.testing.assert_array_equal(moved.sides[1], [[1, 3], [1, 3]])
    np.testing.assert_array_equal(moved.pricks[0], [3, 5])
