"""A target on a screen shows the screen's pixels in its white; paper shows none."""

import cv2
import numpy as np
import pytest

from scribetarget.detect import find_target
from scribetarget.errors import SightingError
from scribetarget.spec import load_specs

SPEC = load_specs()["S"]
SQUARE_PX = 100.0
SIDE_PX = 1500
BLUR_PX = 1.0


def photo(studio, turn_deg=7.0, pitch_mm=None, noise=2.0, ways=2):
    """A sheet seen from nearly above at some 16 px/mm, on paper or on a screen."""
    matrix = studio.view_matrix(SPEC, SQUARE_PX, turn_deg, 0.04, (SIDE_PX / 2, SIDE_PX / 2))
    ink = cv2.warpPerspective(
        studio.ink_of(SPEC),
        matrix @ np.diag([SPEC.square_mm / 32, SPEC.square_mm / 32, 1.0]),
        (SIDE_PX, SIDE_PX),
        flags=cv2.INTER_LINEAR,
    )
    level = cv2.GaussianBlur(200.0 - 155.0 * ink, (0, 0), BLUR_PX)
    if pitch_mm:
        level *= grid(np.linalg.inv(matrix), pitch_mm, ways)
    return studio.as_photo(level, noise, 4)


def grid(back, pitch_mm, ways):
    """Dark lines between pixels, as the lens leaves them: of a cosine this much is left."""
    at = np.arange(SIDE_PX, dtype=float)
    depth = back[2, 0] * at[None] + back[2, 1] * at[:, None] + back[2, 2]
    place = [
        (back[k, 0] * at[None] + back[k, 1] * at[:, None] + back[k, 2]) / depth for k in (0, 1)
    ]
    pitch_px = pitch_mm * SQUARE_PX / SPEC.square_mm
    left = 0.5 * np.exp(-2 * (np.pi * BLUR_PX / pitch_px) ** 2)
    waves = [left * np.cos(2 * np.pi * along / pitch_mm) for along in place[:ways]]
    return 1 + sum(waves)


def outcome(grey):
    try:
        find_target(grey)
    except SightingError as error:
        return error
    return None


@pytest.mark.parametrize("pitch_mm", [0.27, 0.18])
def test_a_screen_is_refused_with_its_pitch(studio, pitch_mm):
    error = outcome(photo(studio, pitch_mm=pitch_mm))
    assert error.code == "screen_shown"
    assert f"{pitch_mm:.2f} mm" in error.text
    assert "Print it" in error.cure


@pytest.mark.parametrize("turn_deg", [0.0, 7.0])
def test_paper_passes(studio, turn_deg):
    assert outcome(photo(studio, turn_deg)) is None


def test_the_blocks_of_a_compressed_photo_are_no_screen(studio):
    """Held straight, blocks of 8 pixels have one pitch along both of the sheet's directions."""
    _, data = cv2.imencode(".jpg", photo(studio, 0.0, noise=6.0), [cv2.IMWRITE_JPEG_QUALITY, 60])
    assert outcome(cv2.imdecode(data, cv2.IMREAD_GRAYSCALE)) is None


def test_ruled_paper_is_no_screen(studio):
    """Lines one way only, as of laid paper or a worn printer."""
    assert outcome(photo(studio, pitch_mm=0.27, ways=1)) is None
