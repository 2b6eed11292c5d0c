"""Circles and pricks found on a plate matched with a layout's."""

import numpy as np
import pytest

from scribegauge.figure.assign import Placement
from scribegauge.figure.intended import IntendedCircle, IntendedMarks
from scribegauge.figure.markplace import match_marks, place_marks
from scribegauge.figure.named import figure_layout
from scribegauge.marks.record import ArcMark, LineMark, Marks, PrickMark

AT = Placement(0.4, np.array([50.0, 60.0]), 1.0)
NOTHING = Marks((), (), ())


def arc(centre, radius):
    known = (0.0, 360.0, np.eye(3) * 1e-6, 0.01, 0.08, "dark", 1.0)
    return ArcMark(np.asarray(centre, float), radius, *known)


def prick(centre):
    return PrickMark(np.asarray(centre, float), 0.01, 0.25, -8.0, hinted=False)


def line(ends):
    known = (np.eye(2) * 1e-8, 0.01, 0.0, 0.08, -9.0, "dark", 1.0, -9.0)
    return LineMark(np.asarray(ends, float), *known, hinted=False)


def scribed(marks, at=AT, *, spread=0.05, seed=3):
    """Return what a perfect eye finds of marks scribed with small errors, in another order."""
    rng = np.random.default_rng(seed)

    def place(points):
        points = np.atleast_2d(points)
        return at.plate_from_layout(points) + rng.normal(0, spread, points.shape)

    arcs = tuple(arc(place(c.centre_mm)[0], c.radius_mm + 0.03) for c in marks.circles)
    pricks = tuple(prick(place(p.at_mm)[0]) for p in marks.pricks)
    lines = tuple(line(place([g.from_mm, g.to_mm])) for g in marks.lines)
    return Marks(lines[::-1], arcs[::-1], pricks[::-1])


def alike(one, other, marks):
    points = marks.reach_mm()
    return np.abs(one.plate_from_layout(points) - other.plate_from_layout(points)).max()


def with_start():
    """A hole circle with a start mark beside the first hole: it lies alike in no other way."""
    marks = figure_layout("hole-circle", {"pitch_circle_mm": 50, "n": 6}).marks
    start = type(marks.pricks[0])("start", (3.0, -29.0))
    return IntendedMarks(marks.circles, (*marks.pricks, start), distances=marks.distances)


def test_a_hole_circle_with_a_start_mark_is_laid_as_it_was_scribed():
    marks = with_start()
    found = scribed(marks)
    placement = place_marks(marks, found)
    assert alike(placement, AT, marks) < 0.1
    assert placement.score > 0.95
    matched = match_marks(marks, placement, found)
    assert matched.pricks == (6, 5, 4, 3, 2, 1, 0)
    assert matched.circles == (0,)


def test_missing_and_false_marks_do_no_harm():
    marks = with_start()
    seen = scribed(marks)
    rng = np.random.default_rng(1)
    false = tuple(prick(place) for place in rng.uniform(20, 100, (25, 2)))
    found = Marks(
        (), (*seen.arcs, arc((70, 70), 11.0)), (*false, *seen.pricks[:2], *seen.pricks[4:])
    )
    placement = place_marks(marks, found)
    assert alike(placement, AT, marks) < 0.15
    matched = match_marks(marks, placement, found)
    assert sum(k is None for k in matched.pricks) == 2
    chosen = [found.pricks[k].centre_mm for k in matched.pricks if k is not None]
    wanted = [p.at_mm for p, k in zip(marks.pricks, matched.pricks, strict=True) if k is not None]
    off = np.array(chosen) - placement.plate_from_layout(np.array(wanted))
    assert np.hypot(*off.T).max() < 0.3


@pytest.mark.parametrize("name", ["vesica", "rosette", "rosette-grid"])
def test_figures_of_circles_lie_on_those_found(name):
    marks = figure_layout(name).marks
    found = scribed(marks)
    placement = place_marks(marks, found)
    matched = match_marks(marks, placement, found)
    assert None not in matched.circles
    assert len(set(matched.circles)) == len(marks.circles)


def test_circles_about_one_point_are_told_apart_by_their_radii():
    marks = figure_layout("concentric-circles", {"rings": 3}).marks
    found = scribed(marks, spread=0.02)
    placement = place_marks(marks, found)
    assert match_marks(marks, placement, found).circles == (2, 1, 0)


def test_a_wheel_is_turned_by_its_spokes():
    marks = figure_layout("spoked-wheel", {"n": 5}).marks
    found = scribed(marks, Placement(0.2, np.array([50.0, 60.0]), 1.0), spread=0.02)
    placement = place_marks(marks, found)
    assert placement.rotation_rad == pytest.approx(0.2, abs=0.003)
    assert match_marks(marks, placement, found).lines == (4, 3, 2, 1, 0)


def test_what_is_not_there_is_not_found():
    marks = with_start()
    assert place_marks(marks, NOTHING) is None
    rng = np.random.default_rng(2)
    stray = Marks((), (), tuple(prick(place) for place in rng.uniform(20, 100, (12, 2))))
    chance = place_marks(marks, stray)
    assert chance is None or chance.score < 0.5
    assert place_marks(IntendedMarks(circles=(IntendedCircle("k", (0, 0), 9.0),)), stray) is None
