"""What an arc is worth: told from noise and from light that goes round it."""

import numpy as np
import pytest

from scribegauge.marks.arcs import find_arcs
from scribegauge.marks.arcworth import judge_arc, worth_of
from scribegauge.marks.metal import look_at_metal

COUNT = 120
ANGLE = np.linspace(-np.pi, np.pi, COUNT, endpoint=False)
GOOD = np.ones(COUNT, bool)
OPTICS_MM, NOISE_MM = 0.015, 0.01


def without_circle(off, angle=ANGLE):
    design = np.column_stack([np.cos(angle), np.sin(angle), np.ones_like(angle)])
    return off - design @ np.linalg.lstsq(design, off, rcond=None)[0]


def worth(off, seed=1):
    noise = np.random.default_rng(seed).normal(0, NOISE_MM, COUNT)
    return worth_of(ANGLE, without_circle(off + noise), GOOD, OPTICS_MM)


def test_nothing_is_said_of_a_perfect_circle():
    lamp = [OPTICS_MM * np.sign(np.cos(ANGLE - turn)) for turn in np.linspace(0, 6, 20)]
    for seed, off in enumerate(lamp):
        told = worth(off, seed)
        assert told.roundness_mm <= told.U_roundness_mm
        assert told.mismatch_mm <= told.U_mismatch_mm
        assert told.centre_wander_mm <= told.U_centre_wander_mm


def test_an_oval_is_out_of_round():
    told = worth(0.06 * np.cos(2 * ANGLE))
    assert told.roundness_mm > told.U_roundness_mm
    assert told.roundness_mm == pytest.approx(0.06 / np.sqrt(2), rel=0.1)


@pytest.mark.parametrize("closing", [-2.0, 0.3, 2.5])
def test_a_divider_that_slipped_misses_its_start(closing):
    turn = np.mod(ANGLE - closing, 2 * np.pi)
    told = worth(0.25 * turn / (2 * np.pi))
    assert told.mismatch_mm > told.U_mismatch_mm
    assert told.mismatch_mm == pytest.approx(0.25, rel=0.1)


def test_a_centre_that_moved_parts_the_halves():
    moved = np.where(ANGLE > 0, 0.15 * np.cos(ANGLE), 0.0)
    told = worth(moved)
    assert told.centre_wander_mm > told.U_centre_wander_mm
    assert told.centre_wander_mm == pytest.approx(0.15, rel=0.2)


def test_an_arc_tells_nothing_of_closing():
    part = ANGLE < 0
    off = without_circle(np.zeros(part.sum()), ANGLE[part])
    told = worth_of(ANGLE[part], off, GOOD[part], OPTICS_MM)
    assert told.mismatch_mm is None
    assert told.centre_wander_mm is None


def test_a_drawn_circle_is_judged_from_its_photo(draw, flat_face):
    centre = np.array([16.0, 14.0])

    def ring(slip_mm):
        def brightness(x, y):
            turn = np.mod(np.arctan2(y - centre[1], x - centre[0]), 2 * np.pi) / (2 * np.pi)
            off = np.hypot(x - centre[0], y - centre[1]) - 9.0 - slip_mm * (turn - 0.5)
            return -45.0 * np.exp(-0.5 * (off / 0.03) ** 2)

        return brightness

    sizes = []
    for slip_mm in (0.0, 0.3):
        photo = draw(ring(slip_mm))
        metal = look_at_metal(photo, flat_face)
        (arc,) = find_arcs(photo, flat_face, metal, ())
        told = judge_arc(photo, flat_face, metal, arc, ()).worth
        sizes.append((told.mismatch_mm, told.U_mismatch_mm, told.roundness_mm))
    (none, limit, even), (slipped, above, _) = sizes
    assert none < limit
    assert even < 0.01
    assert slipped > above
    assert slipped == pytest.approx(0.3, abs=0.1)
