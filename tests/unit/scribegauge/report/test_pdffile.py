"""The report on paper: the page's content, its letters inside, and no string taken for more."""

import io
import re
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from scribegauge.report import reportwords as say
from scribegauge.report.closeups import SHOWN_MM, SPAN_MM
from scribegauge.report.pdffile import write_pdf
from scribegauge.report.reading import Reason
from scribegauge.report.refusal import refusal
from scribetarget.paper import PAPERS

MM = 72 / 25.4


def opened(data):
    return PdfReader(io.BytesIO(data))


def said(data):
    """All words, spaces and line ends as one space."""
    text = " ".join(page.extract_text() for page in opened(data).pages)
    return re.sub(r"\s+", " ", text.replace("\N{NO-BREAK SPACE}", " "))


@pytest.fixture(scope="module")
def judged(make_reading):
    return make_reading(count=5, lost=(1,), tolerance_mm=0.05)


@pytest.fixture(scope="module")
def report(photo, judged):
    return write_pdf(photo, judged)


@pytest.mark.parametrize("name", PAPERS)
def test_it_is_set_for_the_paper(judged, name):
    paper = PAPERS[name]
    for page in opened(write_pdf(None, judged, paper)).pages:
        assert float(page.mediabox.width) == pytest.approx(paper.width_mm * MM, abs=0.1)
        assert float(page.mediabox.height) == pytest.approx(paper.height_mm * MM, abs=0.1)


def test_the_verdict_comes_first_and_the_numbers_follow(report, judged):
    text = said(report)
    first = text.index("One of five sides is within 0.05 mm; side")
    assert first < text.index(say.NUMBERS) < text.index(say.DEVIATIONS) < text.index(say.CAUTIONS)
    for side in judged.sides:
        if side.measured_mm is not None:
            assert f"{side.measured_mm:.3f}" in text
    for heading in (say.PRICKS, say.LINES, say.LIMITS, say.SETTINGS):
        assert heading in text
    assert "Corners, 3 mm across" in text
    assert "brush swarf away" in text


def test_all_letters_are_inside(report):
    found = 0
    for page in opened(report).pages:
        for font in page["/Resources"]["/Font"].values():
            if "/FontDescriptor" in font.get_object():
                assert "/FontFile2" in font.get_object()["/FontDescriptor"]
                found += 1
    assert found


def test_overlay_and_corners_are_drawn_and_only_photos_are_pictures(photo, judged):
    speckled = np.random.default_rng(2).integers(90, 160, photo.rgb.shape, np.uint8)
    report = write_pdf(replace(photo, rgb=speckled), judged)
    pictures = sum(len(page.images) for page in opened(report).pages)
    corners = sum(v.photo_px is not None for v in judged.vertices)
    assert pictures == 1 + corners
    assert "not seen" in said(report)  # the overlay's words are words


def test_the_same_reading_gives_the_same_bytes(photo, judged, report):
    assert write_pdf(photo, judged) == report


NASTY = [
    "<script>alert(1)</script>",
    "\"' onload='alert(1)' x=\"",
    "<para><b>a</i> &amp; <img src='http://example.org/x.png'/>",
    "{{ 7 * 7 }} %PDF ) Tj",
    "é ß ø ě ł ş ő ž Ć Ω ж",
    "x" * 300,
]


@pytest.mark.parametrize("text", NASTY)
def test_strings_are_shown_whole_and_do_nothing(make_reading, text):
    plain = make_reading(count=3)
    first = replace(plain.photos[0], name=text, camera=text, taken=text)
    reading = replace(
        plain, title=text, photos=(first,), reasons=(Reason("x", text),), program=text
    )
    data = write_pdf(None, reading)
    bare = said(data).replace(" ", "")
    assert bare.count(text.replace(" ", "")) >= 5  # title, date, reason, lens, program
    assert opened(data).metadata.title == text
    for word in (b"/JavaScript", b"/JS", b"/URI", b"/Launch", b"/OpenAction", b"/Annot"):
        assert word not in data


def test_what_the_letters_lack_is_told_and_kept_in_the_title(make_reading):
    title = "\u6f22\u5b57 A-12"
    data = write_pdf(None, make_reading(count=3, title=title))
    assert "\N{WHITE SQUARE}\N{WHITE SQUARE} A-12" in said(data)
    assert "letters of this file do not have" in said(data)
    assert opened(data).metadata.title == title
    assert "letters of this file" not in said(write_pdf(None, make_reading(count=3)))


def test_a_refusal_says_why_and_shows_the_photo(photo):
    reasons = (Reason("blurred", "The photo is blurred. Hold the phone still."),)
    data = write_pdf(photo, refusal(reasons, "Blank", (), "scribegauge"))
    assert "This photo cannot be judged. The photo is blurred. Hold the phone still." in said(data)
    assert sum(len(page.images) for page in opened(data).pages) == 1
    assert say.NUMBERS not in said(data)
    without = write_pdf(None, refusal(reasons, "", (), "scribegauge"))
    assert say.NO_TITLE in said(without)


def boxes(page):
    """Rectangles that drawings are clipped to, as (left, width) in points of the page."""
    found, at = [], [(1.0, 0.0)]
    for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
        scale, shift = at[-1]
        if operator == b"q":
            at.append(at[-1])
        elif operator == b"Q":
            at.pop()
        elif operator == b"cm":
            at[-1] = (scale * float(operands[0]), shift + scale * float(operands[4]))
        elif operator == b"re":
            found.append((shift + scale * float(operands[0]), scale * float(operands[2])))
    return found


def test_corners_are_twenty_times_as_large_and_drawings_keep_to_the_margins(photo, judged):
    found = [
        (left, wide, float(page.mediabox.width))
        for page in opened(write_pdf(photo, judged)).pages
        for left, wide in boxes(page)
        if wide > 10 * MM
    ]
    tiles = [wide for _, wide, _ in found if wide == pytest.approx(SHOWN_MM * MM, abs=0.1)]
    assert SHOWN_MM == 20 * SPAN_MM
    assert len(tiles) == sum(v.photo_px is not None for v in judged.vertices)
    for left, wide, paper in found:
        assert left > 14 * MM - 0.1
        assert left + wide < paper - 14 * MM + 0.1
