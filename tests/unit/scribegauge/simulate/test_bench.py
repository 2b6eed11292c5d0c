"""A hand's errors have the asked size, and the board fills the picture."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.simulate.bench import Bench, scene_for_layout
from scribegauge.simulate.engrave import prepare_marks
from scribegauge.simulate.hand import Hand, prick_corners, scribe_sides
from scribegauge.simulate.scene import PlateModel, Profile, ScribedLine
from scribegauge.simulate.truth import seen_px, truth_of
from scribetarget.spec import load_specs

SQUARE = np.array([[0, 0], [30, 0], [30, 30], [0, 30]], dtype=float)


def test_a_perfect_hand_scribes_the_intended_figure():
    scene = scene_for_layout(SQUARE, seed=1, hand=Hand(corner_mm=0, rule_mm=0))
    truth = truth_of(scene)
    np.testing.assert_allclose(truth.sides_mm, 30, atol=1e-9)
    np.testing.assert_allclose(truth.angles_deg, 90, atol=1e-9)
    np.testing.assert_allclose(truth.pricks_mm["vertex 2"], truth.corners_mm[2], atol=1e-9)


def test_hand_errors_have_their_spread():
    rng = np.random.default_rng(0)
    off = np.concatenate([prick_corners(SQUARE, Hand(), rng) - SQUARE for _ in range(300)])
    np.testing.assert_allclose(off.std(), 0.06, rtol=0.05)


@pytest.mark.parametrize("seed", range(6))
def test_the_board_fills_the_picture_and_no_more(seed):
    bench = Bench()
    scene = scene_for_layout(SQUARE, seed=seed, bench=bench)
    board_mm = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * load_specs()["M"].side_mm
    half = np.array(bench.camera.size_px) / 2
    reach = np.abs(seen_px(scene, board_mm, 0.0) + 0.5 - half) / half
    np.testing.assert_allclose(reach.max(), bench.fill, atol=1e-6)
    truth = truth_of(scene)
    tilt_deg = np.degrees(np.arccos(truth.rotation[2, 2]))
    assert 8 <= tilt_deg <= 20


def test_a_plate_that_is_too_large_is_refused():
    with pytest.raises(ValueError, match="does not fit"):
        scene_for_layout(2 * SQUARE, seed=1, size="S")


def test_shares_of_bad_strokes_are_kept():
    hand = Hand(faded=1.0, doubled=1.0, broken=1.0)
    lines = scribe_sides(SQUARE, hand, np.random.default_rng(2))
    assert [line.role for line in lines[:2]] == ["side 0", "double 0"]
    assert all(line.fade >= 0.5 and line.breaks_mm for line in lines)
    plain = scribe_sides(
        SQUARE, replace(hand, faded=0, doubled=0, broken=0), np.random.default_rng(2)
    )
    assert len(plain) == 4
    assert not any(line.fade or line.breaks_mm for line in plain)


def test_a_scratch_in_the_lacquer_alone_is_not_seen():
    profile = Profile(width_mm=0.03, slope_left=0.15, slope_right=0.15)
    line = ScribedLine("stray 0", (-3.0, 0.0), (3.0, 0.0), profile)
    plate = PlateModel(((-5, -5), (5, -5), (5, 5), (-5, 5)), 1.0, finish="lacquer", lines=(line,))
    assert prepare_marks(plate, 1) == ()
    assert len(prepare_marks(replace(plate, finish="matte"), 1)) == 1
