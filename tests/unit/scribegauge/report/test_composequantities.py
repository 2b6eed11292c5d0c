"""Sides and angles of a real budget in a reading: covariance, freedom, tolerances, grades, trials."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.figure.assign import Placement
from scribegauge.figure.fit import fit_figure
from scribegauge.figure.layout import GradeBands, Layout, Tolerance
from scribegauge.figure.merge import merge_lines
from scribegauge.marks.record import LineMark, LineWorth, Marks
from scribegauge.photo.record import LensFacts, Photo
from scribegauge.report.compose import compose
from scribegauge.report.composelines import line_readings
from scribegauge.report.composetrials import beside, with_trials
from scribegauge.report.jsonfile import from_json, to_json
from scribegauge.uncertainty.budget import make_budget
from scribegauge.uncertainty.trials import Trials
from scribetarget.printscale import scale_from_bars
from scribetarget.spec import load_specs

AT = np.array([25.0, 35.0])
INTENDED = np.array([[0.0, 0], [40, 0], [40, 20], [0, 20]])
SCRIBED = INTENDED + AT + np.array([[0, 0], [0.26, 0], [0, 0], [0, 0]])
BARS = np.zeros((17, 17))
BARS[14, 14] = 0.4**2
SHA = "0000002a" + "f" * 56


def photo():
    facts = LensFacts("Bench", "1", None, None, None, None)
    return Photo("a.jpg", SHA, np.zeros((56, 64, 3), np.uint8), np.zeros((56, 64), np.uint8), facts)


@pytest.fixture
def measured(hold_camera):
    """Return fit, face and reading of a blank."""

    def make(tolerance=Tolerance(None, None), grade=None, missing=(), readings_mm=None, at=SCRIBED):  # noqa: B008
        setup = hold_camera(thickness_mm=1.0, parts={"bars": BARS}, tilt_deg=15.0)
        scale = setup.face.view.scale
        if readings_mm is not None:
            scale = scale_from_bars(load_specs()["S"], readings_mm)
        face = replace(setup.face, view=replace(setup.face.view, scale=scale))
        layout = Layout("blank", at - at[0], tuple("ABCD"), tolerance, grade)
        layout = replace(layout, vertices_mm=INTENDED if at is SCRIBED else at - at[0])
        known = (np.eye(2) * 1e-8, 0.012, 0.004, 0.08, -9.0, "double", 0.9, -9.0)
        ends = np.stack([at, np.roll(at, -1, axis=0)], axis=1)
        row = [
            None if k in missing else LineMark(pair, *known, hinted=False)
            for k, pair in enumerate(ends)
        ]
        fit = fit_figure(layout, Placement(0.0, AT, 1.0), merge_lines([row]), ())
        marks = Marks(tuple(line for line in row if line), (), ())
        return fit, face, compose([photo()], [face], marks, fit, make_budget(fit, [face]))

    return make


def test_the_covariance_is_of_what_is_shown(measured):
    _, _, reading = measured()
    names = reading.covariance.quantities
    assert names == ("A-B", "B-C", "C-D", "D-A", "A", "B", "C", "D")
    matrix = np.array(reading.covariance.matrix_mm_deg)
    expanded = [s.U_mm for s in reading.sides] + [a.U_deg for a in reading.angles]
    np.testing.assert_allclose(2 * np.sqrt(np.diag(matrix)), expanded, rtol=1e-9)
    np.testing.assert_allclose(matrix, matrix.T, rtol=1e-9, atol=1e-15)
    # All angles add up to a whole turn, whatever was measured.
    assert np.abs(matrix[4:, 4:].sum(axis=0)).max() < 1e-6 * matrix[4:, 4:].max()
    # Opposite sides lie between the same two lines and under the same scale.
    assert matrix[0, 2] > 0.9 * matrix[0, 0]


def test_the_file_keeps_the_digits_that_a_covariance_needs(measured):
    _, _, reading = measured()
    kept = np.array(from_json(to_json(reading)).covariance.matrix_mm_deg)
    np.testing.assert_allclose(kept, reading.covariance.matrix_mm_deg, rtol=1e-7)


def test_what_was_not_measured_has_no_covariance(measured):
    _, _, reading = measured(missing=(0,))
    assert reading.covariance.quantities == ("C-D", "C", "D")
    assert np.array(reading.covariance.matrix_mm_deg).shape == (3, 3)


def test_a_class_gives_each_side_its_own_tolerance(measured):
    _, _, reading = measured(Tolerance(None, None, "m"))
    assert [side.tolerance_mm for side in reading.sides] == [0.3, 0.2, 0.3, 0.2]
    assert [angle.tolerance_deg for angle in reading.angles] == [0.5] * 4
    assert reading.tolerance_side_mm is None
    assert reading.tolerance_angle_deg == 0.5
    assert reading.tolerance_class == "m"
    first = reading.sides[0]
    assert first.verdict == "undecided"
    u = first.U_mm / 2
    assert 0.5 < first.p_conform < 0.98
    assert first.p_conform == pytest.approx(
        1 - 0.5 * (1 - np.tanh(0.7988 * (0.3 - first.deviation_mm) / u)), abs=0.01
    )


def test_own_numbers_hold_for_all(measured):
    _, _, reading = measured(Tolerance(0.5, None, "m"))
    assert {side.tolerance_mm for side in reading.sides} == {0.5}
    assert reading.tolerance_side_mm == 0.5
    assert {side.verdict for side in reading.sides} == {"within"}


def test_without_a_tolerance_nothing_is_probable(measured):
    _, _, reading = measured()
    assert {s.p_conform for s in reading.sides} == {None}
    assert {s.tolerance_mm for s in reading.sides} == {None}
    assert reading.tolerance_class is None


def test_a_side_too_short_for_the_class_is_not_judged_and_says_so(measured):
    short = AT + np.array([[0.0, 0], [20, 0], [20, 2.5], [0, 2.5]])
    _, _, reading = measured(Tolerance(None, None, "v"), at=short)
    assert [side.verdict is None for side in reading.sides] == [False, True, False, True]
    codes = [[reason.code for reason in side.reasons] for side in reading.sides]
    assert codes == [[], ["size_without_tolerance"], [], ["size_without_tolerance"]]


def test_few_caliper_readings_that_scatter_are_told(measured):
    apart = [(60.1, 59.9), (60.2, 59.8)]
    _, _, reading = measured(readings_mm=apart, tolerance=Tolerance(0.3, 1.0))
    assert [side.degrees_of_freedom for side in reading.sides] == [1] * 4
    assert all("few_readings" in {r.code for r in side.reasons} for side in reading.sides)
    assert reading.sides[0].p_conform < 0.9
    _, _, steady = measured(readings_mm=[(60.1, 59.9), (60.1, 59.9)], tolerance=Tolerance(0.3, 1.0))
    assert {side.degrees_of_freedom for side in steady.sides} == {None}
    assert all(side.reasons == () for side in steady.sides)
    # The same U; but of one that few readings say, less can be said.
    assert steady.sides[0].U_mm == pytest.approx(reading.sides[0].U_mm)
    assert steady.sides[1].p_conform > reading.sides[1].p_conform


def test_a_grade_from_sides_and_angles(measured):
    bands = GradeBands(
        ("A", "B", "C"), "D", {"largest_mm": (0.02, 0.1, 0.5), "rms_deg": (0.5, 1, 2)}
    )
    _, _, reading = measured(grade=bands)
    worst = max(reading.sides, key=lambda side: abs(side.deviation_mm))
    sides, angles = reading.grade.criteria
    assert sides.value == pytest.approx(abs(worst.deviation_mm))
    assert pytest.approx(worst.U_mm) == sides.U
    turns = np.array([angle.deviation_deg for angle in reading.angles])
    assert angles.value == pytest.approx(np.sqrt((turns**2).mean()))
    assert max(angle.U_deg for angle in reading.angles) > angles.U
    assert reading.grade.possible == ("B", "C")
    assert measured()[2].grade is None
    assert from_json(to_json(reading)).grade.possible == ("B", "C")


def test_trials_are_asked_for_and_repeatable(measured):
    fit, face, reading = measured()
    assert with_trials(reading, fit, [face], None) is reading
    one, again = (with_trials(reading, fit, [face], 20_000) for _ in range(2))
    assert one == again
    assert (one.trials.count, one.trials.seed) == (20_000, 42)
    for side, plain in zip(one.sides, reading.sides, strict=True):
        assert side.trials.u_mm == pytest.approx(side.U_mm / 2, rel=0.05)
        assert side.trials.mean_mm == pytest.approx(side.measured_mm, abs=0.002)
        assert side.trials.low_mm < side.measured_mm < side.trials.high_mm
        assert replace(side, trials=None, reasons=plain.reasons) == plain
    for angle in one.angles:
        assert angle.trials.u_deg == pytest.approx(angle.U_deg / 2, rel=0.05)
        assert angle.trials.low_deg < angle.measured_deg < angle.trials.high_deg
    assert from_json(to_json(one)).trials == one.trials


def test_unmeasured_sides_have_no_trials(measured):
    fit, face, reading = measured(missing=(0,))
    tried = with_trials(reading, fit, [face], 20_000)
    assert [side.trials is None for side in tried.sides] == [True, True, False, True]
    to_json(tried)  # no NaN


@pytest.mark.parametrize(("stretch", "words"), [(2.0, "too small"), (0.4, "safe side"), (1.0, "")])
def test_disagreement_says_which_way(measured, stretch, words):
    fit, face, reading = measured()
    budget = make_budget(fit, [face])
    half = 1.96 * stretch * budget.combined
    ends = (budget.values - half, budget.values + half)
    trials = Trials(20_000, 1, budget.values, budget.combined, *ends, 1e-9 * half)
    tried = beside(reading, budget, trials)
    for quantity in (*tried.sides, *tried.angles):
        assert quantity.trials.agrees is (stretch == 1.0)
        assert [reason.code for reason in quantity.reasons] == ["trials_differ"] * bool(words)
        assert all(words in reason.text for reason in quantity.reasons)


def test_a_lines_width_is_held_against_its_own_sides_tolerance(measured):
    fit, face, _ = measured(Tolerance(None, None, "m"))
    worth = LineWorth(0.005, 0.0, 0.01, (), None, (), (0.1, 0.1))
    wide = tuple(replace(line, width_mm=0.25, worth=worth) for line in fit.merged.lines)
    other = replace(wide[0], ends_mm=wide[0].ends_mm + np.array([0.0, 9.0]))
    fit = replace(fit, merged=replace(fit.merged, lines=wide))
    rows = line_readings(face, Marks((*wide, other), (), ()), fit)
    assert [row.side for row in rows] == ["A-B", "B-C", "C-D", "D-A", ""]
    verdicts = [row.quality.width_verdict for row in rows]
    assert verdicts == ["within", "outside", "within", "outside", "outside"]
