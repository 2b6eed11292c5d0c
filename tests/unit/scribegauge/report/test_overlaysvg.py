"""The overlay as SVG: the same marks and words, and no string taken for more."""

import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import numpy as np
import pytest

from scribegauge.report import drawingstyle as style
from scribegauge.report.frame import straight_frame
from scribegauge.report.overlay import panel_top_px, write_overlay_svg

SVG = "{http://www.w3.org/2000/svg}"


def in_overlay(reading, points_px, frame=None):
    """Where photo points lie in the whole overlay."""
    frame = straight_frame(reading) if frame is None else frame
    return frame.to_panel(np.asarray(points_px, float)) + np.array([0, panel_top_px(reading)])


NASTY = [
    "<script>alert(1)</script>",
    "\"' onload='alert(1)' x=\"",
    "]]></text></svg><script>alert(1)</script>",
    "אבגד עברית (1) 12.5 mm",
    "\U0001f469\u200d\U0001f527 brass \U0001f600",
    "x" * 300,
]


@pytest.mark.parametrize("text", NASTY)
def test_an_svg_holds_any_title_whole_and_harmless(photo, make_reading, text):
    reading = make_reading(title=text)
    data = write_overlay_svg(photo, reading)
    root = ET.fromstring(data)  # noqa: S314 - our own
    assert root.find(f"{SVG}title").text == text
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert tags <= {"svg", "title", "desc", "path", "circle", "text", "image"}
    for element in root.iter():
        for name, value in element.attrib.items():
            assert not name.startswith("on")
            if name.endswith("href"):
                assert value.startswith("data:image/jpeg;base64,")


def test_an_svg_draws_lines_as_lines_where_they_are(photo, make_reading):
    reading = replace(make_reading(count=4, others=0), pricks=())
    root = ET.fromstring(write_overlay_svg(photo, reading))  # noqa: S314 - our own
    cyan = style.hexadecimal(style.CYAN)
    drawn = [e.attrib["d"] for e in root.iter(f"{SVG}path") if e.attrib.get("stroke") == cyan]
    for line in reading.lines:
        start, end = in_overlay(reading, [line.path_px[0], line.path_px[-1]])
        ends = [[float(n) for n in re.findall(r"[-\d.]+", d)] for d in drawn]
        assert any(
            np.allclose(numbers[:2], start, atol=0.06) and np.allclose(numbers[-2:], end, atol=0.06)
            for numbers in ends
        )


def test_svg_and_png_show_the_same_words(photo, make_reading):
    """Words in an SVG keep to the ground made for them, whatever letters the reader has."""
    root = ET.fromstring(write_overlay_svg(photo, make_reading(count=5, lost=(1,))))  # noqa: S314 - our own
    said = list(root.iter(f"{SVG}text"))
    assert "not seen" in [e.text for e in said]
    for element in said:
        if element.attrib.get("textLength"):
            size = float(element.attrib["font-size"])
            assert float(element.attrib["textLength"]) <= 1.1 * size * len(element.text)
    assert root.attrib["viewBox"].startswith("-0.5 -0.5 1600 ")
