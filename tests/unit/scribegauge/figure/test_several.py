"""Several photos of one plate: what they tell of its height, its tilt and of each other."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.figure.adjust import adjust
from scribegauge.figure.assign import Placement
from scribegauge.figure.fit import fit_figure
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.lift import asides, shifted
from scribegauge.figure.lineerrors import optics_errors
from scribegauge.figure.merge import merge_lines
from scribegauge.figure.parallax import compare, joined_ends
from scribegauge.figure.several import settle
from scribegauge.marks.onface import line_on_face
from scribegauge.simulate import drawnview
from scribegauge.simulate.poses import Given, Mishap, try_plate
from scribegauge.uncertainty.budget import make_budget

PAIR = Given(photos=2)
SEEDS = range(4)


@pytest.fixture(scope="module", autouse=True)
def _poses_are_solved_once():
    """What goes wrong with the plate does not change what is seen of the sheet."""
    solved, solve = {}, drawnview.solve_view

    def remembered(sighting, camera, scale):
        key = sighting.corners_px.tobytes()
        if key not in solved:
            solved[key] = solve(sighting, camera, scale)
        return solved[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(drawnview, "solve_view", remembered)
        yield


def tries(given, seeds=SEEDS):
    return [try_plate(given, seed) for seed in seeds]


def height_off(trial):
    """How far the height found is off, over its standard uncertainty."""
    finding = trial.settled.finding
    return abs(finding.height_mm - trial.plate.height_mm) / finding.u_height_mm


@pytest.fixture(scope="module")
def good():
    return tries(PAIR)


def test_photos_that_agree_are_left_in_peace(good):
    for trial in good:
        assert trial.settled.finding.account.cause == ""
        assert trial.settled.finding.account.disputed == ()
        assert not trial.settled.merged.lift.loose.any()


def test_the_height_of_a_plate_of_unknown_thickness_is_found():
    """Without it nothing is known of the height but 1 mm give or take 0.45."""
    unknown = Given(thickness=False, photos=2)
    for trial in tries(unknown):
        assert trial.settled.finding.u_height_mm < 0.25
        assert height_off(trial) < 3.2
        # What one photo alone was measured for (circles, pricks) has the better height too.
        for face in trial.settled.faces:
            assert face.u_height_mm == trial.settled.finding.u_height_mm < face.u_thickness_mm
        assert np.all(np.abs(trial.error) < 1.6 * trial.budget.expanded)
    one = [t.budget.standard("thickness") for t in tries(replace(unknown, photos=1))]
    two = [t.budget.standard("thickness") for t in tries(unknown)]
    smaller = [a.max() / b.max() for a, b in zip(two, one, strict=True)]
    assert np.median(smaller) < 0.25


def test_a_thickness_given_is_not_made_worse(good):
    for trial in good:
        # caliper 0.02 mm, seat 0.05 / sqrt(3) / 2 mm
        assert trial.settled.finding.u_height_mm <= np.hypot(0.02, 0.05 / np.sqrt(12)) + 1e-9


@pytest.mark.parametrize("raised_mm", [0.8, -0.6])
def test_a_wrong_thickness_is_contradicted_and_set_right(raised_mm, good):
    """0.8 mm too high is 0.2 mm on 40 mm: without the second photo all of it would be error."""
    for trial, before in zip(
        tries(replace(PAIR, mishap=Mishap(raised_mm=raised_mm))), good, strict=True
    ):
        finding = trial.settled.finding
        assert finding.account.cause == "height"
        assert height_off(trial) < 3.2
        assert np.all(np.abs(trial.error) < 1.6 * trial.budget.expanded)
        # Photos alone do not tell a height as well as a caliper does.
        assert finding.u_height_mm > before.settled.finding.u_height_mm
        assert trial.budget.expanded.sum() > before.budget.expanded.sum()


def test_a_plate_with_something_under_its_edge_is_seen_and_allowed_for():
    """1.7 degrees: 1.4 mm over a plate of 48 mm, its middle 0.7 mm up."""
    trials = tries(replace(PAIR, mishap=Mishap(raised_mm=0.7, slopes=(0.03, 0.0))))
    assert [t.settled.finding.account.cause for t in trials].count("tilt") >= 3
    for trial in trials:
        assert trial.settled.finding.slopes[0] == pytest.approx(0.03, abs=0.012)
        assert trial.settled.merged.lift.loose.any()
        assert np.all(np.abs(trial.error) < 1.6 * trial.budget.expanded)


def test_a_plate_that_was_knocked_is_seen_and_does_not_spoil_the_figure():
    mishap = Mishap(moved_mm=(0.35, -0.3), moved_rad=0.02)
    for trial in tries(replace(PAIR, mishap=mishap)):
        finding = trial.settled.finding
        assert finding.account.cause == "moved"
        assert finding.moved_mm == pytest.approx([0.0, 0.46], abs=0.12)
        assert np.all(np.abs(trial.error) < 1.6 * trial.budget.expanded)


def test_another_stroke_at_one_side_is_named_and_widens_u_there(good):
    trials = tries(replace(PAIR, mishap=Mishap(stroke_mm=0.35)))
    for trial, before in zip(trials, good, strict=True):
        finding = trial.settled.finding
        assert (finding.account.cause, finding.account.disputed) == ("", (0,))
        assert finding.apart_mm[0] == pytest.approx(0.35, abs=0.15)
        count = len(trial.error) // 2
        wider = trial.budget.expanded[:count] / before.budget.expanded[:count]
        # Sides 1 and the last end on it; with four sides or more another one does not.
        assert wider[1] > 1.3
        assert np.all(np.abs(trial.error) < 1.6 * trial.budget.expanded)


def test_of_three_photos_the_odd_one_is_named():
    trials = tries(Given(photos=3, mishap=Mishap(stroke_mm=0.35)), range(3))
    assert [t.settled.finding.odd[0] for t in trials] == [2, 2, 2]


def test_photos_from_one_place_say_nothing_and_break_nothing():
    """Twice the same photo but for the light: the prior stays."""
    trial = try_plate(PAIR, 3)
    once = settle([row_of(trial, 0)] * 2, [trial.settled.faces[0]] * 2)
    assert once.finding.account.cause == ""
    assert once.finding.account.lamps["where it was"] > 0.9
    face = trial.settled.faces[0]
    prior = np.hypot(face.u_thickness_mm, 0.05 / np.sqrt(12))
    assert once.finding.u_height_mm == pytest.approx(prior, rel=1e-3)
    assert once.faces[0].thickness_mm == pytest.approx(face.thickness_mm, abs=1e-6)
    # One lamp, one error: seeing it twice hardly halves its variance.
    for line in once.merged.lines:
        assert line.u_optics_mm > 0.92 * 0.03


def row_of(trial, photo):
    merged = trial.settled.merged
    ends = merged.anchors_mm[photo]
    return [
        replace(line, ends_mm=e, u_optics_mm=0.03)
        for line, e in zip(merged.lines, ends, strict=True)
    ]


def test_a_side_that_only_one_photo_shows_is_kept():
    trial = try_plate(PAIR, 4)
    rows = [row_of(trial, 0), row_of(trial, 1)]
    rows[1][1] = None
    settled = settle(rows, trial.settled.faces)
    assert settled.merged.lines[1] is not None
    assert settled.finding.compared == len(rows[0]) - 1
    assert settled.finding.apart_mm[1] == 0.0
    rows[0][1] = None
    settled = settle(rows, trial.settled.faces)
    assert settled.merged.lines[1] is None
    assert np.isnan(settled.merged.lift.lines_mm[1]).all()


def test_what_the_photos_had_to_find_is_uncertain_by_what_was_left_open():
    trial = try_plate(replace(PAIR, mishap=Mishap(raised_mm=0.7, slopes=(0.03, 0.0))), 0)
    settled = trial.settled
    shut = replace(settled.merged.lift, loose=np.zeros(3))
    closed = replace(settled, merged=replace(settled.merged, lift=shut))
    left_open, left_shut = (measure(each, trial) for each in (settled, closed))
    wider = left_open.standard("flatness") / left_shut.standard("flatness")
    assert np.all(wider >= 1)
    assert wider.max() > 1.2


def test_which_way_lines_run_changes_nothing():
    trial = try_plate(PAIR, 5)
    rows = [row_of(trial, photo) for photo in (0, 1)]
    turned = [
        [replace(line, ends_mm=line.ends_mm[::-1]) if k % 2 else line for k, line in enumerate(row)]
        for row in rows
    ]
    one, other = (budget_of(each, trial) for each in (rows, turned))
    np.testing.assert_allclose(other.values, one.values, rtol=1e-9)
    for cause in one.terms:
        np.testing.assert_allclose(
            other.standard(cause), one.standard(cause), rtol=1e-4, atol=1e-9, err_msg=cause
        )


def budget_of(rows, trial):
    return measure(settle(rows, trial.settled.faces), trial)


def measure(settled, trial):
    starts = np.array([line.ends_mm[0] for line in trial.settled.merged.lines])
    layout = Layout("blank", starts, tuple("ABCDEF"[: len(starts)]), Tolerance(None, None))
    fit = fit_figure(layout, Placement(0.0, np.zeros(2), 1.0), settled.merged, ())
    return make_budget(fit, settled.faces)


def test_lines_do_not_depend_on_which_face_they_are_worked_out_on():
    """Best linear estimate on the face as given, and as laid on the face found: the same."""
    trial = try_plate(PAIR, 3)
    there = trial.settled.faces
    given = [replace(f, thickness_mm=f.thickness_mm - 0.15, u_thickness_mm=0.1) for f in there]
    rows = [
        [line_on_face(line, old, new) for line in row_of(trial, k)]
        for k, (old, new) in enumerate(zip(there, given, strict=True))
    ]
    settled = settle(rows, given)
    merged = merge_lines(rows)
    scene = compare(rows, given, merged)
    account = settled.finding.account
    found = adjust(scene, account, optics_errors(rows, scene.across, account.same_lamp))
    assert abs(found.change[0]) > 0.03
    aside = (found.follows @ scene.asides_mm).reshape(-1, 2)
    expected = shifted(joined_ends(merged), scene.across, aside)
    away = asides(settled.merged.lift.lines_mm - expected, scene.across)
    np.testing.assert_allclose(away, 0.0, atol=0.001, err_msg="mm")
