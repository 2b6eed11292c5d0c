"""Lines through a coat are told by their colour, whatever the light."""

import numpy as np
import pytest

from scribegauge.marks.coat import is_coated
from scribegauge.marks.record import LineMark

ENDS = (
    np.array([[30.0, 38.0], [50.0, 40.0]]),
    np.array([[32.0, 50.0], [48.0, 37.0]]),
    np.array([[29.0, 45.0], [51.0, 52.0]]),
)
BLUE, BRASS = np.array([38.0, 52.0, 110.0]), np.array([180.0, 150.0, 92.0])


def line(ends):
    return LineMark(ends, np.eye(2) * 1e-6, 0.01, 0.0, 0.1, 9.0, "bright", 1.0, -9.0, hinted=False)


def coloured(setup, stroke, face, groove, light=1.0):
    cover = setup.light(*[stroke(*ends, 1.0, width_mm=0.16) for ends in ENDS], grey=0.0)
    rgb = light * (face + np.clip(cover, 0, 1)[..., None] * (groove - face))
    rgb = rgb + np.random.default_rng(2).normal(0, 2, rgb.shape)
    return np.clip(np.round(rgb), 0, 255).astype(np.uint8)


LINES = tuple(line(ends) for ends in ENDS)


@pytest.mark.parametrize("light", [0.6, 1.0, 1.35])
@pytest.mark.parametrize(
    ("face", "groove", "coated"),
    [
        (BLUE, BRASS, True),  # layout blue
        (np.array([40.0, 38.0, 36.0]), BRASS, True),  # black marker
        (np.array([32.0, 32, 32]), np.array([150.0, 150, 150]), True),  # black on steel
        (BRASS, 0.5 * BRASS, False),  # groove in shade
        (0.6 * BRASS, BRASS, False),  # groove in light
        (np.array([150.0, 150.0, 150.0]), np.array([90.0, 90.0, 90.0]), False),  # steel
        (np.array([120.0, 40.0, 40.0]), np.array([160.0, 158.0, 152.0]), True),  # red on steel
    ],
)
def test_coats_and_bare_metal(hold_camera, stroke, light, face, groove, coated):
    setup = hold_camera()
    rgb = coloured(setup, stroke, face, groove, light)
    assert is_coated(rgb, setup.face, LINES) is coated


def test_one_odd_line_does_not_decide(hold_camera, stroke):
    setup = hold_camera()
    rgb = coloured(setup, stroke, BLUE, BRASS)
    # Two lines were "found" where there is none: no change of colour across them.
    beside = tuple(line(ends + np.array([0.0, 1.5])) for ends in ENDS[:1])
    assert is_coated(rgb, setup.face, LINES + beside)
    bare = coloured(setup, stroke, BRASS, 0.5 * BRASS)
    assert not is_coated(bare, setup.face, LINES + beside)


def test_without_lines_nothing_is_said_of_a_coat(hold_camera):
    setup = hold_camera()
    assert is_coated(np.zeros((560, 640, 3), np.uint8), setup.face, ()) is False
