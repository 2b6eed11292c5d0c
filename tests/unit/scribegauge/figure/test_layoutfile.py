"""Layout files: what is read, and every fault in words."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from scribegauge.errors import FileFormatError
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.layoutfile import fits_window, load_layout, read_layout
from scribegauge.figure.layoutshape import LARGEST_WINDOW_MM
from scribegauge.figure.polygonkey import vertex_names
from scribetarget.spec import load_specs

BLANK = """layout = 1
title = "Bracket blank"
tolerance = { side_mm = 0.15, angle_deg = 0.5 }    # optional

[polygon]
vertices_mm = [[0, 0], [40, 0], [40, 26], [0, 26]]
"""
HEAD = "layout = 1\n[polygon]\n"


def refused(text, name="blank.toml"):
    with pytest.raises(FileFormatError) as caught:
        read_layout(text, name)
    assert caught.value.text.startswith(name)
    assert caught.value.text.endswith(".")
    assert caught.value.cure
    return caught.value


def points(*vertices):
    return f"{HEAD}vertices_mm = {[list(vertex) for vertex in vertices]}\n"


def test_the_published_example():
    layout = read_layout(BLANK, "blank.toml")
    assert layout.title == "Bracket blank"
    assert layout.names == ("A", "B", "C", "D")
    assert layout.tolerance == Tolerance(0.15, 0.5)
    np.testing.assert_array_equal(layout.vertices_mm, [[0, 0], [40, 0], [40, 26], [0, 26]])
    assert layout.vertices_mm.dtype == np.float64
    assert not layout.vertices_mm.flags.writeable


def test_what_may_be_left_out():
    layout = read_layout(points((0, 0), (-40.5, 0), (0, -26)), "practice 3.toml")
    assert layout.title == "practice 3"
    assert layout.tolerance == Tolerance(None, None)
    one = read_layout(f"tolerance.side_mm = 1\n{BLANK.replace('tolerance =', '#')}", "a.toml")
    assert one.tolerance == Tolerance(1.0, None)
    assert isinstance(one.tolerance.side_mm, float)


@pytest.mark.parametrize("title", ["Übung 3 — 五角形", "a\u00a0b", "👩‍🏫", "“quoted”"])
def test_titles_in_any_script(title):
    assert read_layout(f'title = "{title}"\n' + points((0, 0), (9, 0), (0, 9)), "a").title == title


def test_an_empty_title_is_none():
    assert read_layout(BLANK.replace("Bracket blank", "  "), "b.toml").title == "b"


def test_names():
    assert vertex_names(28)[24:] == ("Y", "Z", "A1", "B1")
    assert len(set(vertex_names(100))) == 100
    text = BLANK + 'names = ["P", "Q", "R1", "Ω"]\n'
    assert read_layout(text, "a").names == ("P", "Q", "R1", "Ω")


@pytest.mark.parametrize(
    "names",
    ['["A", "B"]', '"ABCD"', '["A", "B", "C", "A"]', '["A", "B", "C", ""]', "[1, 2, 3, 4]",
     '["A-B", "B", "C", "D"]', '["A", "B", "C", "D E"]', '["A", "B", "C", "\\u0007"]'],
)  # fmt: skip
def test_names_that_cannot_be_used(names):
    error = refused(f"{BLANK}names = {names}\n")
    assert error.code == "layout_invalid"
    assert "line 7, polygon.names" in error.text


def test_syntax_error_says_where():
    error = refused("layout = 1\n\n[polygon\n")
    assert error.code == "layout_syntax"
    assert "line 3" in error.text


@pytest.mark.parametrize("version", ["2", "0", "1.0", "true", '"1"', "[1]"])
def test_unknown_version(version):
    error = refused(BLANK.replace("layout = 1", f"\nlayout = {version}"))
    assert error.code == "layout_version"
    assert "line 2" in error.text


def test_missing_version():
    error = refused(BLANK.replace("layout = 1", "layuot = 1"))
    assert error.code == "layout_version"
    assert "Did you mean layout?" in error.cure


@pytest.mark.parametrize(
    ("old", "new", "place", "word"),
    [
        ("tolerance", "tolerence", "line 3, tolerence", "Did you mean tolerance?"),
        ("side_mm", "side", "line 3, tolerance.side", "Did you mean side_mm?"),
        ("vertices_mm", "vertices", "line 6, polygon.vertices", "Did you mean vertices_mm?"),
        ("[polygon]", "[poligon]", "line 5, poligon", "Did you mean polygon?"),
        ("title", "xyzzy", "line 2, xyzzy", "Known there: layout, title"),
        ('"Bracket blank"', "3", "line 2, title", "Correct the title"),
        ('"Bracket blank"', '"a\\u001b[31m"', "line 2, title", "Correct the title"),
        ("0.15", "0", "line 3, tolerance.side_mm", "E.g. tolerance"),
        ("0.15", "-1", "line 3, tolerance.side_mm", "E.g. tolerance"),
        ("0.15", "nan", "line 3, tolerance.side_mm", "E.g. tolerance"),
        ("0.5", "inf", "line 3, tolerance.angle_deg", "E.g. tolerance"),
        ("0.5", '"0.5"', "line 3, tolerance.angle_deg", "E.g. tolerance"),
        ("0.5", "true", "line 3, tolerance.angle_deg", "E.g. tolerance"),
        ("0.15", "150", "line 3, tolerance.side_mm", "E.g. tolerance"),
        ("{ side_mm = 0.15, angle_deg = 0.5 }", "0.2", "line 3, tolerance", "E.g. tolerance"),
        ("[40, 0]", "[40]", "line 6, polygon.vertices_mm, point 2", "[x, y]"),
        ("[40, 0]", "[40, 0, 0]", "point 2", "[x, y]"),
        ("[40, 0]", "40", "point 2", "[x, y]"),
        ("[40, 0]", '["40", 0]', "point 2", "[x, y]"),
        ("[40, 0]", "[nan, 0]", "point 2", "[x, y]"),
        ("[40, 0]", "[40, -inf]", "point 2", "[x, y]"),
        ("[40, 0]", "[true, 0]", "point 2", "[x, y]"),
        ("[40, 0]", f"[{10**400}, 0]", "point 2", "[x, y]"),
        ("[[0, 0], [40, 0], [40, 26], [0, 26]]", "[[0, 0], [9, 9]]", "has 2 points", "in order"),
        ("[[0, 0], [40, 0], [40, 26], [0, 26]]", "[]", "has 0 points", "in order"),
        ("[[0, 0], [40, 0], [40, 26], [0, 26]]", "5", "list of points", "in order"),
        ("[40, 26], [0, 26]", "[0, 26], [40, 26]", "sides B-C and D-A that cross", "in order"),
        ("[0, 26]]", "[0, 26], [0, 0]]", "E and A at the same place", "closes by itself"),
        ("[40, 26]", "[40, 0.3]", "side B-C of 0.3 mm", "at least 0.5 mm"),
        ("[40, 26]", "[40, 13], [40, 26]", "no corner at C", "is no corner"),
        ("[40, 26]", "[60, 0]", "no corner at B", "is no corner"),
        ("[40, 26]", "[20, 0]", "no corner at B", "is no corner"),
        ("[40, 26]", "[400, 260]", "needs a window", "millimetres"),
        ("[40, 26]", "[20000, 26]", "farther than 10 m", "millimetres"),
    ],
)  # fmt: skip
def test_each_fault_has_its_place_and_cure(old, new, place, word):
    assert old in BLANK
    error = refused(BLANK.replace(old, new))
    assert error.code == "layout_invalid"
    assert place in error.text
    assert word in error.cure


def test_missing_polygon():
    assert "[polygon] is missing" in refused("layout = 1\n").text
    assert "must be a table" in refused("layout = 1\npolygon = 3\n").text
    assert "vertices_mm is missing" in refused(HEAD).text


def test_all_faults_at_once():
    error = refused(BLANK.replace("0.15", "0").replace("0.5", "nan").replace("[40, 0]", "[4, 'x']"))
    assert "tolerance.side_mm" in error.text
    assert "tolerance.angle_deg" in error.text
    assert "point 2" in error.text
    assert error.cure.count("E.g. tolerance") == 1


def test_very_many_faults_are_counted():
    text = "layout = 1\n" + "".join(f"stray{i} = 1\n" for i in range(50))
    assert "and 43 more" in refused(text).text


def test_line_of_a_vertex_in_a_long_list():
    text = f"{HEAD}vertices_mm = [\n  [0, 0], # [9, 9]\n  [40, 0],\n\n  [40, 'x'],\n]\n"
    assert "line 7, polygon.vertices_mm, point 3" in refused(text).text


def test_too_many_vertices():
    circle = [(50 * math.cos(a / 20), 50 * math.sin(a / 20)) for a in range(120)]
    assert "120 points" in refused(points(*circle)).text


def test_many_vertices():
    circle = [
        (50 * math.cos(a * math.pi / 50), 50 * math.sin(a * math.pi / 50)) for a in range(100)
    ]
    assert len(read_layout(points(*circle), "a").names) == 100


def test_nested_without_end():
    assert refused("layout = " + "[" * 100_000).code == "layout_syntax"


def test_too_long():
    assert refused("#" * 2**21).code == "layout_unreadable"


def test_window():
    layout = read_layout(BLANK, "a")
    assert fits_window(layout, 40.01)
    assert not fits_window(layout, 35.0)
    diagonal = read_layout(points((0, 0), (130, 130), (60, 70)), "a")
    assert fits_window(diagonal, 130.5)
    assert not fits_window(diagonal, 98.0)


def test_largest_window_is_the_targets():
    assert max(spec.window_mm for spec in load_specs().values()) == LARGEST_WINDOW_MM


def test_file(tmp_path):
    file = tmp_path / "plate A-12.toml"
    file.write_bytes(b"\xef\xbb\xbf" + BLANK.replace("title", "# title").encode())
    assert load_layout(file).title == "plate A-12"


def test_files_that_cannot_be_read(tmp_path):
    photo = tmp_path / "a.jpg"
    photo.write_bytes(b"\xff\xd8\xff\xe0" + bytes(range(256)))
    for path, code in [
        (tmp_path / "none.toml", "layout_missing"),
        (tmp_path, "layout_unreadable"),
        (photo, "layout_unreadable"),
    ]:
        with pytest.raises(FileFormatError) as caught:
            load_layout(path)
        assert caught.value.code == code


def outcome(text):
    try:
        return read_layout(text, "a.toml")
    except FileFormatError as error:
        return error


@settings(max_examples=200, deadline=None)
@given(st.text())
def test_any_text(text):
    assert isinstance(outcome(text), FileFormatError)


@settings(max_examples=300, deadline=None)
@given(st.integers(0, len(BLANK)), st.integers(0, 12), st.text(max_size=6))
def test_a_patched_layout(place, length, patch):
    assert isinstance(
        outcome(BLANK[:place] + patch + BLANK[place + length :]), Layout | FileFormatError
    )


VALUES = st.recursive(
    st.one_of(
        st.integers(),
        st.floats().map(lambda v: v if math.isfinite(v) else 0.5),
        st.sampled_from(
            ["nan", "inf", "-inf", "true", '"x"', "2026-01-01", "{}", "{ side_mm = 1 }"]
        ),
    ).map(str),
    lambda inner: st.lists(inner, max_size=4).map(lambda items: f"[{', '.join(items)}]"),
    max_leaves=8,
)


@settings(max_examples=60, deadline=None)
@given(VALUES, VALUES, VALUES)
def test_any_values(title, tolerance, vertices):
    text = (
        f"layout = 1\ntitle = {title}\ntolerance = {tolerance}\n[polygon]\nvertices_mm = {vertices}"
    )
    assert isinstance(outcome(text), FileFormatError)


COORDINATES = st.floats(-80, 80).map(lambda v: round(v, 2))


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(COORDINATES, COORDINATES), min_size=3, max_size=7))
def test_any_points(vertices):
    result = outcome(points(*vertices))
    if isinstance(result, Layout):
        np.testing.assert_allclose(result.vertices_mm, vertices)
        assert Polygon(vertices).is_valid
    else:
        assert result.code == "layout_invalid"
