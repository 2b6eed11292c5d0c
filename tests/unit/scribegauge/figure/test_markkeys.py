"""Circles, pricks, lines, distances and the fit in a layout file."""

import re
from pathlib import Path

import pytest

from scribegauge.errors import FileFormatError
from scribegauge.figure.intended import FitChoice, IntendedCircle, IntendedPrick
from scribegauge.figure.layoutfile import read_layout

HOLES = """layout = 1
[[circle]]
name = "k"
centre_mm = [0, 0]
radius_mm = 20

[[prick]]
at_mm = [20, 0]

[[prick]]
at_mm = [-10, 17.32]

[[prick]]
at_mm = [-10, -17.32]
"""
SQUARE = "[polygon]\nvertices_mm = [[0, 0], [30, 0], [30, 30], [0, 30]]\n"


def refused(text):
    with pytest.raises(FileFormatError) as caught:
        read_layout(text, "holes.toml")
    return caught.value


def test_a_layout_needs_no_polygon_when_it_has_other_marks():
    layout = read_layout(HOLES, "holes.toml")
    assert layout.names == ()
    assert layout.vertices_mm.shape == (0, 2)
    assert layout.marks.circles == (IntendedCircle("k", (0.0, 0.0), 20.0),)
    assert layout.marks.pricks[1] == IntendedPrick("P1", (-10.0, 17.32))
    with pytest.raises(FileFormatError, match="polygon"):
        read_layout("layout = 1\n[[line]]\nfrom_mm = [0, 0]\nto_mm = [9, 0]\n", "a.toml")


def test_the_readme_s_examples_are_read():
    readme = (Path(__file__).parents[4] / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n(.*?)```", readme, re.DOTALL)
    (marks,) = (block for block in blocks if block.startswith("[[circle]]"))
    (fit,) = (block for block in blocks if block.startswith("[fit]"))
    layout = read_layout(f"layout = 1\n{SQUARE}{marks}\n{fit}", "a.toml")
    assert layout.marks.distances == (("k", "P0"),)
    assert layout.fit.side == "A-B"


def test_distances_are_those_of_neighbours_unless_they_are_given():
    assert read_layout(HOLES, "a.toml").marks.distances == (
        ("P0", "P1"),
        ("P1", "P2"),
        ("P2", "P0"),
    )
    given = read_layout(f'{HOLES}\n[[distance]]\nbetween = ["k", "P2"]\n', "a.toml")
    assert given.marks.distances == (("k", "P2"),)


def test_an_arc_has_a_start_and_a_sweep():
    text = "layout = 1\n[[circle]]\ncentre_mm = [1, 2]\nradius_mm = 5\nstart_deg = -30\nsweep_deg = 90\n"
    (arc,) = read_layout(text, "a.toml").marks.circles
    assert (arc.start_deg, arc.sweep_deg) == (-30.0, 90.0)
    path = arc.path_mm()
    assert path[0] == pytest.approx([1 + 5 * 3**0.5 / 2, 2 - 2.5])
    assert path[-1] == pytest.approx([1 + 2.5, 2 + 5 * 3**0.5 / 2])


def test_all_faults_are_told_at_once_each_with_its_line():
    text = """layout = 1
[[circle]]
name = "k"
centre_mm = [0, 0]
radius_mm = 20

[[circle]]
centre_mm = [0]
radus_mm = 12
[[prick]]
at_mm = [1, "2"]
[fit]
size = "big"
"""
    told = refused(text)
    for sentence in (
        "line 7, circle 2, radius_mm is missing",
        "line 8, circle 2, centre_mm must be two numbers",
        "line 9, circle 2, radus_mm is not known",
        "line 11, prick 1, at_mm must be two numbers",
        'line 13, fit.size must be "fixed" or "free"',
    ):
        assert sentence in told.text
    assert "Did you mean radius_mm?" in told.cure


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        (
            '[[prick]]\nname = "k"\nat_mm = [1, 1]',
            "line 17, prick 4 has the name k, which is taken",
        ),
        ('[[distance]]\nbetween = ["k", "Q"]', "line 17, distance 1, between names no point: Q"),
        (
            '[[distance]]\nbetween = ["k", "k"]',
            "line 17, distance 1, between names one point twice",
        ),
        ("[[circle]]\ncentre_mm = [0, 0]\nradius_mm = 0.2", "radius_mm must be a number of mill"),
        ("[[circle]]\ncentre_mm = [0, 0]\nradius_mm = 90", "needs a window of"),
        ("[[line]]\nfrom_mm = [0, 0]\nto_mm = [0, 0]", "line 1 begins and ends at the same place"),
        ('[fit]\nfrom = "A-B"', "fit.from must name a side of the polygon"),
    ],
)
def test_what_is_wrong_is_said(more, sentence):
    assert sentence in refused(f"{HOLES}\n{more}\n").text


def test_a_star_may_cross_itself_when_it_says_so():
    star = "vertices_mm = [[0, -20], [-12, 16], [19, -6], [-19, -6], [12, 16]]"
    text = f"layout = 1\n[polygon]\n{star}\n"
    assert "cross or touch" in refused(text).text
    assert len(read_layout(f"{text}may_cross = true\n", "star.toml").names) == 5
    assert "must be true or false" in refused(f'{text}may_cross = "yes"\n').text


def test_the_fit_is_read():
    text = f'layout = 1\n{SQUARE}[fit]\nfrom = "B-C"\nsize = "free"\nhand = "either"\nnearest_edge = "A"\n'
    assert read_layout(text, "a.toml").fit == FitChoice(
        side="B-C", size_free=True, hand="either", edge="A"
    )
    assert read_layout(f"layout = 1\n{SQUARE}", "a.toml").fit == FitChoice()
    told = refused(f'layout = 1\n{SQUARE}[fit]\nfrom = "A-C"\nhand = "left"\n').text
    assert "fit.from must name a side" in told
    assert 'fit.hand must be "given" or "mirrored" or "either"' in told


def test_tolerances_of_radii_and_places():
    text = HOLES.replace(
        "layout = 1", "layout = 1\ntolerance = { radius_mm = 0.1, place_mm = 0.2 }"
    )
    allowed = read_layout(text, "a.toml").tolerance
    assert (allowed.radius_mm, allowed.place_mm, allowed.side_mm) == (0.1, 0.2, None)
