"""Radiance of facets against what the slope-space model must give."""

import numpy as np
import pytest

from scribegauge.simulate.finish import FINISHES, texture_of
from scribegauge.simulate.scene import Lamp
from scribegauge.simulate.shine import Rough, arriving, lamp_place_mm, metal_radiance, on_paper

LAMP = Lamp(azimuth_deg=0, elevation_deg=40, share=0.5, size=0.05, sky_lean=0.0)
UNDER_CAMERA = np.array([[63.0], [63.0], [0.0]])


def _radiance(slope_x, *, diffuse, lit=1.0):
    given = on_paper(UNDER_CAMERA[:2], LAMP, (), 63.0)
    camera = np.array([63.0, 63.0, -170.0])
    light = arriving(UNDER_CAMERA, camera, LAMP, given, lamp_place_mm(LAMP, 63.0))
    rough = Rough(0.05, 0.05, 0.0, diffuse)
    slope = np.atleast_1d(np.asarray(slope_x, dtype=float))
    return metal_radiance((slope, np.zeros_like(slope)), light, LAMP, rough, lit)


def test_paper_in_the_middle_gets_light_of_one():
    lamp, sky = on_paper(UNDER_CAMERA[:2], LAMP, (), 63.0)
    np.testing.assert_allclose([lamp[0], sky[0]], 0.5)


def test_a_facet_glints_where_it_halves_the_angle_to_the_lamp():
    slope = np.linspace(-1, 1, 2001)
    brightest = slope[np.argmax(_radiance(slope, diffuse=0.0))]
    np.testing.assert_allclose(brightest, -np.tan(np.radians(25)), atol=2e-3)


def test_a_hidden_facet_keeps_only_the_sky():
    np.testing.assert_allclose(_radiance(0.0, diffuse=1.0), 1.0)
    np.testing.assert_allclose(_radiance(0.0, diffuse=1.0, lit=0.0), 0.5)
    glint = -np.tan(np.radians(25))
    assert _radiance(glint, diffuse=0.0, lit=0.0)[0] < 0.2 * _radiance(glint, diffuse=0.0)[0]


@pytest.mark.parametrize("grain_deg", [0.0, 35.0])
def test_brush_strokes_slope_across_the_grain(grain_deg):
    texture = texture_of(FINISHES["brushed"], grain_deg, np.random.default_rng(1))
    cos, sin = np.cos(np.radians(grain_deg)), np.sin(np.radians(grain_deg))
    along = texture.slope_x * cos + texture.slope_y * sin
    across = texture.slope_y * cos - texture.slope_x * sin
    np.testing.assert_allclose(along, 0, atol=1e-6)
    np.testing.assert_allclose(across.std(), FINISHES["brushed"].texture_slope, rtol=1e-2)
