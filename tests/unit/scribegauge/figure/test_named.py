"""Figures by name: their shapes against what geometry says of them."""

from itertools import pairwise

import numpy as np
import pytest
from shapely import Polygon

from scribegauge.errors import UseError
from scribegauge.figure.layoutfile import read_layout
from scribegauge.figure.layoutwriting import layout_text
from scribegauge.figure.named import figure_layout, figure_names, named_figure, outline_layout
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm

ALL = figure_names()


@pytest.mark.parametrize("name", ALL)
def test_each_is_written_as_a_file_that_gives_it_back(name):
    layout = figure_layout(name)
    text = layout_text(layout, may_cross=named_figure(name).may_cross)
    read = read_layout(text, "figure.toml")
    np.testing.assert_allclose(read.vertices_mm, layout.vertices_mm, atol=1e-6)
    assert read.marks == layout.marks
    assert read.names == layout.names
    assert read.title == layout.title


def test_a_triangle_has_its_sides_opposite_its_corners():
    layout = figure_layout("triangle", {"a_mm": 30, "b_mm": 40, "c_mm": 50})
    ab, bc, ca = side_lengths_mm(layout.vertices_mm)
    assert (bc, ca, ab) == pytest.approx((30, 40, 50), abs=1e-5)
    assert inside_angles_deg(layout.vertices_mm)[2] == pytest.approx(90.0, abs=1e-5)


@pytest.mark.parametrize("count", [3, 4, 7, 24])
def test_a_regular_polygon_has_equal_sides_and_stands_on_the_first(count):
    vertices = figure_layout("polygon", {"side_mm": 12, "n": count}).vertices_mm
    assert side_lengths_mm(vertices) == pytest.approx(np.full(count, 12.0), abs=1e-5)
    assert inside_angles_deg(vertices) == pytest.approx(np.full(count, 180 - 360 / count), abs=1e-4)
    a, b = vertices[:2]
    assert a[1] == pytest.approx(b[1], abs=1e-5)
    assert a[1] == pytest.approx(vertices[:, 1].max(), abs=1e-5)
    assert a[0] < b[0]


def test_four_sided_ones():
    rhombus = figure_layout("rhombus", {"side_mm": 20, "angle_deg": 50}).vertices_mm
    assert side_lengths_mm(rhombus) == pytest.approx(np.full(4, 20.0), abs=1e-5)
    assert inside_angles_deg(rhombus) == pytest.approx([50, 130, 50, 130], abs=1e-4)
    trapezium = figure_layout("trapezium").vertices_mm
    assert Polygon(trapezium).area == pytest.approx((44 + 26) / 2 * 24)
    bracket = figure_layout("bracket", {"width_mm": 42, "height_mm": 32, "leg_mm": 14}).vertices_mm
    assert Polygon(bracket).area == pytest.approx(42 * 14 + 14 * 18)


def test_a_star_has_long_crossing_sides_and_sharp_corners():
    vertices = figure_layout("star", {"radius_mm": 20, "n": 7, "step": 3}).vertices_mm
    chord = 2 * 20 * np.sin(3 * np.pi / 7)
    assert side_lengths_mm(vertices) == pytest.approx(np.full(7, chord), abs=1e-5)
    assert inside_angles_deg(vertices) == pytest.approx(np.full(7, 180 / 7), abs=1e-4)


def test_holes_lie_on_the_pitch_circle_a_chord_apart():
    marks = figure_layout("hole-circle", {"pitch_circle_mm": 60, "n": 8}).marks
    places = np.array([prick.at_mm for prick in marks.pricks])
    assert np.hypot(*places.T) == pytest.approx(np.full(8, 30.0), abs=1e-5)
    steps = np.linalg.norm(np.roll(places, -1, axis=0) - places, axis=1)
    assert steps == pytest.approx(np.full(8, 60 * np.sin(np.pi / 8)), abs=1e-5)
    assert places[0] == pytest.approx([0, -30])
    assert places[1][0] > 0  # clockwise, as a person sees it
    assert marks.distances[-1] == ("P7", "P0")


def test_petals_run_through_the_middle_from_point_to_point():
    marks = figure_layout("rosette", {"radius_mm": 20}).marks
    whole, *arcs = marks.circles
    assert len(arcs) == 6
    for arc in arcs:
        path = arc.path_mm()
        away = np.hypot(*path.T)
        assert away.min() == pytest.approx(0.0, abs=1e-5)
        assert away[[0, -1]] == pytest.approx([20, 20], abs=1e-5)
        assert away.max() <= whole.radius_mm + 1e-5


def test_a_grid_of_rosettes_has_neighbours_one_radius_apart():
    for rings, count in ((1, 7), (2, 19), (3, 37)):
        circles = figure_layout("rosette-grid", {"radius_mm": 6, "rings": rings}).marks.circles
        places = np.array([circle.centre_mm for circle in circles])
        assert len(places) == count
        gaps = np.linalg.norm(places[:, None] - places[None], axis=-1) + np.eye(count) * 99
        assert gaps.min(axis=1) == pytest.approx(np.full(count, 6.0), abs=1e-5)


def test_rims_spokes_and_rings():
    wheel = figure_layout("spoked-wheel", {"radius_mm": 20, "rim_mm": 2, "hub_mm": 4, "n": 5}).marks
    assert [circle.radius_mm for circle in wheel.circles] == [20, 18, 4]
    lengths = [np.hypot(*np.subtract(g.to_mm, g.from_mm)) for g in wheel.lines]
    assert lengths == pytest.approx([14.0] * 5, abs=1e-5)
    rings = figure_layout("concentric-circles", {"rings": 4}).marks.circles
    steps = [a.radius_mm - b.radius_mm for a, b in pairwise(rings)]
    assert steps == pytest.approx([14 / 3] * 3, abs=1e-5)


@pytest.mark.parametrize(
    ("name", "sizes", "sentence"),
    [
        ("squere", {}, "no figure called squere"),
        ("triangle", {"a_mm": 100}, "longest side must be shorter"),
        ("polygon", {"n": 25}, "3 to 24 sides"),
        ("polygon", {"n": 5.5}, "whole number"),
        ("star", {"n": 6, "step": 2}, "close before all points are met"),
        ("star", {"n": 5, "step": 3}, "steps of 2 to 2"),
        ("rectangle", {"depth_mm": 3}, "no size depth_mm"),
        ("rectangle", {"width_mm": 0}, "width 0 mm is no size"),
        ("circle", {"radius_mm": 80}, "needs a window of 160 mm"),
        ("bracket", {"leg_mm": 60}, "leg must be narrower"),
        ("rhombus", {"angle_deg": 190}, "between 0 and 180"),
    ],
)
def test_what_cannot_be_made_is_refused_with_the_reason(name, sizes, sentence):
    with pytest.raises(UseError, match=sentence) as caught:
        figure_layout(name, sizes)
    assert caught.value.cure


def test_a_name_nearly_right_is_guessed():
    with pytest.raises(UseError) as caught:
        figure_layout("squere")
    assert "Did you mean square?" in caught.value.cure


def test_an_outline_by_its_corners():
    layout = outline_layout(((0, 0), (30, 0), (30, -20)))
    assert layout.names == ("A", "B", "C")
    with pytest.raises(UseError, match="cross or touch"):
        outline_layout(((0, 0), (30, 30), (30, 0), (0, 30)))
