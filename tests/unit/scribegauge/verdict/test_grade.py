"""Grades by a teacher's bands, and what U leaves open."""

import numpy as np
import pytest

from scribegauge.figure.layout import GradeBands
from scribegauge.verdict.grade import Deviations, grade_plate

BANDS = GradeBands(("A", "B", "C"), "D", {"largest_mm": (0.1, 0.2, 0.4)})
RMS = GradeBands(("A", "B", "C"), "D", {"rms_mm": (0.1, 0.2, 0.4)})


def sides(*values, u=0.015, correlation=0.0):
    n = len(values)
    covariance = u**2 * (correlation + (1 - correlation) * np.eye(n))
    return {"mm": Deviations(np.array(values, float), covariance)}


@pytest.mark.parametrize(
    ("largest", "grades"),
    [
        (0.05, "A"),
        (0.07, "A"),
        (0.08, "AB"),
        (0.12, "AB"),
        (0.14, "B"),
        (0.169, "B"),
        (0.19, "BC"),
        (0.3, "C"),
        (0.39, "CD"),
        (0.44, "D"),
    ],
)
@pytest.mark.parametrize("sign", [1, -1])
def test_the_largest_deviation_and_its_u(largest, grades, sign):
    grade = grade_plate(BANDS, sides(0.01, sign * largest, -0.02))
    assert "".join(grade.possible) == grades
    (row,) = grade.criteria
    assert (row.by, row.value) == ("largest_mm", pytest.approx(largest))
    assert row.expanded == pytest.approx(0.03)


def test_a_wide_u_may_leave_every_grade_open():
    assert grade_plate(BANDS, sides(0.15, u=0.2)).possible == ("A", "B", "C", "D")


def test_a_smaller_deviation_with_a_larger_u_counts_too():
    rows = Deviations(np.array([0.06, 0.05]), np.diag([0.005**2, 0.03**2]))
    assert grade_plate(BANDS, {"mm": rows}).possible == ("A", "B")


def test_a_side_that_was_not_measured_may_be_anything():
    assert grade_plate(BANDS, sides(0.14, np.nan)).possible == ("B", "C", "D")
    assert grade_plate(BANDS, sides(0.5, np.nan)).possible == ("D",)
    grade = grade_plate(BANDS, sides(np.nan, np.nan))
    assert grade.possible == ("A", "B", "C", "D")
    assert grade.criteria[0].value is None
    # Root mean square over four, were the two others perfect: 0.18 of 0.26.
    assert grade_plate(RMS, sides(0.26, 0.26, np.nan, np.nan)).possible == ("B", "C", "D")
    assert grade_plate(RMS, sides(np.nan)).possible == ("A", "B", "C", "D")


def test_root_mean_square_and_its_u():
    off = (0.3, -0.1, 0.1, 0.1)
    grade = grade_plate(RMS, sides(*off, u=0.02))
    (row,) = grade.criteria
    assert row.value == pytest.approx(np.sqrt(0.03))
    # Independent equal u: the mean square's gradient has length 1/sqrt(n).
    assert row.expanded == pytest.approx(0.02)
    assert grade.possible == ("B",)
    together = grade_plate(RMS, sides(0.15, 0.15, 0.15, 0.15, u=0.02, correlation=1.0))
    assert together.criteria[0].expanded == pytest.approx(0.04)
    still = grade_plate(RMS, sides(0.0, 0.0, u=0.02)).criteria[0]
    assert (still.value, still.expanded) == (0.0, pytest.approx(0.04))


def test_rms_uncertainty_against_brute_force():
    rng = np.random.default_rng(3)
    covariance = 1e-4 * np.array([[4.0, 1, -1], [1, 3, 0.5], [-1, 0.5, 2]])
    off = np.array([0.2, -0.3, 0.1])
    grade = grade_plate(RMS, {"mm": Deviations(off, covariance)})
    draws = off + rng.multivariate_normal(np.zeros(3), covariance, 20000)
    spread = np.sqrt((draws**2).mean(axis=1)).std()
    assert grade.criteria[0].expanded == pytest.approx(2 * spread, rel=0.03)


def test_the_worst_criterion_counts():
    bands = GradeBands(
        ("A", "B"), "C", {"largest_mm": (0.1, 0.2), "largest_deg": (0.3, 0.6), "rms_deg": (0.2, 9)}
    )
    angles = Deviations(np.array([0.45, 0.1]), 0.02**2 * np.eye(2))
    grade = grade_plate(bands, {**sides(0.02, 0.11), "deg": angles})
    assert grade.possible == ("B",)
    by = {row.by: row.possible for row in grade.criteria}
    assert by == {"largest_mm": ("A", "B"), "largest_deg": ("B",), "rms_deg": ("B",)}
