"""The plate's edge in the window, against plates drawn where they are known to lie."""

import hashlib
from dataclasses import replace

import cv2
import numpy as np
import pytest
from scipy.special import ndtr
from shapely import Polygon

from scribegauge.errors import PhotoError
from scribegauge.photo.record import LensFacts, Photo
from scribegauge.plate.outline import find_face

PAPER = np.array([206.0, 202.0, 196.0])
BRASS = np.array([150.0, 128.0, 84.0])
# The window of size S reaches from 12 to 72 mm.
BLANK = np.array([[-18.0, -14], [18, -14], [18, 14], [-18, 14]])


def laid(turn_deg, shift=(42.0, 42.0), blank=BLANK):
    turn = np.radians(turn_deg)
    cos, sin = np.cos(turn), np.sin(turn)
    return blank @ np.array([[cos, sin], [-sin, cos]]) + shift


@pytest.fixture
def bench(hold_camera):
    straight = hold_camera().camera
    camera = replace(straight, size_px=(560, 560), f_px=1000.0, centre_px=(279.5, 279.5))
    return hold_camera(camera=camera, tilt_deg=9.0, azimuth_deg=20.0, thickness_mm=1.0)


def inside(outline, x, y, soft_mm=0.06):
    """Return how much of each pixel a convex plate covers."""
    cover = np.ones_like(x)
    for a, b in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        along = (b - a) / np.hypot(*(b - a))
        cover *= ndtr(((y - a[1]) * along[0] - (x - a[0]) * along[1]) / soft_mm)
    return cover


def photo_of(setup, outline, metal=BRASS, shadow=0.0, slope=0.0, noise=2.0):
    x, y = setup.plate_places()
    rgb = np.ones((*x.shape, 3)) * PAPER
    if outline is not None:
        reach = inside(outline + np.array([1.0, 0.6]), x, y, 0.8)
        rgb *= 1 - shadow * reach[..., None]
        cover = inside(outline, x, y)[..., None]
        rgb = rgb * (1 - cover) + cover * metal
    rgb *= (1 + slope * (x - 42) / 30)[..., None]
    rgb += np.random.default_rng(8).normal(0, noise, rgb.shape)
    picture = np.clip(np.round(rgb), 0, 255).astype(np.uint8)
    facts = LensFacts("", "", None, None, None, None)
    digest = hashlib.sha256(picture.tobytes()).hexdigest()
    return Photo("a.jpg", digest, picture, cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY), facts)


def farthest_mm(found, outline):
    return Polygon(found).exterior.hausdorff_distance(Polygon(outline).exterior)


@pytest.mark.parametrize("turn_deg", [0.0, 33.0, 71.0])
def test_the_outline_is_where_the_plate_lies(bench, turn_deg):
    outline = laid(turn_deg, (40.0, 43.5))
    face = find_face(photo_of(bench, outline), bench.face.view, 1.0, 0.02, 0.7)
    # Two samples of its own grid, askew at the corners; one sample along the edges.
    assert farthest_mm(face.outline_mm, outline) < 0.5 * np.sqrt(2)
    between = Polygon(face.outline_mm).symmetric_difference(Polygon(outline)).area
    assert between / Polygon(outline).length < 0.3


@pytest.mark.parametrize(
    ("metal", "shadow", "slope"),
    [
        (BRASS, 0.35, 0.0),  # contact shadow
        (BRASS, 0.0, 0.35),  # light falling off across the window
        (np.array([40.0, 60.0, 120.0]), 0.2, 0.2),  # blued
        (np.array([232.0, 226.0, 214.0]) * [1.0, 0.9, 0.7], 0.2, 0.0),  # as bright as paper
    ],
)
def test_shadow_tint_and_light_do_not_move_the_edge(bench, metal, shadow, slope):
    outline = laid(18.0)
    photo = photo_of(bench, outline, metal, shadow, slope)
    face = find_face(photo, bench.face.view, 1.0, 0.02, 0.7)
    assert farthest_mm(face.outline_mm, outline) < 0.9


def test_a_plate_of_another_shape(bench):
    blank = np.array([[-20.0, -12], [16, -16], [22, 9], [-2, 17]])
    outline = laid(0.0, (43.0, 41.0), blank)
    face = find_face(photo_of(bench, outline), bench.face.view, 1.0, 0.02, 0.7)
    assert farthest_mm(face.outline_mm, outline) < 0.5 * np.sqrt(2)


def test_what_is_known_is_passed_on(bench):
    face = find_face(photo_of(bench, laid(5.0)), bench.face.view, 1.0, 0.03, 0.9)
    assert (face.thickness_mm, face.u_thickness_mm, face.blur_px) == (1.0, 0.03, 0.9)
    assert face.view is bench.face.view
    # 1000 px from 149 mm, tilted by 9 degrees: foreshortened by its cosine one way.
    assert face.scale_px_per_mm == pytest.approx(
        1000 / 149 * np.cos(np.radians(9)) ** 0.5, rel=0.01
    )


@pytest.mark.parametrize("slope", [0.0, 0.3])
def test_bare_paper_is_no_plate(bench, slope):
    with pytest.raises(PhotoError) as error:
        find_face(photo_of(bench, None, slope=slope), bench.face.view, 1.0, 0.02, 0.7)
    assert error.value.code == "no_plate"
    assert "plate" in error.value.cure


def test_a_crumb_is_no_plate(bench):
    crumb = laid(10.0, (50.0, 30.0), BLANK / 6)
    with pytest.raises(PhotoError, match="no plate"):
        find_face(photo_of(bench, crumb), bench.face.view, 1.0, 0.02, 0.7)


def test_a_crumb_beside_the_plate_is_left_out(bench):
    outline = laid(0.0, (38.0, 42.0), BLANK * 0.9)
    photo = photo_of(bench, outline)
    x, y = bench.plate_places()
    rgb = photo.rgb.copy()
    rgb[np.hypot(x - 65, y - 20) < 2] = (60, 50, 40)
    face = find_face(replace(photo, rgb=rgb), bench.face.view, 1.0, 0.02, 0.7)
    assert farthest_mm(face.outline_mm, outline) < 0.5 * np.sqrt(2)
