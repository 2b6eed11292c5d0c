"""`scribegauge figures` and `exercise` as a person calls them."""

import xml.etree.ElementTree as ET

import pytest
from PIL import Image
from pypdf import PdfReader

from scribegauge.cli.main import main
from scribegauge.figure.layoutfile import load_layout
from scribegauge.figure.named import figure_names


def test_the_list_names_every_figure_with_its_sizes(capsys):
    assert main(["figures"]) == 0
    rows = capsys.readouterr().out.splitlines()
    assert [row.split()[0] for row in rows[: len(figure_names())]] == list(figure_names())
    assert "width_mm = 40, height_mm = 26" in next(r for r in rows if r.startswith("rectangle"))
    assert max(map(len, rows)) <= 110


def test_the_sheet_is_drawn(tmp_path):
    for ending in ("svg", "png", "pdf"):
        assert main(["figures", "--out", str(tmp_path / f"all.{ending}")]) == 0
    ET.parse(tmp_path / "all.svg")  # noqa: S314
    with Image.open(tmp_path / "all.png") as picture:
        assert min(picture.size) > 1000
    assert len(PdfReader(tmp_path / "all.pdf").pages) == 1


@pytest.mark.parametrize(
    "sizes",
    [
        ["--size", "41.5,26"],
        ["--size", "height=26,width=41.5"],
        ["--size", "41.5", "--size", "height_mm=26"],
    ],
)
def test_sizes_in_their_order_or_by_name(tmp_path, sizes):
    out = tmp_path / "blank.toml"
    assert (
        main(["figures", "rectangle", *sizes, "--tolerance", "side=0.15,m", "--out", str(out)]) == 0
    )
    layout = load_layout(out)
    assert layout.vertices_mm.tolist() == [[0, 0], [41.5, 0], [41.5, -26], [0, -26]]
    assert (layout.tolerance.side_mm, layout.tolerance.iso2768) == (0.15, "m")


def test_without_a_file_the_layout_is_printed(capsys, tmp_path):
    assert main(["figures", "star", "--size", "20,7,3"]) == 0
    file = tmp_path / "star.toml"
    file.write_text(capsys.readouterr().out, encoding="utf-8")
    assert len(load_layout(file).names) == 7


def test_an_outline_by_its_corners(tmp_path):
    out = tmp_path / "outline.toml"
    assert main(["figures", "--vertices", "0,0 40,0 40,-14.5 0,-20", "--out", str(out)]) == 0
    assert load_layout(out).vertices_mm[2].tolist() == [40, -14.5]


def test_files_are_checked(capsys, tmp_path):
    layout, steps = tmp_path / "holes.toml", tmp_path / "own.toml"
    main(["figures", "hole-circle", "--size", "40,5", "--out", str(layout)])
    assert main(["figures", "--check", str(layout)]) == 0
    assert "circle k: radius 20 mm about (0, 0)" in capsys.readouterr().out
    layout.write_text(
        layout.read_text(encoding="utf-8").replace("at_mm", "ad_mm"), encoding="utf-8"
    )
    assert main(["figures", "--check", str(layout)]) == 2
    told = capsys.readouterr().err
    assert told.count("is missing") >= 3
    assert "line 9, prick 1, at_mm is missing; line 11, prick 1, ad_mm is not known" in told
    main(["construction", "show", "vesica", "--file"])
    steps.write_text(capsys.readouterr().out, encoding="utf-8")
    assert main(["figures", "--check", str(steps)]) == 0
    assert "Circle a about A" in capsys.readouterr().out
    steps.write_text(steps.read_text(encoding="utf-8").replace("about", "abuot"), encoding="utf-8")
    assert main(["figures", "--check", str(steps)]) == 2


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["squere"], "Did you mean square?"),
        (["square", "--size", "40,5"], "'5' is no size of square; it has side."),
        (["square", "--size", "side=4,side=5"], "is no size of square"),
        (["square", "--size", "1e2"], "'1e2' is no size of square"),
        (["square", "--tolerance", "side=-1"], "'side=-1' is no tolerance"),
        (["square", "--tolerance", "x"], "'x' is no tolerance"),
        (["square", "--vertices", "0,0 1,0 0,1"], "either a name or --vertices"),
        (["--vertices", "0,0 1,0"], "three or more corners"),
        (["--size", "3"], "No figure is named"),
        (["square", "--out", "a.bmp"], ".bmp is no drawing"),
        (["--out", "a.dxf"], "one figure at true scale"),
    ],
)
def test_wrong_use_is_told_in_one_line(capsys, tmp_path, monkeypatch, words, sentence):
    monkeypatch.chdir(tmp_path)
    assert main(["figures", *words]) == 2
    told = capsys.readouterr().err
    assert sentence in told
    assert told.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("name", "sizes"),
    [("square-on-side", "30"), ("square", "30"), ("hole-circle", "44,6")],
)
def test_an_exercise_is_written(tmp_path, name, sizes):
    for ending in ("pdf", "svg", "dxf"):
        out = tmp_path / f"task.{ending}"
        assert (
            main(["exercise", name, "--size", sizes, "--out", str(out), "--paper", "letter"]) == 0
        )
        assert out.stat().st_size > 5000
    (width, height) = PdfReader(tmp_path / "task.pdf").pages[0].mediabox[2:]
    assert (float(width), float(height)) == pytest.approx((612, 792))


def test_an_exercise_from_a_file_of_one_s_own(tmp_path, capsys):
    main(["construction", "show", "equilateral-triangle", "--file"])
    own = tmp_path / "own.toml"
    own.write_text(capsys.readouterr().out.replace("Equilateral", "My"), encoding="utf-8")
    assert main(["exercise", str(own), "--size", "22", "--out", str(tmp_path / "own.pdf")]) == 0
    text = PdfReader(tmp_path / "own.pdf").pages[0].extract_text()
    assert "My triangle" in text


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["rectangle"], "No construction draws the figure rectangle"),
        (["pentagn"], "no construction called pentagn"),
        (["polygon-on-side", "--size", "20,7.5"], "whole number"),
        (["square-on-side", "--size", "n=5"], "is no size of square-on-side; it has side"),
    ],
)
def test_exercises_that_cannot_be(capsys, tmp_path, words, sentence):
    assert main(["exercise", *words, "--out", str(tmp_path / "a.pdf")]) == 2
    assert sentence in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []
