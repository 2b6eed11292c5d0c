"""Photos of real metal without a scribed line, taken for faces at 20 px/mm."""

from pathlib import Path
from types import SimpleNamespace

import cv2
import numpy as np
import pytest

from scribegauge.marks.glare import find_glare, look_past_glare
from scribegauge.marks.lines import find_lines
from scribegauge.marks.metal import look_at_metal
from scribegauge.plate.face import Face

PICTURES = Path(__file__).parents[4] / "fixtures/photos/bare-metal"
PX_PER_MM = 20.0
# Tiles of 128 pixels are too small for a face: four times larger they are as soft as a photo can be.
ENLARGED, ENLARGED_BLUR_PX = 4, 3.0


def read(name):
    grey = cv2.imread(str(PICTURES / name), cv2.IMREAD_GRAYSCALE)
    if grey.shape[0] > 128:
        return grey, 1.0
    larger = cv2.resize(grey, None, fx=ENLARGED, fy=ENLARGED, interpolation=cv2.INTER_CUBIC)
    return larger, ENLARGED_BLUR_PX


def lines_in(name):
    grey, blur_px = read(name)
    values = np.zeros(17)
    values[[0, 1, 14, 15, 16]] = PX_PER_MM * 150.0, 1.0, 150.0, 1.0, 1.0
    high, wide = np.array(grey.shape) / PX_PER_MM
    outline = np.array([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]])
    # Only the solved camera of a view is looked at here.
    face = Face(SimpleNamespace(values=values), 0.0, 0.01, outline, PX_PER_MM, blur_px)
    metal = look_at_metal(grey, face)
    metal = look_past_glare(grey, face, metal, find_glare(grey, face, metal))
    return find_lines(grey, face, metal)


@pytest.mark.parametrize(
    "name",
    [
        "ball_screw_edge.jpg",
        "ball_screw_ground.jpg",
        "ball_screw_scored.jpg",
        "ball_screw_worn.jpg",
        "iron_sheet_ash__3001.jpg",
        "oxide_scale_of_temperature_system__7102.jpg",
        "red_iron__2001.jpg",
    ],
)
def test_no_line_where_none_was_scribed(name):
    assert lines_in(name) == ()


@pytest.mark.parametrize(
    ("name", "column"), [("surface_scratch__4023.jpg", 40.0), ("surface_scratch__4111.jpg", 27.5)]
)
def test_a_long_straight_scratch_is_a_stroke(name, column):
    (line,) = lines_in(name)
    ends_px = line.ends_mm * PX_PER_MM / ENLARGED
    np.testing.assert_allclose(ends_px[:, 0], column, atol=2.0)
    assert np.ptp(ends_px[:, 1]) > 100
    assert line.look == "dark"
