"""A divider's circle is taken back to the middle of its groove."""

import numpy as np
import pytest

from scribegauge.marks.arcmiddle import arc_at_middle
from scribegauge.marks.arcs import find_arcs
from scribegauge.marks.lamp import Lamp
from scribegauge.marks.metal import look_at_metal

CENTRE, RADIUS_MM, WIDTH_MM = np.array([16.0, 14.0]), 9.0, 0.09
AWAY = np.array([0.6, 0.8])


def lit_circle(x, y):
    """Brightness of two walls: that which faces the lamp shines, the other is a little dark."""
    dx, dy = x - CENTRE[0], y - CENTRE[1]
    off = np.hypot(dx, dy) - RADIUS_MM
    facing = (dx * AWAY[0] + dy * AWAY[1]) / np.maximum(np.hypot(dx, dy), 1e-9)
    # On the far side of the circle the outer wall faces the lamp, on the near side the inner one.
    outer = (off > 0) & (off < 0.75 * WIDTH_MM)
    inner = (off < 0) & (off > -0.75 * WIDTH_MM)
    lit = np.where(facing > 0, outer, inner) * np.abs(facing) * 70
    return lit - 25.0 * (np.abs(off) < WIDTH_MM / 2) * (np.abs(facing) < 0.4)


@pytest.fixture(scope="module")
def circle(draw, flat_face):
    photo = draw(lit_circle)
    metal = look_at_metal(photo, flat_face)
    (arc,) = find_arcs(photo, flat_face, metal, ())
    return photo, metal, arc


def test_the_lamp_moves_a_seen_circle_and_is_allowed_for(circle, flat_face):
    photo, metal, seen = circle
    middle = arc_at_middle(photo, flat_face, metal, seen, (), Lamp(0.5 * AWAY, 0.03))
    assert (seen.centre_mm - CENTRE) @ AWAY > 0.015
    assert abs((middle.centre_mm - CENTRE) @ AWAY) < 0.5 * ((seen.centre_mm - CENTRE) @ AWAY)
    assert middle.radius_mm == pytest.approx(RADIUS_MM, abs=0.012)
    assert middle.u_optics_mm <= seen.u_optics_mm


def test_a_lamp_on_the_other_side_would_make_it_worse(circle, flat_face):
    photo, metal, seen = circle
    wrong = arc_at_middle(photo, flat_face, metal, seen, (), Lamp(-0.5 * AWAY, 0.03))
    assert (wrong.centre_mm - CENTRE) @ AWAY > 1.3 * ((seen.centre_mm - CENTRE) @ AWAY)


def test_without_a_lamp_it_stays_where_it_is_seen(circle, flat_face):
    photo, metal, seen = circle
    same = arc_at_middle(photo, flat_face, metal, seen, (), Lamp(np.zeros(2), 1.0))
    np.testing.assert_allclose(same.centre_mm, seen.centre_mm, atol=0.003)
