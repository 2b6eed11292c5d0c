"""Glare: its edge is no line, and a side that it covers in part is known from the rest."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.errors import PhotoError
from scribegauge.marks.condition import (
    SOFT_BLUR_MM,
    WIDEST_BLUR_MM,
    blended,
    refuse_blown_out,
    refuse_noisy,
    refuse_smeared,
)
from scribegauge.marks.glare import (
    find_glare,
    hidden_share,
    is_glare_edge,
    look_past_glare,
    seen_past,
)
from scribegauge.marks.lines import find_lines
from scribegauge.marks.metal import look_at_metal
from scribegauge.marks.pricks import find_pricks
from scribetarget.smear import Smear

LEFT, RIGHT = (29.0, 45.0), (51.0, 45.0)
SIDE = np.array([LEFT, RIGHT])


def patch(low, high, grey=400.0, soft_mm=0.3):
    """A reflection with soft edges between two corners of a box."""

    def brightness(x, y, _blur):
        inside = [
            1 / (1 + np.exp(-(at - a) / soft_mm)) / (1 + np.exp((at - b) / soft_mm))
            for at, a, b in ((x, low[0], high[0]), (y, low[1], high[1]))
        ]
        return grey * inside[0] * inside[1]

    return brightness


BAND = patch((10.0, 48.0), (70.0, 51.0))
OVER_RIGHT_PART = patch((44.0, 40.0), (60.0, 50.0))


def look(hold_camera, *marks, grey=120.0):
    setup = hold_camera()
    picture = setup.draw(*marks, grey=grey)
    metal = look_at_metal(picture, setup.face)
    return picture, setup.face, metal, find_glare(picture, setup.face, metal)


def test_the_edges_of_a_reflection_are_not_taken_for_lines(hold_camera, stroke):
    picture, face, metal, glare = look(hold_camera, stroke(LEFT, RIGHT), BAND)
    (line,) = find_lines(picture, face, look_past_glare(picture, face, metal, glare))
    np.testing.assert_allclose(line.ends_mm[:, 1], 45.0, atol=0.02)


def test_a_photo_without_glare_is_left_alone(hold_camera, stroke):
    """A groove that glints at full scale is none."""
    picture, face, metal, glare = look(hold_camera, stroke(LEFT, RIGHT, 300.0, width_mm=0.15))
    assert glare.share == 0
    assert look_past_glare(picture, face, metal, glare) is metal
    assert hidden_share(metal, glare, SIDE) == 0


def test_the_hidden_share_of_a_side(hold_camera, stroke):
    _, _, metal, glare = look(hold_camera, stroke(LEFT, RIGHT), OVER_RIGHT_PART)
    # The right third, and what lies too near its soft edge.
    assert hidden_share(metal, glare, SIDE) == pytest.approx(0.4, abs=0.08)
    assert hidden_share(metal, glare, SIDE - np.array([0.0, 8.0])) < 0.1
    assert 0.1 < glare.share < 0.3


def test_a_dark_groove_that_shows_in_glare_is_not_hidden(hold_camera, stroke):
    picture, face, metal, glare = look(hold_camera, stroke(LEFT, RIGHT, -200.0), grey=300.0)
    assert glare.share > 0.99
    assert hidden_share(metal, glare, SIDE) < 0.05
    (line,) = find_lines(picture, face, look_past_glare(picture, face, metal, glare))
    doubtful = seen_past(line, metal, glare, SIDE)
    assert doubtful.u_optics_mm == pytest.approx(2 * line.u_optics_mm, rel=0.1)


def test_a_side_seen_in_part_is_as_uncertain_as_that_part(hold_camera, stroke):
    picture, face, metal, glare = look(hold_camera, stroke(LEFT, RIGHT), OVER_RIGHT_PART)
    lines = find_lines(picture, face, look_past_glare(picture, face, metal, glare))
    line = min(lines, key=lambda found: np.abs(found.ends_mm[:, 1] - 45).max())
    part = seen_past(line, metal, glare, SIDE)
    seen = 1 - hidden_share(metal, glare, SIDE)
    assert part.u_optics_turn_mm == pytest.approx(line.u_optics_turn_mm / seen, rel=0.1)
    np.testing.assert_allclose(part.covariance, line.covariance / seen, rtol=0.1)
    # The middle of the side lies that far from the middle of what is seen, in half lengths.
    aside = part.u_optics_turn_mm * (1 - seen)
    assert part.u_optics_mm == pytest.approx(np.hypot(line.u_optics_mm, aside), rel=0.1)


def test_a_line_that_is_seen_whole_is_handed_on(hold_camera, stroke):
    picture, face, metal, glare = look(hold_camera, stroke(LEFT, RIGHT), BAND)
    (line,) = find_lines(picture, face, look_past_glare(picture, face, metal, glare))
    assert seen_past(line, metal, glare, SIDE) is line
    assert not is_glare_edge(line, metal, glare)
    along_edge = replace(line, ends_mm=SIDE + np.array([0.0, 3.0]))
    assert is_glare_edge(along_edge, metal, glare)


def code_of(function, *args):
    with pytest.raises(PhotoError) as caught:
        function(*args)
    assert caught.value.cure
    return caught.value.code


def test_a_plate_that_is_mostly_white_is_refused(hold_camera, stroke):
    _, _, _, white = look(hold_camera, grey=300.0)
    assert code_of(refuse_blown_out, white) == "blown_out"
    _, _, _, half = look(hold_camera, stroke(LEFT, RIGHT), OVER_RIGHT_PART)
    refuse_blown_out(half)


def test_noise_as_large_as_a_groove_is_refused():
    assert code_of(refuse_noisy, 0.15) == "too_dark"
    refuse_noisy(0.05)


def smear(along_mm, across_mm, direction_deg=0.0, scale=20.0):
    """Return a smear that is so wide on the plate when pixels are interpolated."""
    along, across = (np.sqrt((size * scale) ** 2 - 1 / 6) for size in (along_mm, across_mm))
    return Smear(float(along), float(across), float(np.radians(direction_deg)))


def test_moved_and_out_of_focus_are_refused_apart(hold_camera):
    face = hold_camera().face
    assert code_of(refuse_smeared, face, smear(0.14, 0.13)) == "blurred"
    assert code_of(refuse_smeared, face, smear(0.14, 0.08)) == "moved"
    refuse_smeared(face, smear(WIDEST_BLUR_MM - 0.002, 0.05))


@pytest.mark.parametrize(("direction_deg", "wider"), [(0.0, False), (90.0, True)])
def test_a_movement_costs_the_lines_across_it(hold_camera, stroke, direction_deg, wider):
    picture, face, metal, _ = look(hold_camera, stroke(LEFT, RIGHT))
    (line,) = find_lines(picture, face, metal)
    soft = blended(line, face, smear(WIDEST_BLUR_MM, 0.05, direction_deg))
    assert (soft.u_optics_mm > line.u_optics_mm + 0.001) == wider
    assert blended(line, face, smear(SOFT_BLUR_MM - 0.001, 0.05, 90.0)) is line


def test_no_prick_is_found_where_all_is_white(hold_camera, stroke):
    """Nor does looking for one at a corner end in an error."""
    picture, face, metal, glare = look(hold_camera, stroke(LEFT, RIGHT), OVER_RIGHT_PART)
    lines = find_lines(picture, face, look_past_glare(picture, face, metal, glare))
    white = np.array([[48.0, 45.0], [50.0, 45.0]])
    assert find_pricks(picture, face, metal, lines, white) == ()
