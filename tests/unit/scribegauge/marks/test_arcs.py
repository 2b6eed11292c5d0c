import numpy as np
import pytest

from scribegauge.marks.arcs import find_arcs
from scribegauge.marks.arcshape import lies_along, on_arc, points_on, without_arcs
from scribegauge.marks.candidates import find_candidates
from scribegauge.marks.circles import drop_lines, find_circles
from scribegauge.marks.edgelets import Edgelets
from scribegauge.marks.metal import look_at_metal
from scribegauge.marks.record import ArcMark, LineMark


def ring(centre, radius, grey, width=0.07, start_deg=0.0, sweep_deg=360.0):
    """Return a groove along a circle; `grey` may be a function of the azimuth."""

    def brightness(x, y):
        dx, dy = x - centre[0], y - centre[1]
        azimuth = np.arctan2(dy, dx)
        inside = np.abs(np.hypot(dx, dy) - radius) < width / 2
        inside &= np.mod(np.degrees(azimuth) - start_deg, 360.0) < sweep_deg
        return inside * (grey(azimuth) if callable(grey) else grey)

    return brightness


def stroke(start, end, grey, width=0.07):
    start, end = np.asarray(start, float), np.asarray(end, float)
    length = np.hypot(*(end - start))
    along = (end - start) / length

    def brightness(x, y):
        u = (x - start[0]) * along[0] + (y - start[1]) * along[1]
        v = (y - start[1]) * along[0] - (x - start[0]) * along[1]
        return grey * ((np.abs(v) < width / 2) & (u > 0) & (u < length))

    return brightness


def line(start, end):
    ends = np.array([start, end], float)
    return LineMark(ends, np.eye(2) * 1e-6, 0.01, 0.0, 0.07, -5.0, "dark", 1.0, -20.0, hinted=False)


def arc(centre=(0.0, 0.0), radius=10.0, start=0.0, sweep=360.0):
    return ArcMark(
        np.array(centre), radius, start, sweep, np.eye(3) * 1e-6, 0.01, 0.07, "dark", 1.0
    )


def look(draw, face, *marks, lines=(), noise=3.0):
    photo = draw(*marks, noise=noise)
    return find_arcs(photo, face, look_at_metal(photo, face), lines)


def check(found, centre, radius, within=0.006):
    assert np.hypot(*(found.centre_mm - centre)) < within
    assert found.radius_mm == pytest.approx(radius, abs=within)


@pytest.mark.parametrize(
    ("grey", "word"), [(-25.0, "dark"), (25.0, "bright"), (lambda a: 30 * np.cos(a), None)]
)
def test_finds_a_circle_however_it_is_lit(draw, flat_face, grey, word):
    centre = np.array([15.7, 13.9])
    (found,) = look(draw, flat_face, ring(centre, 9.03, grey))
    check(found, centre, 9.03)
    assert found.sweep_deg == 360.0
    assert found.seen > 0.6
    if word:
        assert found.look == word
        assert found.seen > 0.95


def test_plain_metal_and_lines_alone_have_no_arcs(draw, flat_face):
    assert look(draw, flat_face) == ()
    angle = np.arange(6) * np.pi / 3
    corner = np.array([16.0, 14.0]) + 11 * np.column_stack([np.cos(angle), np.sin(angle)])
    sides = [stroke(a, b, -30) for a, b in zip(corner, np.roll(corner, 1, axis=0), strict=True)]
    spokes = [stroke(a, [16.0, 14.0], 30) for a in corner]
    assert look(draw, flat_face, *sides, *spokes) == ()


@pytest.mark.slow
def test_the_stated_scatter_is_the_real_one(draw, flat_face):
    centre = np.array([15.7, 13.9])
    off = []
    for seed in range(4):
        photo = draw(ring(centre, 9.03, -12), noise=4.0, seed=seed)
        (found,) = find_arcs(photo, flat_face, look_at_metal(photo, flat_face), ())
        error = np.array([*(found.centre_mm - centre), found.radius_mm - 9.03])
        off.append(error / np.sqrt(np.diag(found.covariance)))
    # What a changing look may do is stated, and absent here: the errors are smaller than stated.
    assert 0.05 < np.sqrt(np.mean(np.square(off))) < 1.5


def test_a_partial_arc_keeps_its_ends(draw, flat_face):
    centre = np.array([9.0, 7.0])
    mark = ring(centre, 14.0, -30, start_deg=10.0, sweep_deg=60.0)
    (found,) = look(draw, flat_face, mark)
    check(found, centre, 14.0, within=0.03)
    # A block of a millimetre is four degrees here.
    assert found.start_deg == pytest.approx(10.0, abs=5)
    assert found.sweep_deg == pytest.approx(60.0, abs=8)
    assert abs(found.centre_mm[0] - centre[0]) < 3 * np.sqrt(found.covariance[0, 0])


@pytest.mark.slow
def test_tells_concentric_overlapping_and_tight_circles_apart(draw, flat_face):
    circles = [((13.0, 14.0), 9.0), ((13.0, 14.0), 7.0), ((20.0, 14.0), 8.0), ((7.0, 6.0), 2.5)]
    found = look(draw, flat_face, *[ring(np.array(c), r, -30) for c, r in circles])
    assert len(found) == len(circles)
    for centre, radius in circles:
        best = min(found, key=lambda f: abs(f.radius_mm - radius))
        check(best, np.array(centre), radius, within=0.015)


@pytest.mark.slow
def test_crossing_and_touching_lines_do_not_pull_a_circle(draw, flat_face):
    centre, radius = np.array([16.0, 14.0]), 8.5
    ends = [([3.0, 6.0], [29.0, 20.0]), ([4.0, 14.0 + radius], [28.0, 14.0 + radius])]
    strokes = [stroke(*pair, 45) for pair in ends]
    marks = (ring(centre, radius, -25), *strokes)
    for lines in ((), tuple(line(*pair) for pair in ends)):
        (found,) = look(draw, flat_face, *marks, lines=lines)
        check(found, centre, radius, within=0.012)


def test_a_piece_of_an_arc_is_known_and_a_touching_line_is_not():
    known = arc(radius=20.0)
    chord = points_on(arc(radius=20.0, start=30.0, sweep=18.0), 2)
    assert lies_along(known, chord)
    assert lies_along(known, chord + 0.15)
    assert not lies_along(known, chord * 0.97)
    assert not lies_along(known, np.array([[-15.0, 20.0], [15.0, 20.0]]))
    half = arc(radius=20.0, start=90.0, sweep=180.0)
    assert not lies_along(half, chord)


def test_points_of_an_arc_are_on_it_through_the_turn_of_the_circle():
    known = arc(centre=(3.0, 4.0), radius=12.0, start=150.0, sweep=60.0)
    assert on_arc(known, points_on(known, 30), 0.01).all()
    beyond = points_on(arc(centre=(3.0, 4.0), radius=12.0, start=215.0, sweep=280.0), 30)
    assert not on_arc(known, beyond, 0.5).any()


def test_the_line_search_passes_over_known_circles(draw, flat_face):
    centre = np.array([16.0, 16.0])
    ends = np.array([[5.0, 3.0], [27.0, 4.0]])
    photo = draw(ring(centre, 9.0, -40), stroke(*ends, -40))
    metal = look_at_metal(photo, flat_face)
    arcs = find_arcs(photo, flat_face, metal, ())

    def off_the_line(pieces):
        middles = np.array([piece.ends_mm.mean(axis=0) for piece in pieces]) - ends[0]
        return np.abs(middles @ np.array([-1.0, 22.0]) / np.hypot(1.0, 22.0)) > 1.0

    before, after = find_candidates(metal), find_candidates(without_arcs(metal, arcs))
    assert off_the_line(before).sum() > 50
    assert off_the_line(after).sum() < 0.1 * off_the_line(before).sum()
    assert not off_the_line(after)[0]
    # A line must not end where it crosses a circle.
    np.testing.assert_array_equal(without_arcs(metal, arcs).mask, metal.mask)


def test_turned_metal_has_no_arcs(draw, flat_face):
    centre = np.array([15.7, 13.9])

    def turned(x, y):
        return 12.0 * np.cos(2 * np.pi * np.hypot(x - centre[0], y - centre[1]) / 0.5)

    assert look(draw, flat_face, turned) == ()


def test_pieces_in_one_line_are_set_aside_and_those_of_a_circle_kept():
    turn = np.linspace(0.0, 2 * np.pi, 40, endpoint=False)
    round_it = np.column_stack([np.cos(turn), np.sin(turn)])
    tangents = np.column_stack([-np.sin(turn), np.cos(turn)])
    straight = np.column_stack([np.linspace(-20.0, 20.0, 16), np.full(16, 3.0)])
    places = np.vstack([18.0 * round_it, straight])
    along = np.vstack([tangents, np.tile([1.0, 0.0], (16, 1))])
    pieces = Edgelets(places, along, np.full(len(places), 8.0), 2.7)
    kept = drop_lines(pieces)
    np.testing.assert_array_equal(kept.places_mm, 18.0 * round_it)
    (circle,) = find_circles(kept, (5.0, 60.0), 0.25)
    np.testing.assert_allclose(circle.centre_mm, [0.0, 0.0], atol=1e-9)
    assert circle.radius_mm == pytest.approx(18.0)
    assert circle.pieces == 40
