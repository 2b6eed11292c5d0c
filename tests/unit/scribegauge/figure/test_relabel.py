"""Which corner is A, and mirror images."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.errors import UseError
from scribegauge.figure.assign import Placement, place_figure
from scribegauge.figure.intended import (
    FitChoice,
    IntendedCircle,
    IntendedMarks,
    IntendedPrick,
)
from scribegauge.figure.named import figure_layout, figure_names, outline_layout
from scribegauge.figure.relabel import mirrored, refuse_several, settle_figure, turns_alike
from scribegauge.marks.record import Marks, PrickMark

SQUARE = figure_layout("square", {"side_mm": 30})
BRACKET = figure_layout("bracket")
HERE = Placement(0.1, np.array([50.0, 60.0]), 0.9)
PLATE = np.array([[40.0, 5], [110, 5], [110, 90], [40, 90]])
NOTHING = Marks((), (), ())


def settled(layout, marks=NOTHING, *, hinted=False, place=lambda _: HERE):
    return settle_figure(layout, place, marks, PLATE, hinted=hinted)


def lines_of(layout, at):
    corners = at.plate_from_layout(layout.vertices_mm)
    return np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)


def test_a_figure_without_symmetry_is_told_by_its_shape():
    found = settled(BRACKET)
    assert (found.ways, found.told_by) == (1, "shape")
    assert found.placement is HERE


def test_a_square_is_told_by_nothing_or_by_hints():
    assert (settled(SQUARE).ways, settled(SQUARE).told_by) == (4, "nothing")
    assert settled(SQUARE, hinted=True).told_by == "hints"
    assert settled(figure_layout("rectangle")).ways == 2


@pytest.mark.parametrize("corner", range(4))
def test_a_start_prick_tells_which_corner_is_a(corner):
    start = IntendedPrick("start", (-3.0, 3.0))  # beside A
    layout = replace(SQUARE, marks=IntendedMarks(pricks=(start,)))
    middle = SQUARE.vertices_mm.mean(axis=0)
    turn = np.exp(1j * np.pi / 2 * corner)
    away = complex(*(np.array(start.at_mm) - middle)) * turn
    there = HERE.plate_from_layout(np.array([[away.real, away.imag]]) + middle)[0]
    marks = Marks((), (), (PrickMark(there, 0.01, 0.25, -8.0, hinted=False),))
    found = settled(layout, marks)
    assert found.told_by == "marks"
    np.testing.assert_allclose(
        found.placement.plate_from_layout(np.array([start.at_mm]))[0], there, atol=1e-6
    )
    # The same square on the plate, its corners named otherwise.
    old, new = (at.plate_from_layout(SQUARE.vertices_mm) for at in (HERE, found.placement))
    gaps = np.linalg.norm(old[:, None] - new[None], axis=-1).min(axis=1)
    assert gaps.max() < 1e-6


def test_the_plate_s_edge_tells_which_side_is_named():
    # The square lies near the plate's left edge (x = 40).
    sides = lines_of(SQUARE, HERE).mean(axis=1)
    nearest = int(np.argmin(sides[:, 0]))
    for name, number in (("A-B", 0), ("C-D", 2)):
        found = settled(replace(SQUARE, fit=FitChoice(edge=name)))
        assert found.told_by == "edge"
        middle = lines_of(SQUARE, found.placement).mean(axis=1)[number]
        np.testing.assert_allclose(middle, sides[nearest], atol=1e-6)


def test_edges_as_near_as_each_other_tell_nothing():
    round_it = HERE.plate_from_layout(SQUARE.vertices_mm.mean(axis=0)[None])[0]
    even = round_it + 25 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    choice = replace(SQUARE, fit=FitChoice(edge="A"))
    turned = Placement(0.0, HERE.shift_mm, 0.9)
    even += turned.plate_from_layout(SQUARE.vertices_mm).mean(axis=0) - round_it
    found = settle_figure(choice, lambda _: turned, NOTHING, even, hinted=False)
    assert found.told_by == "nothing"


def by_lines(lines):
    return lambda layout: place_figure(layout.vertices_mm, lines)


@pytest.mark.parametrize("hand", ["either", "mirrored"])
def test_a_mirror_image_is_found_when_it_may_be(hand):
    chiral = outline_layout(((0, 0), (40, 0), (40, -14), (14, -14), (14, -30), (0, -30)))
    lines = lines_of(mirrored(chiral), HERE)
    choice = replace(chiral, fit=FitChoice(hand=hand))
    found = settled(choice, place=by_lines(lines))
    assert found.mirrored
    np.testing.assert_allclose(lines_of(found.layout, found.placement), lines, atol=1e-3)
    as_given = settled(choice, place=by_lines(lines_of(chiral, HERE)))
    assert as_given.mirrored == (hand == "mirrored")


def test_a_figure_that_is_its_own_mirror_image_stays_as_given():
    choice = replace(SQUARE, fit=FitChoice(hand="either"))
    assert not settled(choice, place=by_lines(lines_of(SQUARE, HERE))).mirrored


def test_mirrored_twice_is_as_before():
    layout = replace(BRACKET, marks=figure_layout("rosette").marks)
    once, twice = mirrored(layout), mirrored(mirrored(layout))
    np.testing.assert_array_equal(twice.vertices_mm, layout.vertices_mm)
    for before, flipped, after in zip(
        layout.marks.circles, once.marks.circles, twice.marks.circles, strict=True
    ):
        np.testing.assert_allclose(after.path_mm(), before.path_mm(), atol=1e-9)
        np.testing.assert_allclose(flipped.path_mm(), before.path_mm()[::-1] * [1, -1], atol=1e-9)


def test_how_often_marks_lie_alike():
    ways = {name: turns_alike(figure_layout(name).marks) for name in figure_names()}
    expected = {"hole-circle": 8, "spoked-wheel": 6, "vesica": 2, "rosette": 6, "rosette-grid": 6}
    assert {name: count for name, count in ways.items() if count > 1} == expected
    start = IntendedPrick("start", (5.0, 0.0))
    rosette = figure_layout("rosette").marks
    assert turns_alike(replace(rosette, pricks=(start,))) == 1
    two = IntendedMarks(
        circles=(IntendedCircle("a", (0, 0), 5.0), IntendedCircle("b", (20, 0), 6.0))
    )
    assert turns_alike(two) == 1


def test_several_photos_want_sides_to_join_them_by():
    refuse_several(SQUARE, 2)
    refuse_several(figure_layout("circle"), 1)
    with pytest.raises(UseError) as caught:
        refuse_several(figure_layout("circle"), 2)
    assert caught.value.code == "one_photo_only"
