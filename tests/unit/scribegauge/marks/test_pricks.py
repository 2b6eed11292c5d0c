import numpy as np
import pytest

from scribegauge.marks.lamp import Lamp
from scribegauge.marks.metal import look_at_metal
from scribegauge.marks.pitspots import find_spots
from scribegauge.marks.pricks import find_pricks
from scribegauge.marks.record import LineMark

CENTRES = np.array([[8.013, 7.021], [16.37, 14.444], [24.0, 20.79]])


def pit(centre, diameter, grey, lit=0.0, towards_rad=0.0):
    """Return a pit of one brightness, plus a side that is lit."""

    def brightness(x, y):
        dx, dy = x - centre[0], y - centre[1]
        inside = np.hypot(dx, dy) < diameter / 2
        side = np.cos(np.arctan2(dy, dx) - towards_rad)
        return inside * (grey + lit * side)

    return brightness


def stroke(start, end, grey, width=0.07):
    start, end = np.asarray(start), np.asarray(end)
    length = np.hypot(*(end - start))
    along = (end - start) / length

    def brightness(x, y):
        u = (x - start[0]) * along[0] + (y - start[1]) * along[1]
        v = (y - start[1]) * along[0] - (x - start[0]) * along[1]
        return grey * ((np.abs(v) < width / 2) & (u > 0) & (u < length))

    return brightness


def line(start, end, look="dark", width=0.07):
    ends = np.array([start, end], float)
    return LineMark(ends, np.eye(2) * 1e-6, 0.01, 0.0, width, -5.0, look, 1.0, -20.0, hinted=False)


def look(draw, face, *marks, lines=(), near=None, noise=2.0):
    photo = draw(*marks, noise=noise)
    return find_pricks(photo, face, look_at_metal(photo, face), lines, near)


def test_finds_every_dark_pit_and_nothing_else(draw, flat_face):
    found = look(draw, flat_face, *[pit(c, 0.25, -90) for c in CENTRES])
    assert len(found) == len(CENTRES)
    for centre in CENTRES:
        best = min(found, key=lambda p: np.hypot(*(p.centre_mm - centre)))
        assert np.hypot(*(best.centre_mm - centre)) < 0.006
        assert best.diameter_mm == pytest.approx(0.25, abs=0.04)
        assert best.contrast < -5
        assert not best.hinted


def test_plain_metal_has_no_pricks(draw, flat_face):
    assert look(draw, flat_face) == ()


@pytest.mark.parametrize("towards", [0.3, 1.9, 4.0])
def test_a_pit_lit_from_a_side_is_placed_by_its_rim(draw, flat_face, towards):
    centre = CENTRES[1]
    (found,) = look(draw, flat_face, pit(centre, 0.3, -45, lit=65, towards_rad=towards))
    off = found.centre_mm - centre
    # The centre of its dark half is about 0.06 mm away.
    assert np.hypot(*off) < 0.035
    assert np.hypot(*off) < 2.5 * found.u_mm


def test_the_doubt_grows_with_the_light_from_a_side(draw, flat_face):
    (even,) = look(draw, flat_face, pit(CENTRES[1], 0.3, -80))
    (lit,) = look(draw, flat_face, pit(CENTRES[1], 0.3, -45, lit=65))
    assert lit.u_mm / lit.diameter_mm > 1.3 * even.u_mm / even.diameter_mm


def test_crossing_lines_are_no_prick_and_do_not_pull_one(draw, flat_face):
    ends = [([10.0, 8.0], [22.0, 20.5]), ([8.0, 16.0], [25.0, 13.0])]
    strokes = [stroke(*pair, -60) for pair in ends]
    lines = tuple(line(*pair) for pair in ends)
    assert look(draw, flat_face, *strokes, lines=lines) == ()
    crossing = _crossing(*ends)
    off = crossing + np.array([0.05, -0.03])
    (found,) = look(draw, flat_face, *strokes, _instead(pit(off, 0.28, -110), strokes), lines=lines)
    assert np.hypot(*(found.centre_mm - off)) < 0.02


def test_a_hint_admits_a_fainter_prick_and_says_so(draw, flat_face):
    faint = pit(CENTRES[1], 0.2, -15.0)
    assert look(draw, flat_face, faint, noise=4.0) == ()
    (found,) = look(draw, flat_face, faint, noise=4.0, near=CENTRES[1:2] + 0.4)
    assert found.hinted
    assert np.hypot(*(found.centre_mm - CENTRES[1])) < 3 * found.u_mm
    assert look(draw, flat_face, faint, noise=4.0, near=CENTRES[:1]) == ()


def test_a_pit_that_shows_as_no_spot_is_found_where_it_is_expected(draw, flat_face, monkeypatch):
    monkeypatch.setattr("scribegauge.marks.pricks.find_spots", lambda *_: ())
    ends = [([10.0, 8.0], [22.0, 20.5]), ([8.0, 16.0], [25.0, 13.0])]
    strokes = [stroke(*pair, 70) for pair in ends]
    lines = tuple(line(*pair, look="bright") for pair in ends)
    near = _crossing(*ends)[None]
    centre = near[0] + np.array([0.06, -0.05])
    assert look(draw, flat_face, *strokes, lines=lines, near=near) == ()
    marks = (*strokes, _instead(pit(centre, 0.26, 60), strokes))
    assert look(draw, flat_face, *marks, lines=lines) == ()
    (found,) = look(draw, flat_face, *marks, lines=lines, near=near)
    assert found.hinted
    assert np.hypot(*(found.centre_mm - centre)) < 0.03


def test_a_known_lamp_says_which_half_of_a_pit_is_lit(draw, flat_face):
    centre, towards = CENTRES[1], 0.3
    away = np.array([np.cos(towards), np.sin(towards)])
    photo = draw(pit(centre, 0.3, -20, lit=75, towards_rad=towards))
    metal = look_at_metal(photo, flat_face)
    (unaware,) = find_pricks(photo, flat_face, metal, (), None)
    (aware,) = find_pricks(photo, flat_face, metal, (), None, Lamp(0.5 * away, 0.03))
    (misled,) = find_pricks(photo, flat_face, metal, (), None, Lamp(-0.5 * away, 0.03))
    across = np.array([-away[1], away[0]])
    assert abs((aware.centre_mm - centre) @ across) < 0.01
    assert np.hypot(*(aware.centre_mm - centre)) < 2.5 * aware.u_mm
    assert aware.u_mm < unaware.u_mm
    assert np.hypot(*(misled.centre_mm - centre)) > np.hypot(*(aware.centre_mm - centre))


def test_spots_carry_their_chance(draw, flat_face):
    photo = draw(pit(CENTRES[0], 0.25, -90))
    spots = find_spots(photo, flat_face, look_at_metal(photo, flat_face), ())
    assert np.hypot(*(spots[0].centre_mm - CENTRES[0])) < 0.1
    assert not spots[0].bright
    assert spots[0].log10_nfa < -6
    # The clearest of the texture's spots is what chance gives about once per plate.
    assert -2 < spots[1].log10_nfa < 1


def _crossing(first, second):
    a, b = (np.asarray(pair[1]) - np.asarray(pair[0]) for pair in (first, second))
    t = np.linalg.solve(np.column_stack([a, -b]), np.asarray(second[0]) - np.asarray(first[0]))
    return np.asarray(first[0]) + t[0] * a


def _instead(pit_here, strokes):
    """Return a pit that cuts the strokes away where it lies."""

    def brightness(x, y):
        depth = pit_here(x, y)
        return depth - (depth != 0) * sum(mark(x, y) for mark in strokes)

    return brightness


def test_a_glittering_groove_hides_no_prick_beside_it_once_it_is_known(draw, flat_face):
    rng = np.random.default_rng(4)
    grooves = [([3.0, y], [29.0, y + 0.7]) for y in (3.0, 5.0, 11.0, 17.0, 21.0, 24.0)]
    glints = rng.uniform(size=(len(grooves), 150)) < 0.35

    def glitter(x, y):
        lit = np.zeros(np.broadcast_shapes(x.shape, y.shape))
        for (start, end), row in zip(grooves, glints, strict=True):
            piece = np.clip(((x - 3.0) / 26.0 * 150).astype(int), 0, 149)
            lit += stroke(start, end, -60.0)(x, y) * row[piece]
        return lit

    lone = pit(CENTRES[1], 0.22, -50.0)
    lines = tuple(line(*ends) for ends in grooves)
    found = look(draw, flat_face, glitter, lone, lines=lines)
    assert [np.hypot(*(p.centre_mm - CENTRES[1])) < 0.02 for p in found] == [True]
    unknown = look(draw, flat_face, glitter, lone)
    assert not any(np.hypot(*(p.centre_mm - CENTRES[1])) < 0.1 for p in unknown)
