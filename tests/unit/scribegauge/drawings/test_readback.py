"""Lengths in drawings, read back from the files by other programs."""

import re
import sys
import xml.etree.ElementTree as ET
from functools import cache
from io import BytesIO, StringIO

import ezdxf
import numpy as np
import pypdfium2
import pytest
from pypdf import PdfReader

from scribegauge.construction.catalogue import shipped
from scribegauge.construction.method import exact_places, figures_of
from scribegauge.construction.plan import plan_of
from scribegauge.drawings.dxffile import to_dxf
from scribegauge.drawings.exercise import board_items, exercise_of
from scribegauge.drawings.exercisesheet import SAFETY, exercise_pages
from scribegauge.drawings.figuresheet import figure_page, figure_sheet
from scribegauge.drawings.files import drawing_file
from scribegauge.drawings.pdffile import to_pdf
from scribegauge.drawings.svgfile import to_svg
from scribegauge.errors import UseError
from scribegauge.figure.named import figure_layout, figure_names
from scribetarget.paper import PAPERS

SVG = "{http://www.w3.org/2000/svg}"
FIVE = {
    "square-on-side": {"side_mm": 31.7},
    "pentagon-in-circle": {"radius_mm": 23.45},
    "heptagon-half-chord": {"radius_mm": 24.0},
    "fixed-opening-pentagon": {"side_mm": 33.3},
    "hole-circle": {"pitch_circle_mm": 44.0, "n": 7.0},
}


@cache
def made(name):
    construction = shipped(name)
    return exercise_of(construction, plan_of(construction, FIVE[name]))


def sides_of(exercise):
    """Return the perfect method's sides, worked out without the drawing."""
    corners = figures_of(exercise.plan).method_mm
    return np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)


def svg_of(exercise):
    return ET.fromstring(to_svg(exercise_pages(exercise, PAPERS["a4"], grow=True), "a"))  # noqa: S314


def number(element, *names):
    return [float(element.get(name)) for name in names]


@pytest.fixture(params=sorted(FIVE))
def exercise(request):
    return made(request.param)


def test_svg_has_true_lengths_in_millimetres(exercise):
    root = svg_of(exercise)
    width, height = (float(root.get(key).removesuffix("mm")) for key in ("width", "height"))
    assert number_list(root.get("viewBox")) == [0.0, 0.0, width, height]
    (figure,) = (g for g in root.iter(f"{SVG}g") if g.get("id") == "FIGURE")
    lines = [number(e, "x1", "y1", "x2", "y2") for e in figure.iter(f"{SVG}line")]
    dots = [number(e, "cx", "cy") for e in figure.iter(f"{SVG}circle")]
    if lines:
        lengths = [np.hypot(x2 - x1, y2 - y1) for x1, y1, x2, y2 in lines]
    else:
        lengths = np.linalg.norm(np.roll(dots, -1, axis=0) - np.array(dots), axis=1)
    np.testing.assert_allclose(lengths, sides_of(exercise), rtol=0, atol=1e-12)


def number_list(text):
    return [float(part) for part in text.split()]


def test_the_true_scale_part_of_an_svg_is_only_shifted(exercise):
    root = svg_of(exercise)
    (part,) = (
        group
        for group in root.findall(f"{SVG}g")
        if any(inner.get("id") == "FIGURE" for inner in group)
    )
    assert re.fullmatch(r"translate\(\S+ \S+\)", part.get("transform"))


def test_dxf_has_true_lengths_radii_and_units(exercise):
    document = ezdxf.read(StringIO(to_dxf(board_items(exercise))))
    assert not document.audit().errors
    assert document.units == ezdxf.units.MM
    space = document.modelspace()
    lines = [e for e in space.query("LINE") if e.dxf.layer == "FIGURE"]
    points = [e.dxf.location for e in space.query("POINT") if e.dxf.layer == "FIGURE"]
    if lines:
        lengths = [(line.dxf.end - line.dxf.start).magnitude for line in lines]
    else:
        lengths = [(b - a).magnitude for a, b in zip(points, points[1:] + points[:1], strict=True)]
    np.testing.assert_allclose(lengths, sides_of(exercise), rtol=0, atol=1e-12)
    known = {
        place.radius_mm
        for place in exact_places(exercise.plan).values()
        if hasattr(place, "radius_mm")
    }
    drawn = {e.dxf.radius for e in space.query("CIRCLE ARC") if e.dxf.layer.startswith("STEP")}
    assert all(min(abs(radius - other) for other in drawn) < 1e-12 for radius in known)


def test_every_step_has_a_layer_and_its_words(exercise):
    document = ezdxf.read(StringIO(to_dxf(board_items(exercise))))
    told = {
        e.dxf.layer: e.dxf.text
        for e in document.modelspace().query("TEXT")
        if re.match(r"\d+\. ", e.dxf.text)
    }
    assert sorted(told) == [step.layer for step in exercise.steps]


def test_arcs_of_dxf_run_where_those_of_the_drawing_do():
    page = figure_page(figure_layout("rosette", {"radius_mm": 20}))
    document = ezdxf.read(StringIO(to_dxf(page.blocks[0].items)))
    for arc in document.modelspace().query("ARC"):
        ends = [point.magnitude for point in arc.vertices(arc.angles(3))]
        assert ends == pytest.approx([20.0, 0.0, 20.0], abs=1e-5)  # through the middle


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_pdf_pages_have_the_paper_s_size_and_say_everything(exercise, paper):
    data = to_pdf(exercise_pages(exercise, PAPERS[paper], grow=False), "a")
    reader = PdfReader(BytesIO(data))
    sizes = {(float(p.mediabox.width), float(p.mediabox.height)) for p in reader.pages}
    wanted = PAPERS[paper].width_mm / 25.4 * 72, PAPERS[paper].height_mm / 25.4 * 72
    assert len(sizes) == 1
    assert sizes.pop() == pytest.approx(wanted, abs=0.01)
    text = " ".join(" ".join(p.extract_text() for p in reader.pages).split())
    for words in ("Code", "Date", "Measure at the end", exercise.sizes, SAFETY):
        assert " ".join(words.split()) in text
    assert all(f"{step.number}. " in text for step in exercise.steps)
    assert exercise.plan.title in text


def test_a_drawing_too_large_for_the_paper_is_drawn_smaller_and_says_so():
    construction = shipped("divided-diameter")
    large = exercise_of(construction, plan_of(construction, {"radius_mm": 60.0, "n": 9.0}))
    small, true = (exercise_pages(large, PAPERS["a4"], grow=grow)[0] for grow in (False, True))
    assert small.blocks[1].scale == 0.5
    assert any("Drawing 1:2" in getattr(item, "text", "") for item in small.blocks[2].items)
    assert true.blocks[1].scale == 1.0
    assert true.height_mm > PAPERS["a4"].height_mm


def test_a_printed_length_is_the_drawn_one():
    """On the paper itself: the 50 mm bar of the sheet, counted in pixels of 0.1 mm."""
    data = to_pdf(exercise_pages(made("square-on-side"), PAPERS["a4"], grow=False)[:1], "a")
    grey = np.asarray(
        pypdfium2.PdfDocument(data)[0].render(scale=25.4 / 72 * 10).to_pil().convert("L")
    )
    dark = grey < 128
    # Only the bar has five hundred dark pixels in a row from the margin and none after them.
    first = round(13.0 * 10)
    firsts = [int(np.argmin(row[first:])) for row in dark if row[first + 5]]
    assert any(abs(length - 500) <= 3 for length in firsts)


def test_the_sheet_shows_every_figure():
    root = ET.fromstring(to_svg([figure_sheet()], "a"))  # noqa: S314
    words = {element.text for element in root.iter(f"{SVG}text")}
    assert words >= set(figure_names())


def test_same_input_same_bytes():
    pages = exercise_pages(made("hole-circle"), PAPERS["a4"], grow=False)
    assert to_pdf(pages, "a") == to_pdf(pages, "a")
    assert drawing_file(pages[:1], ".PNG", "a", 2.0) == drawing_file(pages[:1], ".png", "a", 2.0)


def test_endings_and_sheets_that_cannot_be():
    with pytest.raises(UseError, match=r"\.bmp is no drawing"):
        drawing_file((figure_sheet(),), ".bmp", "a", 2.0)
    with pytest.raises(UseError, match="one figure at true scale"):
        drawing_file((figure_sheet(),), ".dxf", "a", 2.0)


def test_without_its_library_dxf_is_refused_with_the_way_to_get_it(monkeypatch):
    for name in [name for name in sys.modules if name.partition(".")[0] == "ezdxf"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    with pytest.raises(UseError) as caught:
        to_dxf(())
    assert caught.value.code == "library_missing"
    assert 'pip install "scribegauge[dxf]"' in caught.value.cure
