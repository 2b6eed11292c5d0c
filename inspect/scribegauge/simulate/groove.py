"""Relief of scribed marks: how deep a point of the plate lies, and how its surface slopes."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.scene import Prick, Profile

Array = NDArray[np.float64]

_STEP_MM = 0.02
_WIDTH_RUN_MM, _SLOPE_RUN_MM, _TWIST_RUN_MM, _WANDER_RUN_MM = 0.6, 0.12, 0.1, 4.0
_BURR_SHARE = 0.3  # breadth of a burr over the groove's width
_TWIST = 0.05  # spread of the walls' slope along the stroke, over their slope
_ENTRY_MM = 0.25  # over which a stroke bites in and runs out
_LOST_SHARE = 0.15  # a groove thinner than this share of its width leaves no mark


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a groove varies along its course, tabled every 0.02 mm; arrays of one length."""

    half_mm: Array
    left: Array
    right: Array
    twist: Array
    wander_mm: Array
    burr_left: float
    burr_right: float

    @property
    def reach_mm(self) -> float:
        """Greatest distance from the course at which the stroke changes the plate."""
        spread = np.max(np.abs(self.wander_mm)) + np.max(self.half_mm) * (1 + 2 * _BURR_SHARE)
        return float(spread)


@dataclass(frozen=True, slots=True)
class Relief:
    """Surface at sample points; arrays of one shape.

    Attributes
    ----------
    height_mm : ndarray
        Above the flat plate; negative in a groove.
    across, along : ndarray
        Slopes dz/ds and dz/dl, up positive.
    cut : ndarray, bool
        True where the scriber took the old surface away.
    room_left, room_right : ndarray
        Distance to the rim on either side [mm]; 0 outside the groove.
    """

    height_mm: Array
    across: Array
    along: Array
    cut: NDArray[np.bool_]
    room_left: Array
    room_right: Array


def stroke_along(
    profile: Profile,
    length_mm: float,
    rng: np.random.Generator,
    *,
    fade: float = 0.0,
    breaks_mm: tuple[tuple[float, float], ...] = (),
) -> Stroke:
    """Table one stroke of a given length; its mean course is the straight one."""
    along = np.arange(0.0, length_mm + 2 * _STEP_MM, _STEP_MM)
    bite = np.clip(np.minimum(along, length_mm - along) / _ENTRY_MM, 0.0, 1.0) ** 0.5
    bite *= 1.0 - fade * (along / length_mm)
    for begin, end in breaks_mm:
        bite[(along > begin) & (along < end)] = 0.0
    width = 1.0 + profile.width_noise * _wave(rng, along, _WIDTH_RUN_MM)
    bite[bite < _LOST_SHARE] = 0.0
    slopes = [
        np.maximum(0.1, slope + profile.slope_noise * _wave(rng, along, _SLOPE_RUN_MM))
        for slope in (profile.slope_left, profile.slope_right)
    ]
    wander = _wave(rng, along, _WANDER_RUN_MM)
    wander -= np.polyval(np.polyfit(along, wander, 1), along)
    return Stroke(
        half_mm=0.5 * profile.width_mm * bite * np.maximum(width, 0.0),
        left=slopes[0],
        right=slopes[1],
        twist=_TWIST * _wave(rng, along, _TWIST_RUN_MM),
        wander_mm=profile.wander_mm * wander,
        burr_left=profile.burr_left,
        burr_right=profile.burr_right,
    )


def groove_relief(along_mm: Array, across_mm: Array, stroke: Stroke) -> Relief:
    """Return the relief of a V groove.

    The walls meet where both reach one depth, so unequal slopes move the bottom of the V but
    not its rims: the mark's true place is midway between the rims.

    Parameters
    ----------
    along_mm, across_mm : ndarray, one shape
        Place along the stroke's course, and to its right.
    stroke : Stroke
    """
    inside = (along_mm >= 0) & (along_mm <= (len(stroke.half_mm) - 2) * _STEP_MM)
    index = np.clip(along_mm / _STEP_MM + 0.5, 0, len(stroke.half_mm) - 1).astype(np.int64)
    half = np.where(inside, stroke.half_mm[index], 0.0)
    left, right = stroke.left[index], stroke.right[index]
    s = across_mm - stroke.wander_mm[index]
    bottom = half * (right - left) / (right + left)
    cut = np.abs(s) < half
    on_left = s < bottom
    room_left, room_right = (np.where(cut, half + side, 0.0) for side in (s, -s))
    height = -np.where(on_left, room_left * left, room_right * right)
    slope = np.where(on_left, -left, right)
    burr_height, burr_slope = _burr(s, half, stroke)
    return Relief(
        height_mm=np.where(cut, height, burr_height),
        across=np.where(cut, slope, burr_slope),
        along=np.where(cut, stroke.twist[index] * slope, 0.0),
        cut=cut,
        room_left=room_left,
        room_right=room_right,
    )


def prick_relief(from_centre_mm: Array, prick: Prick) -> Relief:
    """Return the relief of a conical pit by distance from its centre; slopes are radial."""
    radius = prick.diameter_mm / 2
    cut = from_centre_mm < radius
    beyond = (from_centre_mm - radius) / (_BURR_SHARE * radius)
    ridge, slope = _ridge(beyond, prick.burr, _BURR_SHARE * radius)
    room = np.where(cut, radius - from_centre_mm, 0.0)
    return Relief(
        height_mm=np.where(cut, -room * prick.slope, ridge),
        across=np.where(cut, prick.slope, slope),
        along=np.zeros_like(from_centre_mm),
        cut=cut,
        room_left=room,
        room_right=room,
    )


def lit_in_groove(relief: Relief, lamp_across: Array, lamp_up: Array) -> NDArray[np.bool_]:
    """Tell which points of a groove the lamp reaches past the rim on its side.

    Parameters
    ----------
    relief : Relief
    lamp_across, lamp_up : ndarray
        Direction to the lamp, across the stroke (right positive) and up from the plate.
    """
    room = np.where(lamp_across > 0, relief.room_right, relief.room_left)
    lit: NDArray[np.bool_] = -relief.height_mm * np.abs(lamp_across) <= room * lamp_up
    return lit | ~relief.cut


def _burr(s: Array, half: Array, stroke: Stroke) -> tuple[Array, Array]:
    side = np.sign(s)
    steep = np.where(side < 0, stroke.burr_left, stroke.burr_right)
    breadth = np.maximum(2 * _BURR_SHARE * half, 1e-9)
    height, slope = _ridge((np.abs(s) - half) / breadth, steep, breadth)
    return height, slope * side


def _ridge(beyond: Array, steep: Array | float, breadth: Array | float) -> tuple[Array, Array]:
    """Raise a ridge with its crest midway; `beyond` runs from 0 at the rim to 1 at its foot."""
    on = (beyond >= 0) & (beyond < 1) & (np.asarray(breadth) > 1e-6)  # noqa: PLR2004 - no burr
    height = np.where(on, steep * breadth * (0.5 - np.abs(beyond - 0.5)), 0.0)
    slope = np.where(on, np.where(beyond < 0.5, steep, -np.asarray(steep)), 0.0)  # noqa: PLR2004
    return height, slope


def _wave(rng: np.random.Generator, along: Array, run_mm: float) -> Array:
    """Smooth noise of unit spread whose values are forgotten after about `run_mm`."""
    knots = np.arange(0.0, along[-1] + 2 * run_mm, run_mm)
    values = rng.normal(scale=np.sqrt(1.5), size=len(knots))  # interpolation damps by 2/3
    return np.interp(along, knots, values)
