"""The table of a layout file that names its construction."""

from pathlib import Path

import pytest

from scribegauge.errors import FileFormatError
from scribegauge.figure.layoutfile import load_layout, read_layout

TRIANGLE = """\
layout = 1
[polygon]
vertices_mm = [[0, 0], [40, 0], [20, -34.641016]]
"""


def test_a_layout_without_construction_has_none() -> None:
    assert read_layout(TRIANGLE, "t.toml").construction is None


def test_name_sizes_and_order_are_read() -> None:
    text = (
        TRIANGLE
        + """
[construction]
name = "equilateral-triangle"
sizes = { side_mm = 40 }
vertices = ["B", "C", "A"]
"""
    )
    choice = read_layout(text, "t.toml").construction
    assert choice is not None
    assert (choice.name, choice.file, dict(choice.sizes), choice.vertices) == (
        "equilateral-triangle",
        None,
        {"side_mm": 40.0},
        ("B", "C", "A"),
    )


def test_a_file_is_looked_for_beside_the_layout(tmp_path: Path) -> None:
    (tmp_path / "t.toml").write_text(TRIANGLE + '[construction]\nfile = "own.toml"\n', "utf-8")
    choice = load_layout(tmp_path / "t.toml").construction
    assert choice is not None
    assert choice.file == tmp_path / "own.toml"


@pytest.mark.parametrize(
    ("table", "what"),
    [
        ('construction = "x"\n', "line 1, construction must be a table"),
        ("[construction]\n", "line 4, construction needs either name or file"),
        ('[construction]\nname = "a"\nfile = "b"\n', "needs either name or file"),
        ("[construction]\nname = 3\n", "line 5, construction.name must be text"),
        ('[construction]\nname = "a"\nsize = 3\n', "line 6, construction.size is not known"),
        ('[construction]\nname = "a"\nsizes = 3\n', "line 6, construction.sizes must be a table"),
        ('[construction]\nname = "a"\nsizes = { r_mm = -1 }\n', "must hold numbers above 0"),
        ('[construction]\nname = "a"\nvertices = ["A", "B"]\n', "line 6, construction.vertices"),
    ],
)
def test_faults_are_told_with_line_and_key(table: str, what: str) -> None:
    text = table + TRIANGLE if table.startswith("construction") else TRIANGLE + table
    with pytest.raises(FileFormatError) as caught:
        read_layout(text, "t.toml")
    assert caught.value.code == "layout_invalid"
    assert what in caught.value.text


def test_faults_of_polygon_and_construction_are_told_together() -> None:
    text = TRIANGLE.replace("[40, 0]", "[0, 0]") + '[construction]\nnames = "a"\n'
    with pytest.raises(FileFormatError) as caught:
        read_layout(text, "t.toml")
    assert "same place" in caught.value.text
    assert "construction.names is not known" in caught.value.text
