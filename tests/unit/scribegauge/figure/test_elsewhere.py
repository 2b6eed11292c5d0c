"""A plate that was carried away between photos does not go unnoticed."""

import numpy as np
import pytest

from scribegauge.errors import PhotoError
from scribegauge.figure.assign import place_figure
from scribegauge.figure.elsewhere import Shown, refuse_elsewhere
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.marks.record import LineMark, Marks

VERTICES = np.array([[20.0, 20], [60, 20], [60, 46], [20, 46]])
LAYOUT = Layout("blank", VERTICES, ("A", "B", "C", "D"), Tolerance(None, None))


def marks(shift_mm=(0.0, 0.0), shown=(0, 1, 2, 3)):
    ends = np.stack([VERTICES, np.roll(VERTICES, -1, axis=0)], axis=1) + np.array(shift_mm)
    known = (np.zeros((2, 2)), 0.02, 0.005, 0.08, -9.0, "dark", 1.0, -9.0)
    return Marks(tuple(LineMark(ends[k], *known, hinted=False) for k in shown), (), ())


BLANK = np.array([[10.0, 10], [70, 10], [70, 56], [10, 56]])


def together(*photos, outlines=None):
    lines = np.array([line.ends_mm for each in photos for line in each.lines])
    placement = place_figure(VERTICES, lines)
    named = [
        Shown(f"photo-{k}.jpg", each, BLANK if outlines is None else outlines[k])
        for k, each in enumerate(photos)
    ]
    refuse_elsewhere(LAYOUT, placement, named)


@pytest.mark.parametrize("shift_mm", [(4.0, 0.0), (0.0, -3.0), (2.0, 2.0), (15.0, 5.0)])
def test_a_photo_of_the_plate_elsewhere_is_named(shift_mm):
    """Along one side, so that two of its lines still fit, or altogether."""
    with pytest.raises(PhotoError) as error:
        together(marks(), marks(), marks(shift_mm))
    assert error.value.code == "plate_elsewhere"
    assert "photo-2.jpg" in error.value.text
    assert f"{np.hypot(*shift_mm):.0f} mm" in error.value.text


def test_of_two_photos_either_may_be_the_one():
    with pytest.raises(PhotoError, match=r"photo-[01]\.jpg"):
        together(marks(), marks((4.0, 0.0)))


@pytest.mark.parametrize("shift_mm", [(0.0, 0.0), (0.3, -0.3)])
def test_a_plate_that_lay_nearly_still_passes(shift_mm):
    together(marks(), marks(shift_mm))


def test_a_photo_that_shows_little_or_nothing_is_no_evidence():
    together(marks(), marks(shown=(0,)))
    together(marks(shown=()), marks())


@pytest.mark.parametrize("first", [0, 1])
def test_a_photo_of_another_plate_without_the_figure_is_named(first):
    """Places would be told in a photo where this plate does not lie."""
    photos = [marks(shown=()), marks()][:: 1 - 2 * first]
    outlines = [BLANK + np.array([6.0, 0.0]), BLANK][:: 1 - 2 * first]
    with pytest.raises(PhotoError, match=rf"photo-{first}\.jpg shows none .* 6 mm"):
        together(*photos, outlines=outlines)
    together(*photos, outlines=[BLANK + np.array([1.5, -1.5]), BLANK][:: 1 - 2 * first])


def test_one_photo_has_nothing_to_differ_from():
    alone = Shown("a", marks(), BLANK)
    refuse_elsewhere(LAYOUT, place_figure(VERTICES, ends_of(marks((9.0, 9.0)))), [alone])


def ends_of(each):
    return np.array([line.ends_mm for line in each.lines])
