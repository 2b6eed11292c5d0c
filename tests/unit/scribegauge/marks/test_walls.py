"""From what is seen of a groove to its middle."""

import numpy as np
import pytest

from scribegauge.marks.between import measure_between
from scribegauge.marks.lamp import NO_LAMP, Lamp
from scribegauge.marks.linefit import trace_line
from scribegauge.marks.metal import look_at_metal
from scribegauge.marks.walls import U_ONE_LIT, lean

START, END = np.array([5.0, 8.0]), np.array([27.0, 19.0])
ALONG = (END - START) / np.hypot(*(END - START))
ACROSS = np.array([-ALONG[1], ALONG[0]])
WIDTH_MM = 0.09
# The light comes from the right of the line, so that the wall on its left is lit.
LAMP = Lamp(ACROSS * 0.5, 0.03)
OTHER_LAMP = Lamp(-ACROSS * 0.5, 0.03)


def groove(left, right):
    """Return walls of brightness functions of the place along (0 to 1), left normal first."""

    def brightness(x, y):
        u = ((x - START[0]) * ALONG[0] + (y - START[1]) * ALONG[1]) / np.hypot(*(END - START))
        v = (x - START[0]) * ACROSS[0] + (y - START[1]) * ACROSS[1]
        on = (u >= 0) & (u <= 1)
        # A lit wall shows with the inner side of its burr, a quarter of the groove's width.
        burr = np.where(left(u) > 0, 0.25, 0.0) * WIDTH_MM
        on_left = (v > 0) & (v < WIDTH_MM / 2 + burr)
        on_right = (v > -WIDTH_MM / 2) & (v <= 0)
        return on * (left(u) * on_left + right(u) * on_right)

    return brightness


def level(value):
    return lambda u: np.full_like(u, value)


def measured(flat_face, draw, mark, lamp):
    photo = draw(mark)
    line = trace_line(photo, flat_face, look_at_metal(photo, flat_face), np.array([START, END]))
    return measure_between(photo, flat_face, line, np.array([START, END]), lamp)


def off_mm(line):
    """Return how far the line's ends lie to the left of the groove's middle."""
    return (line.ends_mm - START) @ ACROSS


@pytest.mark.parametrize(
    ("left", "right", "lamp"),
    [
        (60.0, 0.0, LAMP),  # only the lit wall is seen, and the lamp tells which it is
        (60.0, -45.0, NO_LAMP),  # both are seen: they tell it themselves
        (60.0, -45.0, OTHER_LAMP),  # and are believed rather than the lamp
    ],
)
def test_a_lit_wall_is_taken_back_to_the_middle(flat_face, draw, left, right, lamp):
    mark = groove(level(left), level(right))
    seen = measured(flat_face, draw, mark, None)
    middle = measured(flat_face, draw, mark, lamp)
    assert off_mm(seen).min() > 0.012
    assert np.abs(off_mm(middle)).max() < 0.6 * off_mm(seen).max()
    assert np.abs(off_mm(middle)).max() < 2 * middle.u_optics_mm
    assert middle.u_optics_mm < seen.u_optics_mm


def test_the_lamp_on_the_wrong_side_would_make_it_worse(flat_face, draw):
    mark = groove(level(60.0), level(0.0))
    seen = measured(flat_face, draw, mark, None)
    assert off_mm(measured(flat_face, draw, mark, OTHER_LAMP)).min() > 1.4 * off_mm(seen).max()


def test_without_a_lamp_a_single_wall_stays_where_it_is_seen(flat_face, draw):
    mark = groove(level(60.0), level(0.0))
    seen = measured(flat_face, draw, mark, None)
    middle = measured(flat_face, draw, mark, NO_LAMP)
    np.testing.assert_allclose(off_mm(middle), off_mm(seen), atol=1e-6)
    # The whole step is in doubt then.
    assert middle.u_optics_mm > 1.8 * U_ONE_LIT * middle.width_mm


def test_two_dark_walls_stay_in_the_middle(flat_face, draw):
    line = measured(flat_face, draw, groove(level(-50.0), level(-50.0)), LAMP)
    assert np.abs(off_mm(line)).max() < 0.004


def test_a_look_that_changes_along_the_line_does_not_turn_it(flat_face, draw):
    # The lit wall shines at the start only, the other is dark at the end only.
    mark = groove(lambda u: 60 * (1 - u), lambda u: -60 * u)
    seen = measured(flat_face, draw, mark, None)
    middle = measured(flat_face, draw, mark, LAMP)
    turned, left = (abs(float(np.diff(off_mm(line))[0])) for line in (seen, middle))
    assert turned > 0.015
    assert left < 0.7 * turned
    assert left / 2 < 2 * middle.u_optics_turn_mm


def test_how_far_what_is_seen_leans():
    assert lean(1.0) == 1.0
    assert lean(0.5) == 0.0
    # Nothing bright at all: two dark walls.
    assert lean(0.0) == 0.0
    assert lean(0.1) < -0.5
    shares = np.linspace(0.3, 1.0, 20)
    assert (np.diff([lean(share) for share in shares]) > 0).all()
