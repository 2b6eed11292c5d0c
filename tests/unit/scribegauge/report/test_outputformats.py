"""The ending of a file's name tells what is written, also of a photo that cannot be judged."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scribegauge.report.outputformats import overlay_file, report_file
from scribegauge.report.platemap import grid_of
from scribegauge.report.reading import Reason
from scribegauge.report.refusal import refusal

STARTS = {"png": b"\x89PNG", "PNG": b"\x89PNG", "svg": b"<?xml", "SVG": b"<?xml"}
REFUSED = refusal((Reason("blurred", "Too <b>blurred</b>."),), "Blank", (), "scribegauge")


@pytest.mark.parametrize("ending", STARTS)
def test_an_overlay_is_what_its_name_says(photo, make_reading, ending):
    place = Path(f"a.{ending}")
    for reading in (make_reading(count=3), REFUSED):
        data = overlay_file(place, photo, reading, as_taken=False)
        assert data.startswith(STARTS[ending])
    assert overlay_file(place, None, REFUSED, as_taken=False).startswith(STARTS[ending])


def test_a_refusal_as_svg_says_why_and_is_no_markup(photo):
    data = overlay_file(Path("a.svg"), photo, REFUSED, as_taken=False)
    assert b"Too &lt;b&gt;blurred&lt;/b&gt;." in data
    assert data.count(b"<image ") == 1


def test_as_taken_leaves_the_photo_as_it_is(photo, make_reading):
    """The plate lies turned by 25 degrees: straightened, what was upright in the photo leans."""

    def turned(points_mm):
        cos, sin = np.cos(0.4), np.sin(0.4)
        return np.asarray(points_mm) @ np.array([[cos, sin], [-sin, cos]]) * 18 + [1190.0, 910.0]

    reading = make_reading(count=3)
    outline = np.array([[-26.0, -26], [26, -26], [26, 26], [-26, 26]])
    told = replace(reading, plate=replace(reading.plate, grid=grid_of(outline, turned)))
    as_taken, straight = (
        overlay_file(Path("a.png"), photo, told, as_taken=flag) for flag in (True, False)
    )
    assert as_taken == overlay_file(Path("a.png"), photo, reading, as_taken=True)
    assert straight != as_taken


def test_a_report_is_what_its_name_says(photo, make_reading):
    reading = make_reading(count=3)
    assert report_file(Path("a.html"), photo, reading, "a4").startswith(b"<!DOCTYPE html>")
    assert report_file(Path("-"), photo, reading, "a4").startswith(b"<!DOCTYPE html>")
    a4, letter = (report_file(Path("a.PDF"), photo, reading, p) for p in ("a4", "letter"))
    assert a4.startswith(b"%PDF-")
    assert letter.startswith(b"%PDF-")
    assert a4 != letter
