"""The coverage picture shows what it says, where it says."""

import io
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image
from scipy.spatial.transform import Rotation

from scribegauge.report.canvas import Canvas
from scribegauge.report.coveragepanels import PhotoBox, draw_residuals, draw_rose
from scribegauge.report.coveragepicture import draw_coverage
from scribegauge.report.drawingstyle import BLUE, ORANGE

SIZE = (4000, 3000)


def leaning(*leans):
    """Poses that lean so many degrees towards (x, y) of the picture; see the tests of coverage."""
    turns = [Rotation.from_rotvec(np.radians([-y, x, 0.0])).as_rotvec() for x, y in leans]
    return np.array([[*turn, 0, 0, 200.0] for turn in turns])


def calibration(corners, residuals=None, kept=None, leans=((0.0, 0.0),), size=SIZE, **other):
    corners = np.asarray(corners, float)
    facts = {
        "camera": SimpleNamespace(width_px=size[0], height_px=size[1], name="Bench A-12"),
        "sightings": (SimpleNamespace(corners_px=corners),),
        "bundle": SimpleNamespace(
            residuals_px=(np.zeros_like(corners) if residuals is None else residuals,),
            kept=(np.ones(len(corners), bool) if kept is None else np.array(kept),),
            poses=leaning(*leans),
        ),
        "photos": [SimpleNamespace(name=f"ring-{k}.jpg") for k in range(len(leans))],
        "left_out": (),
        "advice": (),
        "held_back_um": 4.0,
    }
    return SimpleNamespace(**(facts | other))


def picture(canvas):
    with Image.open(io.BytesIO(canvas.png())) as image:
        return np.asarray(image.convert("RGB")).astype(int)


def near(shown, at, colour, reach=8):
    """How many pixels about a place are nearly of a colour."""
    x, y = round(at[0]), round(at[1])
    part = shown[max(y - reach, 0) : y + reach, max(x - reach, 0) : x + reach]
    return int((np.abs(part - colour).max(axis=2) < 60).sum())


def whole(result):
    with Image.open(io.BytesIO(draw_coverage(result, (("table.jpg", "No target."),)))) as image:
        assert image.format == "PNG"
        return np.asarray(image.convert("RGB")).astype(int)


def test_a_corner_is_a_dot_where_it_fell_and_a_wrong_one_a_cross():
    shown = whole(calibration([[0, 0], [3999, 2999], [1999.5, 749.5]], kept=[True, True, False]))
    left, top, width = 36, 150, 746
    height = width * 3 / 4
    assert shown.shape[1] == 1600
    assert near(shown, (left, top), BLUE) > 3
    assert near(shown, (left + width, top + height), BLUE) > 3
    assert near(shown, (left + width / 2, top + height / 4), ORANGE) > 15
    assert near(shown, (left + width / 4, top + height / 2), BLUE) == 0


@pytest.mark.parametrize("size", [(3000, 4000), (4000, 2250), (640, 480)])
def test_pictures_of_any_shape_fit(size):
    shown = whole(calibration([[10, 10], [300, 200]], size=size))
    assert shown.shape[1] == 1600
    assert 900 < shown.shape[0] < 1600


@pytest.mark.parametrize(
    ("lean", "towards"),
    [((25, 0), (1, 0)), ((-25, 0), (-1, 0)), ((0, 25), (0, 1)), ((0, -25), (0, -1))],
)
def test_a_photo_stands_on_the_side_that_was_nearer(lean, towards):
    canvas = Canvas(600, 600)
    draw_rose(canvas, (300, 300), 215, calibration([[0, 0]], leans=[lean]))
    shown = picture(canvas)
    step = 25 / 43 * 215
    at = (300 + step * towards[0], 300 + step * towards[1])
    opposite = (300 - step * towards[0], 300 - step * towards[1])
    assert near(shown, at, BLUE, 12) > 200
    assert near(shown, opposite, BLUE, 12) == 0


def test_a_side_that_was_never_nearer_is_marked():
    canvas = Canvas(700, 600)
    leans = [(-20, 0), (0, 20), (0, -20)]
    draw_rose(canvas, (300, 300), 215, calibration([[0, 0]] * 3, leans=leans))
    shown = picture(canvas)
    assert near(shown, (575, 300), ORANGE, 30) > 30
    assert near(shown, (55, 300), ORANGE, 30) == 0


def test_arrows_show_the_mean_that_neighbours_agree_on():
    """Nine corners in one field, all 0.1 px to the right, and noise that averages out elsewhere."""
    spot = np.array([1500.0, 1500.0]) + np.mgrid[-1:2, -1:2].reshape(2, -1).T * 40
    other = np.add(spot, [1000, 0])
    odd = np.tile([[0.2, 0.0], [-0.2, 0.0], [0.0, 0.0]], (3, 1))
    residuals = np.concatenate([np.tile([0.1, 0.0], (9, 1)), odd])
    canvas = Canvas(800, 600)
    box = PhotoBox(0, 0, 800, 600, SIZE)
    key_px = draw_residuals(canvas, box, calibration(np.concatenate([spot, other]), residuals))
    shown = picture(canvas)
    assert key_px == pytest.approx(0.1)
    start = np.array([4.5 * 800 / 12, 4.5 * 600 / 9])
    tip = np.add(start, [800 / 12, 0])
    assert near(shown, (tip[0] - 4, tip[1]), BLUE, 5) > 10
    calm = np.array([7.5 * 800 / 12, 4.5 * 600 / 9])
    assert near(shown, (calm[0] + 12, calm[1]), BLUE, 5) == 0
