"""The groove as a shape, and where its brightness lies under a lamp from either side."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.simulate.groove import groove_relief, lit_in_groove, prick_relief, stroke_along
from scribegauge.simulate.pinhole import pose_towards
from scribegauge.simulate.render import radiance_of
from scribegauge.simulate.scene import (
    CameraModel,
    Lamp,
    PaperModel,
    PlateModel,
    Prick,
    Profile,
    Scene,
    ScribedLine,
)

SMOOTH = Profile(width_noise=0, slope_noise=0, wander_mm=0, burr_right=0)
CLOSE_UP = CameraModel(
    size_px=(160, 120), f_px=2400, centre_px=(79.5, 59.5), dist=(0, 0, 0, 0, 0), blur_px=0.6
)


def _stroke(profile, length_mm=20.0):
    return stroke_along(profile, length_mm, np.random.default_rng(3))


def _close_up(azimuth_deg, finish="matte"):
    """A groove along y, in the middle of the picture, seen straight from above."""
    profile = replace(SMOOTH, width_mm=0.1, slope_left=0.6, slope_right=0.6)
    plate = PlateModel(
        outline_mm=((-12, -12), (12, -12), (12, 12), (-12, 12)),
        thickness_mm=1.0,
        finish=finish,
        lines=(ScribedLine("side 0", (0.0, -8.0), (0.0, 8.0), profile),),
    )
    return Scene(
        plate=plate,
        plate_origin_mm=(42.0, 42.0),
        plate_turn_deg=0.0,
        paper=PaperModel(size="S"),
        lamp=Lamp(azimuth_deg=azimuth_deg, elevation_deg=30, share=0.5, sky_lean=0.1),
        camera=CLOSE_UP,
        pose=pose_towards((42, 42), distance_mm=170, tilt_deg=0, azimuth_deg=0, roll_deg=0),
    )


def _across(scene):
    """Mean deviation from the metal across the groove, by column of the picture."""
    grey = radiance_of(scene, 5)[40:80].mean(axis=(0, 2)).astype(np.float64)
    place = np.arange(160) - 79.5
    metal = np.abs(place) > 4
    return place, np.where(metal, 0.0, grey - grey[metal & (np.abs(place) < 20)].mean())


def test_walls_have_the_asked_slopes_and_meet_at_one_depth():
    stroke = _stroke(replace(SMOOTH, width_mm=0.1, slope_left=0.5, slope_right=1.0))
    s = np.linspace(-0.08, 0.08, 801)
    relief = groove_relief(np.full_like(s, 10.0), s, stroke)
    assert set(np.round(relief.across, 9)) == {-0.5, 0.0, 1.0}
    np.testing.assert_allclose(np.gradient(relief.height_mm, s)[300], -0.5, atol=1e-6)
    np.testing.assert_allclose(relief.height_mm.min(), -0.1 / 3, atol=2e-4)
    assert np.all(relief.cut == (np.abs(s) < 0.05))


def test_a_burr_stands_beside_its_own_rim_only():
    stroke = _stroke(replace(SMOOTH, width_mm=0.1, burr_left=0.4))
    s = np.linspace(-0.1, 0.1, 401)
    height = groove_relief(np.full_like(s, 10.0), s, stroke).height_mm
    assert height[s < -0.05].max() > 0.004
    assert height[s > 0.05].max() == 0


def test_walls_waver_along_the_stroke():
    along = np.linspace(1, 19, 900)
    relief = groove_relief(along, np.full_like(along, 0.01), _stroke(Profile()))
    np.testing.assert_allclose(relief.across.std(), Profile().slope_noise, rtol=0.3)
    assert 0.01 < relief.along.std() < 0.1


def test_fade_and_break_take_the_groove_away():
    stroke = stroke_along(
        SMOOTH, 20.0, np.random.default_rng(0), fade=0.6, breaks_mm=((8.0, 10.0),)
    )
    along = np.array([1.0, 9.0, 18.0])
    depth = -groove_relief(along, np.zeros(3), stroke).height_mm
    assert depth[1] == 0
    np.testing.assert_allclose(depth[2] / depth[0], (1 - 0.54) / (1 - 0.03), rtol=0.02)


def test_the_mean_course_is_the_straight_one():
    wander = _stroke(replace(SMOOTH, wander_mm=0.01), 50.0).wander_mm
    assert 0.003 < wander.std() < 0.03
    np.testing.assert_allclose(np.polyfit(np.arange(len(wander)), wander, 1), 0, atol=1e-12)


def test_a_low_lamp_leaves_the_bottom_dark():
    stroke = _stroke(replace(SMOOTH, width_mm=0.1, slope_left=0.8, slope_right=0.8))
    s = np.array([-0.045, -0.005, 0.045])
    relief = groove_relief(np.full_like(s, 10.0), s, stroke)
    low, high = (
        lit_in_groove(relief, np.full(3, np.cos(e)), np.full(3, np.sin(e))) for e in (0.3, 1.3)
    )
    assert low.tolist() == [True, False, False]
    assert high.all()


def test_a_prick_is_a_cone_with_a_rim():
    distance = np.array([0.0, 0.05, 0.099, 0.11, 0.2])
    relief = prick_relief(distance, Prick("p", (0, 0), diameter_mm=0.2, slope=0.9, burr=0.3))
    np.testing.assert_allclose(relief.height_mm[:2], [-0.09, -0.045])
    assert relief.height_mm[3] > 0
    assert relief.height_mm[4] == 0
    assert relief.cut.tolist() == [True, True, True, False, False]


def test_the_wall_that_faces_the_lamp_is_bright_and_the_other_dark():
    place, change = _across(_close_up(azimuth_deg=0))
    assert change[place < 0].max() > 0.1
    assert change[place > 0].min() < -0.05


@pytest.mark.parametrize("finish", ["matte", "lacquer"])
def test_what_is_seen_moves_to_the_other_side_with_the_lamp(finish):
    shift = []
    for azimuth_deg in (0, 180):
        place, change = _across(_close_up(azimuth_deg, finish))
        shift.append(np.sum(np.abs(change) * place) / np.sum(np.abs(change)))
    assert shift[0] < -0.05
    np.testing.assert_allclose(shift[1], -shift[0], atol=0.05, err_msg="px")


def test_an_even_light_shows_the_groove_where_it_is():
    scene = _close_up(0)
    scene = replace(scene, lamp=replace(scene.lamp, share=0.0, sky_lean=0.0))
    place, change = _across(scene)
    assert change.min() < -0.05
    np.testing.assert_allclose(np.sum(change * place) / np.sum(change), 0, atol=0.03)
