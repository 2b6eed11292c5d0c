"""Where the photo of the plate is blown out, and what that leaves of a line.

Where a lamp is mirrored the sensor is full: no groove shows in it, and its edge is stronger than any
groove. So that edge is levelled before lines are looked for, and a side is only as well known as the
part of it that is seen.
"""

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.metal import SAMPLES_PER_MM, Metal, in_noise_units
from scribegauge.marks.record import LineMark
from scribegauge.plate.face import Face
from scribegauge.plate.resample import resample

# Full scale less what JPEG's rounding and ringing take from a flat patch.
CLIPPED_LEVEL = 252
# A groove that glints, its burr and the blur are narrower than this; glare is wider.
GROOVE_MM = 0.4
GLARE_MM = 0.6
# A line this near is judged against the glare beside it (half-width of a strip).
BORDER_MM = 0.7
# Brightness that climbs by more than two levels within a groove's width of 0.1 mm bends enough to be
# taken for a line by whoever takes shading out; smoothed over three grooves, grooves do not.
STEEP_PER_MM, SLOPE_SMOOTH_MM, HALO_MM = 20.0, 0.3, 3.0
# What of a line may run along the edge of glare before it is that edge.
MOST_ALONG_EDGE = 0.5
# The direction of a side that is seen to less than this is not known by it; U stops growing.
LEAST_SEEN = 0.2
SAMPLES = 400
# What is nearer to the slope than this has a share in it.
CLEAR_MM = 0.2
SEED = 5

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Glare:
    """Blown-out parts of the face, on the samples of its `Metal`.

    Attributes
    ----------
    wide : ndarray, shape (H, W), bool
        Inside glare; dark grooves that show in it are inside too.
    slope : ndarray, shape (H, W), bool
        Where brightness falls off from it.
    border : ndarray, shape (H, W), bool
        Within 0.7 mm of its edge, and of the slope of brightness outside it.
    hidden : ndarray, shape (H, W), bool
        Nothing but full scale across a groove's width.
    share : float
        Of the face that lies inside glare.
    """

    wide: Mask
    slope: Mask
    border: Mask
    hidden: Mask
    share: float


def find_glare(grey: NDArray[np.uint8], face: Face, metal: Metal) -> Glare:
    """Find where the face is blown out over more than a groove's width.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    """
    full = np.asarray(np.where(grey >= CLIPPED_LEVEL, 255, 0), np.uint8)
    clipped = np.asarray(resample(full, face, metal.grid) > 127, np.uint8)  # noqa: PLR2004 - half
    closed = cv2.morphologyEx(clipped, cv2.MORPH_CLOSE, _disc(GROOVE_MM))
    wide = cv2.morphologyEx(np.asarray(closed), cv2.MORPH_OPEN, _disc(GLARE_MM))
    around = _disc(2 * BORDER_MM)
    halo = _with_slopes(np.asarray(wide), resample(grey, face, metal.grid))
    border = (cv2.dilate(halo, around) > 0) & (cv2.erode(wide, around) == 0)
    hidden = (cv2.erode(clipped, np.ones((3, 3), np.uint8)) > 0) & (wide > 0)
    on_face = metal.mask > 0
    share = float((wide > 0)[on_face].mean()) if on_face.any() else 0.0
    slope = (halo > 0) & (wide == 0)
    return Glare(np.asarray(wide > 0), slope, np.asarray(border), np.asarray(hidden), share)


def look_past_glare(grey: NDArray[np.uint8], face: Face, metal: Metal, glare: Glare) -> Metal:
    """Return the face with glare and its edges levelled, as if there were bare even metal.

    What lies outside and inside of it is judged apart, each against its own brightness and texture.
    Even metal is noise of unit spread: were it zero, the rest would stand out as rare.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
        As it looks with the glare.
    glare : Glare
    """
    if not glare.wide.any():
        return metal
    picture = resample(grey, face, metal.grid)
    near = cv2.dilate(np.asarray(glare.wide | glare.slope, np.uint8), _disc(2 * CLEAR_MM)) > 0
    parts = (~near, glare.wide & ~glare.border)
    levelled = np.random.default_rng(SEED).normal(0.0, 1.0, near.shape) * metal.mask
    for part in parts:
        deviation = in_noise_units(picture, np.asarray(part * metal.mask, np.float32))
        shown = part & ~glare.border & ~glare.hidden
        levelled[shown] = deviation[shown]
    return replace(metal, deviation=levelled.astype(np.float32))


def is_glare_edge(line: LineMark, metal: Metal, glare: Glare) -> bool:
    """Tell whether what was traced is the edge of glare."""
    return bool(_along(metal, glare.border, line.ends_mm).mean() > MOST_ALONG_EDGE)


def hidden_share(metal: Metal, glare: Glare, side_mm: NDArray[np.float64]) -> float:
    """Return which share of a side (2, 2) [mm] cannot be seen for glare."""
    return float(_along(metal, glare.hidden | glare.border, side_mm).mean())


def seen_past(line: LineMark, metal: Metal, glare: Glare, side_mm: NDArray[np.float64]) -> LineMark:
    """Return a side's line, as uncertain as the part of it that glare leaves.

    A part q of a line knows its direction q times as well, and places at the side's middle by as
    much worse as that lies away from the part's own. Dark lines that show in glare have lost their
    bright wall, and may be off by as much as the doubtful half of a groove.

    Parameters
    ----------
    line : LineMark
        As measured between the side's corners.
    metal : Metal
    glare : Glare
    side_mm : ndarray, shape (2, 2), float64
        The corners.
    """
    lost = _along(metal, glare.hidden | glare.border, side_mm)
    one_walled = _along(metal, glare.wide, side_mm) & ~lost
    if not lost.any() and not one_walled.any():
        return line
    at = np.linspace(-1.0, 1.0, SAMPLES)[~lost]
    seen = max(float(np.std(at) * np.sqrt(3)) if at.size else 0.0, LEAST_SEEN)
    aside = abs(float(at.mean())) if at.size else 0.0
    turn_mm = line.u_optics_turn_mm / seen
    walls = 1.0 + float(one_walled.mean())
    return replace(
        line,
        covariance=line.covariance / seen,
        u_optics_mm=float(np.hypot(line.u_optics_mm * walls, turn_mm * aside)),
        u_optics_turn_mm=turn_mm,
    )


def _with_slopes(wide: NDArray[np.uint8], picture: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Add to glare the slope on which brightness falls off from it: steep enough to look like lines."""
    if not wide.any():
        return wide
    smooth = cv2.GaussianBlur(picture, (0, 0), SLOPE_SMOOTH_MM * SAMPLES_PER_MM)
    down, right = np.gradient(smooth)
    steep = np.hypot(down, right) * SAMPLES_PER_MM > STEEP_PER_MM
    near = cv2.dilate(wide, _disc(2 * HALO_MM)) > 0
    _, labels = cv2.connectedComponents(np.asarray((steep & near) | (wide > 0), np.uint8))
    return np.asarray(np.isin(labels, np.unique(labels[wide > 0])), np.uint8)


def _along(metal: Metal, where: Mask, ends_mm: NDArray[np.float64]) -> Mask:
    """Look a mask up at 400 places from end to end; False beyond the face's samples."""
    path = ends_mm[0] + np.linspace(0.0, 1.0, SAMPLES)[:, None] * (ends_mm[1] - ends_mm[0])
    at = np.rint((path - metal.grid.origin_mm) / metal.grid.step_u_mm).astype(np.intp)
    rows, columns = where.shape
    there = (at >= 0).all(axis=1) & (at[:, 0] < columns) & (at[:, 1] < rows)
    found = np.zeros(SAMPLES, np.bool_)
    found[there] = where[at[there, 1], at[there, 0]]
    return found


def _disc(width_mm: float) -> NDArray[np.uint8]:
    size = 2 * round(width_mm * SAMPLES_PER_MM / 2) + 1
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)), np.uint8)
