"""Photos that lie half a turn from the others are found by what they tell of the lens."""

from dataclasses import replace

import numpy as np
import pytest

from scribetarget.bundle import adjust, view_of_sighting
from scribetarget.halfturn import half_turned_points, turned_photos
from scribetarget.lensvotes import lens_votes
from scribetarget.printscale import scale_from_bars
from scribetarget.priors import camera_from_exif
from scribetarget.spec import load_specs

SPEC = load_specs()["M"]
SIZE = (4000, 3000)
PRIOR = camera_from_exif(*SIZE, 27.0, "")
SCALE = scale_from_bars(SPEC, [(100.0, 100.0)])
# f, aspect, centre, k1, k2, p1, p2, k3; one as phones are, one without any middle of its own
PHONE = np.array([2905.0, 0.9995, 1977.5, 1508.5, -0.041, 0.052, -0.0005, 0.0007, -0.018])
EVEN = np.array([2905.0, 1.0, 1999.5, 1499.5, -0.041, 0.052, 0, 0, 0])
LEANS = [(3, 0), (15, 20), (20, 110), (25, 200), (30, 290), (33, 60), (12, 150), (28, 330)]


@pytest.fixture(scope="module")
def views(looks):
    def of(lens):
        found = []
        for k, lean in enumerate(LEANS):
            pose = looks.pose_over(SPEC, *lean, 40.0 * k, 240.0 + 5 * k)
            values = np.concatenate([lens, pose, [1, 1]])
            found.append(view_of_sighting(looks.sight_corners(SPEC, values, 0.05, k)))
        return found

    return {"phone": of(PHONE), "even": of(EVEN)}


def found(given, turned):
    pairs = zip(given, turned, strict=True)
    seen = [
        replace(view, seen_px=half_turned_points(view.seen_px, SIZE)) if turn else view
        for view, turn in pairs
    ]
    return turned_photos(lens_votes([adjust([view], PRIOR, SCALE) for view in seen], PRIOR))


def pattern(*numbers):
    turned = np.zeros(len(LEANS), bool)
    turned[list(numbers)] = True
    return turned


@pytest.mark.parametrize("numbers", [(), (0,), (5,), (1, 3, 6), (1, 3, 5, 7)])
def test_the_turned_ones_are_found(views, numbers):
    assert np.array_equal(found(views["phone"], pattern(*numbers)), pattern(*numbers))


def test_where_most_are_turned_the_others_are(views):
    assert np.array_equal(found(views["phone"], pattern(0, 1, 2, 3, 4)), pattern(5, 6, 7))


def test_of_two_halves_that_of_the_first_photo_stays(views):
    assert np.array_equal(found(views["phone"], pattern(0, 2, 4, 6)), pattern(1, 3, 5, 7))


@pytest.mark.parametrize("numbers", [(), (1, 4)])
def test_a_lens_that_is_its_own_mirror_image_gives_no_reason_to_turn(views, numbers):
    assert not found(views["even"], pattern(*numbers)).any()


def test_half_a_turn_takes_corner_to_corner_and_back():
    corners = np.array([[0.0, 0.0], [3999.0, 2999.0], [10.0, 20.0]])
    turned = half_turned_points(corners, SIZE)
    assert turned.tolist() == [[3999, 2999], [0, 0], [3989, 2979]]
    assert half_turned_points(turned, SIZE) == pytest.approx(corners)
