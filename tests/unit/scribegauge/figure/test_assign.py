"""Laying the intended figure over the lines: any place, any turn, never mirrored."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scribegauge.figure.assign import place_figure

FIGURES = {
    "scalene triangle": np.array([[0.0, 0], [40, 0], [12, 27]]),
    "rectangle": np.array([[0.0, 0], [40, 0], [40, 26], [0, 26]]),
    "bracket": np.array([[0.0, 0], [40, 0], [40, 10], [10, 10], [10, 30], [0, 30]]),
    "pentagon": 25.0
    * np.column_stack([np.cos(2 * np.pi * np.arange(5) / 5), np.sin(2 * np.pi * np.arange(5) / 5)]),
    "kite": np.array([[0.0, 0], [30, -8], [44, 4], [21, 30]]),
}
UNIQUE = ["scalene triangle", "bracket", "kite"]


def turned(points, angle_rad, shift=(0.0, 0.0)):
    cos, sin = np.cos(angle_rad), np.sin(angle_rad)
    return points @ np.array([[cos, sin], [-sin, cos]]) + shift


def sides(vertices):
    return np.stack([vertices, np.roll(vertices, -1, axis=0)], axis=1)


def scribed(vertices, rng, spread_mm=0.05, strays=0):
    """Return lines along the sides, a bit off and past the corners, in random order and sense."""
    lines = sides(vertices) + rng.normal(0, spread_mm, (len(vertices), 2, 2))
    step = lines[:, 1] - lines[:, 0]
    past = rng.uniform(0.0, 2.0, (len(lines), 2)) / np.linalg.norm(step, axis=1)[:, None]
    lines = np.stack([lines[:, 0] - past[:, :1] * step, lines[:, 1] + past[:, 1:] * step], axis=1)
    middle = vertices.mean(axis=0)
    for _ in range(strays):
        angle, reach = rng.uniform(0, 2 * np.pi), rng.uniform(6, 30)
        start = middle + rng.uniform(-25, 25, 2)
        end = start + reach * np.array([np.cos(angle), np.sin(angle)])
        lines = np.concatenate([lines, [[start, end]]])
    order = rng.permutation(len(lines))
    swapped = rng.random(len(lines)) < 0.5
    mixed = np.where(swapped[:, None, None], lines[:, ::-1], lines)[order]
    return mixed, np.argsort(order)[: len(vertices)]


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(UNIQUE),
    st.floats(0, 2 * np.pi),
    st.floats(-60, 60),
    st.integers(0, 6),
    st.integers(0, 999),
)
def test_the_figure_is_laid_where_it_was_scribed(name, angle, shift, strays, seed):
    vertices = FIGURES[name]
    place = turned(vertices, angle, [shift, -shift / 2])
    lines, truth = scribed(place, np.random.default_rng(seed), strays=strays)
    placement = place_figure(vertices, lines)
    laid = placement.plate_from_layout(vertices)
    assert np.linalg.norm(laid - place, axis=1).max() < 0.5
    assert placement.score > 0.9
    np.testing.assert_array_equal(placement.match(vertices, lines), truth)


@pytest.mark.parametrize("name", FIGURES)
@pytest.mark.parametrize("angle", [0.0, 1.0, 2.5, 4.0])
def test_every_figure_covers_itself_whatever_its_symmetry(name, angle):
    vertices = FIGURES[name]
    place = turned(vertices, angle, [5.0, 9.0])
    lines, _ = scribed(place, np.random.default_rng(3), strays=3)
    placement = place_figure(vertices, lines)
    laid = placement.plate_from_layout(vertices)
    gaps = np.linalg.norm(laid[:, None] - place[None], axis=-1)
    assert gaps.min(axis=1).max() < 0.4
    matched = placement.match(vertices, lines)
    assert None not in matched
    assert len(set(matched)) == len(vertices)
    # Names go round in the layout's order: handedness is kept.
    nearest = gaps.argmin(axis=1)
    assert set((np.roll(nearest, -1) - nearest) % len(vertices)) == {1}


@pytest.mark.parametrize("name", UNIQUE)
def test_a_mirrored_figure_is_not_taken(name):
    mirrored = FIGURES[name] * [1.0, -1.0]
    rng = np.random.default_rng(1)
    for angle in np.arange(0, 6.2, 0.9):
        lines, _ = scribed(turned(mirrored, angle), rng)
        placement = place_figure(FIGURES[name], lines)
        assert placement is None or placement.score < 0.85
        right, _ = scribed(turned(FIGURES[name], angle), rng)
        assert place_figure(FIGURES[name], right).score > 0.93


def test_another_size_is_not_taken():
    lines, _ = scribed(FIGURES["kite"] * 1.25, np.random.default_rng(1))
    placement = place_figure(FIGURES["kite"], lines)
    assert placement is None or placement.score < 0.6


@pytest.mark.parametrize("missing", range(6))
def test_a_side_that_was_not_seen_is_none(missing):
    vertices = FIGURES["bracket"]
    place = turned(vertices, 0.6, [10.0, 3.0])
    lines = np.delete(sides(place), missing, axis=0)
    placement = place_figure(vertices, lines)
    assert np.linalg.norm(placement.plate_from_layout(vertices) - place, axis=1).max() < 0.05
    matched = placement.match(vertices, lines)
    assert matched[missing] is None
    assert [k for k in matched if k is not None] == list(range(5))


def test_the_nearer_of_two_strokes_is_taken():
    vertices = FIGURES["kite"]
    lines = sides(vertices)
    double = lines[1] + 0.6 * np.array([0.6, -0.4])
    placement = place_figure(vertices, np.concatenate([[double], lines]))
    assert placement.match(vertices, np.concatenate([[double], lines])) == (1, 2, 3, 4)
    assert placement.match(vertices, np.concatenate([lines, [double]])) == (0, 1, 2, 3)


@pytest.mark.parametrize("turn_deg", [-40.0, -10.0, 5.0, 30.0, 44.0])
def test_a_symmetric_figure_is_turned_least(turn_deg):
    square = np.array([[0.0, 0], [30, 0], [30, 30], [0, 30]])
    for quarter in range(4):
        place = turned(square, np.radians(turn_deg + 90 * quarter), [4.0, 4.0])
        placement = place_figure(square, sides(np.roll(place, quarter, axis=0)))
        turn = np.degrees(placement.rotation_rad) % 360
        assert turn == pytest.approx(turn_deg % 360, abs=0.01)


def test_order_and_sense_of_the_lines_do_not_matter():
    rng = np.random.default_rng(5)
    vertices = FIGURES["pentagon"]
    lines, _ = scribed(turned(vertices, 0.3), rng, strays=4)
    first = place_figure(vertices, lines)
    for _ in range(5):
        order = rng.permutation(len(lines))
        again = place_figure(vertices, lines[order][:, ::-1])
        np.testing.assert_allclose(
            again.plate_from_layout(vertices), first.plate_from_layout(vertices), atol=0.02
        )


@pytest.mark.parametrize("name", ["kite", "pentagon"])
def test_all_sides_have_a_say_in_the_place(name):
    # Two lines alone would lay the corners 0.10 mm off on average when ends are good to 0.1 mm.
    vertices, off = FIGURES[name], []
    place = turned(vertices, 0.3, [3.0, 4.0])
    for seed in range(20):
        lines, _ = scribed(place, np.random.default_rng(seed), spread_mm=0.1)
        laid = place_figure(vertices, lines).plate_from_layout(vertices)
        off.append(np.linalg.norm(laid[:, None] - place, axis=-1).min(axis=1).mean())
    assert np.mean(off) < 0.09


def test_score_is_the_scribed_share_of_the_outline():
    # Three of four sides, 106 of 132 mm, are scribed in full.
    vertices = FIGURES["rectangle"]
    lines = sides(vertices)[:3]
    assert place_figure(vertices, lines).score == pytest.approx(106 / 132, abs=1e-6)


def test_nothing_to_lay_it_over():
    vertices = FIGURES["kite"]
    assert place_figure(vertices, np.zeros((0, 2, 2))) is None
    assert place_figure(vertices, sides(vertices)[:1]) is None
    parallel = np.array([[[0.0, 0], [20, 0]], [[0, 5.0], [20, 5]], [[0, 9.0], [20, 9]]])
    assert place_figure(vertices, parallel) is None
    lines = sides(vertices)
    assert place_figure(vertices, lines).match(vertices, np.zeros((0, 2, 2))) == (None,) * 4
