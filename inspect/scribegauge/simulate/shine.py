"""How bright a piece of metal looks by its slope: a lamp, a broad light, dim surroundings.

Everything is done in slope space: a facet mirrors light from direction l to the eye at v when its
slope equals that of the half vector l + v. Micro-roughness and the size of a light each spread
that slope as a Gaussian, so one Gaussian per light says how bright a facet is.

References
----------
P. Beckmann, A. Spizzichino, "The scattering of electromagnetic waves from rough surfaces" (1963).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.scene import Lamp, Shadow

Array = NDArray[np.float64]

_SKY_PEAK = 1.25  # an even sky that gives white paper radiance 1 is itself about this bright
_SURROUNDINGS = 0.07  # what a wall mirrors where neither lamp nor sky is


@dataclass(frozen=True, slots=True)
class Rough:
    """Spread of micro-facet slopes along and across the grain, and the grain's direction.

    `diffuse` is the part of the light given back in all directions.
    """

    along: float
    across: float
    grain_rad: float
    diffuse: float


@dataclass(frozen=True, slots=True)
class Arriving:
    """Light at points of the plate; arrays of one shape, or one that broadcasts with it.

    Attributes
    ----------
    to_lamp : tuple of ndarray
        Unit vector to the lamp: x, y of the frame in use, and up.
    lamp_slope, sky_slope : tuple of ndarray
        Slope of a facet that mirrors the middle of lamp and sky to the camera.
    lamp_peak : ndarray
        Lamp radiance seen in a facet, per unit of slope density.
    lamp, sky : ndarray
        What each gives a flat paper, shadows included.
    """

    to_lamp: tuple[Array, Array, Array]
    lamp_slope: tuple[Array, Array]
    sky_slope: tuple[Array, Array]
    lamp_peak: Array
    lamp: Array
    sky: Array


def lamp_place_mm(lamp: Lamp, middle_mm: float) -> Array:
    """Return the lamp's place in the target frame, shape (3,) [mm]."""
    azimuth, height = math.radians(lamp.azimuth_deg), math.radians(lamp.elevation_deg)
    flat = math.cos(height) * lamp.distance_mm
    return np.array(
        [
            middle_mm + flat * math.cos(azimuth),
            middle_mm + flat * math.sin(azimuth),
            -math.sin(height) * lamp.distance_mm,
        ]
    )


def on_paper(
    points_mm: Array, lamp: Lamp, shadows: tuple[Shadow, ...], middle_mm: float
) -> tuple[Array, Array]:
    """Return what lamp and sky give a flat surface; their sum is 1 in the target's middle.

    Parameters
    ----------
    points_mm : ndarray, shape (2, ...)
        Target frame.
    lamp : Lamp
    shadows : tuple of Shadow
    middle_mm : float
        Half the side of the board.
    """
    here = lamp_place_mm(lamp, middle_mm)
    dx, dy = here[0] - points_mm[0], here[1] - points_mm[1]
    near = (dx * dx + dy * dy + here[2] ** 2) / lamp.distance_mm**2
    left = np.ones_like(dx)
    for shadow in shadows:
        left = left * _left_by(shadow, points_mm)
    return lamp.share / (near * np.sqrt(near)) * left, (1.0 - lamp.share) * left


def arriving(
    points_mm: Array, camera_mm: Array, lamp: Lamp, given: tuple[Array, Array], place: Array
) -> Arriving:
    """Work out the light at points of a level surface.

    Parameters
    ----------
    points_mm : ndarray, shape (3, ...)
        In any frame with z down into the table.
    camera_mm, place : ndarray, shape (3,)
        Camera and lamp in that frame.
    lamp : Lamp
    given : two ndarray
        From `on_paper`.
    """
    shape = (3,) + (1,) * (points_mm.ndim - 1)
    to_lamp, to_eye = (_unit(where.reshape(shape) - points_mm) for where in (place, camera_mm))
    half = _unit(to_lamp + to_eye)
    tilted = to_eye[:2] / to_eye[2] / 2  # a level mirror that is seen aslant shows a tilted sky
    side = to_lamp[:2] / (np.hypot(to_lamp[0], to_lamp[1]) + 1e-9)
    sky = tilted - lamp.sky_lean * side
    return Arriving(
        to_lamp=(to_lamp[0], to_lamp[1], -to_lamp[2]),
        lamp_slope=(half[0] / half[2], half[1] / half[2]),
        sky_slope=(sky[0], sky[1]),
        lamp_peak=given[0] * (math.pi / 4) / (half[2] ** 4 * -to_lamp[2]),
        lamp=given[0],
        sky=given[1],
    )


def metal_radiance(
    slope: tuple[Array, Array], light: Arriving, lamp: Lamp, rough: Rough, lit: Array | float = 1.0
) -> Array:
    """Return the radiance of facets of perfectly white metal, paper being about 1.

    Parameters
    ----------
    slope : two ndarray
        dz/dx and dz/dy of the facets, up positive.
    light : Arriving
    lamp : Lamp
    rough : Rough
    lit : ndarray or float
        1 where the lamp is not hidden by the other wall.
    """
    gx, gy = slope
    lamp_q = _spread(gx - light.lamp_slope[0], gy - light.lamp_slope[1], rough, lamp.size)
    sky_q = _spread(gx - light.sky_slope[0], gy - light.sky_slope[1], rough, lamp.sky_spread)
    lx, ly, lz = light.to_lamp
    facing = np.maximum(lz - gx * lx - gy * ly, 0.0) / np.sqrt(1.0 + gx * gx + gy * gy)
    even = light.lamp * lit * facing / lz + light.sky / np.sqrt(1.0 + gx * gx + gy * gy)
    damped = lamp.sky_spread**2 / math.hypot(rough.along, lamp.sky_spread)
    damped /= math.hypot(rough.across, lamp.sky_spread)
    mirrored = light.lamp_peak * lit * lamp_q[0] / (2 * math.pi * lamp_q[1])
    mirrored = mirrored + light.sky * _SKY_PEAK * damped * sky_q[0] + _SURROUNDINGS
    radiance: Array = rough.diffuse * even + (1.0 - rough.diffuse) * mirrored
    return radiance


def _spread(dx: Array, dy: Array, rough: Rough, size: float) -> tuple[Array, float]:
    cos, sin = math.cos(rough.grain_rad), math.sin(rough.grain_rad)
    var_along, var_across = rough.along**2 + size**2, rough.across**2 + size**2
    along, across = cos * dx + sin * dy, cos * dy - sin * dx
    density = np.exp(-0.5 * (along * along / var_along + across * across / var_across))
    return density, math.sqrt(var_along * var_across)


def _left_by(shadow: Shadow, points_mm: Array) -> Array:
    towards = math.radians(shadow.towards_deg)
    depth = (points_mm[0] - shadow.through_mm[0]) * math.cos(towards)
    depth = depth + (points_mm[1] - shadow.through_mm[1]) * math.sin(towards)
    shade = 0.5 + 0.5 * np.tanh(depth / shadow.softness_mm)
    left: Array = 1.0 - (1.0 - shadow.left) * shade
    return left


def _unit(vector: Array) -> Array:
    length: Array = vector / np.sqrt(np.sum(vector * vector, axis=0))
    return length
