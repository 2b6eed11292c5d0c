"""All marks of a plate together: what moves them at once, and what each is uncertain by itself."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.marks.record import ArcMark, LineMark, PrickMark
from scribegauge.uncertainty.allmarks import AllMarks, lines_by_themselves, marks_covariance
from scribegauge.uncertainty.circles import circle_budget

ARC = ArcMark(
    centre_mm=np.array([38.0, 44.0]),
    radius_mm=9.0,
    start_deg=20.0,
    sweep_deg=140.0,
    covariance=np.diag([0.001, 0.002, 0.003]) ** 2,
    u_optics_mm=0.015,
    width_mm=0.07,
    look="dark",
    seen=1.0,
)
LINE = LineMark(
    ends_mm=np.array([[30.0, 40.0], [50.0, 40.0]]),
    covariance=np.diag([0.004, 0.0002]) ** 2,
    u_optics_mm=0.012,
    u_optics_turn_mm=0.005,
    width_mm=0.07,
    contrast=-9.0,
    look="dark",
    seen=1.0,
    log10_nfa=-30.0,
    hinted=False,
)
NO_LINES = (np.zeros((0, 2, 2)), np.zeros((0, 0)))


def prick(x, y):
    return PrickMark(np.array([x, y]), 0.005, 0.2, 9.0, hinted=False)


def only(index, size):
    part = np.zeros((17, 17))
    part[index, index] = size**2
    return part


def test_height_makes_all_distances_longer_together(hold_camera):
    face = hold_camera(thickness_mm=1.0, u_thickness_mm=0.1).face
    pricks = (prick(30.0, 40.0), prick(50.0, 40.0), prick(40.0, 52.0))
    loose = marks_covariance(AllMarks(pricks, *NO_LINES, ()), face)
    own = 0.005**2 * np.eye(6)
    shared = loose - own
    # The distance of the first two, 20 mm, from 149 mm away, plus swarf under the plate.
    along = np.array([-1, 0, 1, 0, 0, 0])
    u_mm = np.sqrt(along @ shared @ along)
    assert u_mm == pytest.approx(20 * np.hypot(0.1, 0.0145) / 149, rel=0.05)
    assert np.linalg.matrix_rank(shared, tol=1e-9) <= 3  # height and two tilts


def test_a_circle_is_as_uncertain_as_its_own_budget_says(hold_camera):
    face = hold_camera(thickness_mm=1.0, u_thickness_mm=0.05, parts={"f": only(0, 20.0)}).face
    together = marks_covariance(AllMarks((), *NO_LINES, (ARC,)), face)
    np.testing.assert_allclose(together, circle_budget(ARC, face).covariance, rtol=1e-6, atol=1e-14)


def test_a_line_is_uncertain_at_its_ends_by_offset_and_turn(hold_camera):
    face = replace(hold_camera(u_thickness_mm=0.0).face, u_thickness_mm=0.0)
    marks = AllMarks((), LINE.ends_mm[None], lines_by_themselves([LINE]), ())
    spread = marks_covariance(marks, face)
    offset, turn = np.hypot(0.004, 0.012), np.hypot(0.0002, 0.005 / 10.0)
    end = np.hypot(offset, 10 * turn)
    np.testing.assert_allclose(np.sqrt(np.diag(spread)), end, rtol=0.02)
    assert spread[0, 1] == pytest.approx(offset**2 - (10 * turn) ** 2, rel=0.05)


def test_parallel_lines_of_one_look_move_together():
    other = replace(LINE, ends_mm=LINE.ends_mm + np.array([0.0, 10.0]))
    across = replace(LINE, ends_mm=LINE.ends_mm[:, ::-1])
    spread = lines_by_themselves([LINE, other, across])
    assert spread[0, 2] > 0.3 * 0.012**2
    assert spread[0, 4] == pytest.approx(0.0, abs=1e-12)
    assert lines_by_themselves([]).shape == (0, 0)


def test_nothing_measured_has_no_covariance(hold_camera):
    assert marks_covariance(AllMarks((), *NO_LINES, ()), hold_camera().face).shape == (0, 0)
