"""What stands round the overlay's picture: title, key, facts, and the letters they are set in."""

from dataclasses import replace

import pytest

from scribegauge.report import panel, typeface
from scribegauge.report.frame import straight_frame
from scribegauge.report.overlaywords import facts_of
from scribegauge.report.scene import scene_of
from scribegauge.report.strokes import paint
from scribegauge.report.words import DASH, MINUS, TIMES


def scene_in(reading):
    return scene_of(reading, straight_frame(reading))


def test_the_key_names_what_is_shown_and_nothing_else(make_reading):
    reading = make_reading(count=5)
    scene = scene_in(reading)
    texts = [entry.text for entry in panel.key_of(reading, scene)]
    assert "side not seen" not in texts
    assert f"deviation, drawn {TIMES}{scene.factor}" in texts
    lost = make_reading(count=5, lost=(0,))
    assert "side not seen" in [entry.text for entry in panel.key_of(lost, scene_in(lost))]


def test_the_signs_and_the_undecided_are_explained(make_reading):
    reading = make_reading(count=5, tolerance_mm=0.05)
    plain = facts_of(reading, ())
    assert f"+ too long or wide, {MINUS} too short or narrow" in plain
    assert not any("undecided" in fact for fact in plain)
    first, *rest = reading.sides
    unsure = replace(reading, sides=(replace(first, verdict="undecided"), *rest))
    assert any("undecided" in fact for fact in facts_of(unsure, ()))


@pytest.mark.parametrize(
    "title",
    [
        *("", "<script>alert(1)</script>", "\U0001f600" * 50, "אבגד עברית", "x" * 300, "ě ł ş ő"),
        *("\ud800", "\x00\x1b[31m", "a\u202eb", "漢字" * 100),
    ],
)
def test_any_title_can_be_drawn(make_reading, title):
    head = paint(panel.header(make_reading(title=title)))
    assert (head < 100).any()
    assert (head[:, :30] > 240).all(), "the title runs over the left edge"
    assert (head[:, -30:] > 240).all(), "the title runs over the right edge"


def test_accents_have_glyphs_of_their_own():
    for font in (typeface.regular(40), typeface.bold(40)):
        empty = font.getmask("\uffff").getbbox(), bytes(font.getmask("\uffff"))
        for sign in f"éßøěłşőžĆΩжא±°…·{DASH}{MINUS}{TIMES}":
            assert (font.getmask(sign).getbbox(), bytes(font.getmask(sign))) != empty
