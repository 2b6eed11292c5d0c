"""One prick at a place: which model of a pit fits it, where its rim's middle is, how clear it is."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.lamp import Lamp
from scribegauge.marks.markpath import Mark
from scribegauge.marks.pitfit import (
    EVEN,
    LIT,
    UNEVEN,
    Patch,
    PitFit,
    cut_patch,
    fit_pit,
    left_without_pit,
    strokes_near,
    turned,
)
from scribegauge.marks.pitshape import NARROWEST_MM, WIDEST_MM, PitTable, tabulate_pits
from scribegauge.marks.record import PrickMark
from scribegauge.plate.face import Face

# The target's edges are blurred by lens and ink, the plate by the lens alone.
LENS_SHARE = 0.8
# A prick farther than this from its spot is something else.
FARTHEST_MM = 0.2
# Models farther apart than this share of the radius do not see the same pit.
LARGEST_DOUBT = 0.6
# Fewer noise units than this and the pit is no clearer than the texture.
CLEAR = 2.0
# A dark half and a bright half side by side each look like a pit: the whole is looked for from all
# sides of the stronger half.
STARTS_MM = 0.07 * np.array([[0.0, 0.0], [1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])
AHEAD_MM = STARTS_MM[:3]
# What the optics leave when an even and an uneven model of a pit agree, as a share of its radius.
# With it 40 pricks in computed photos are 25 µm RMS off per axis, 0.88 of the stated uncertainty.
OPTICS_SHARE = 0.16
# Where the lamp is known the pit's lit half is the one away from it. What is fitted then still
# leans that way by a quarter of the radius, and 0.14 of it are left per axis: the same 43 pricks,
# each photo with the lean of the others.
LIT_LEAN, LIT_SHARE = 0.25, 0.14
HERE = np.zeros((1, 2))
# The light's direction counts when it is as sure as two standard uncertainties.
SURE_LAMP = 2.0
# A glint or speck of dust has the blur's own width.
WIDER_THAN_LIMIT = 1.05


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What a prick is measured against.

    Attributes
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    marks : tuple of LineMark or ArcMark
    table : PitTable
        For the photo's blur on the plate.
    away : ndarray, shape (2,), float64, or None
        Unit vector away from the light in the plate frame, where that is sure.
    """

    grey: NDArray[np.uint8]
    face: Face
    marks: tuple[Mark, ...]
    table: PitTable
    away: NDArray[np.float64] | None


@dataclass(frozen=True, slots=True)
class Placed:
    """A prick, and how much less its pit leaves unexplained than strokes alone (a ratio)."""

    prick: PrickMark
    gain: float


def surroundings(
    grey: NDArray[np.uint8], face: Face, marks: tuple[Mark, ...], lamp: Lamp | None
) -> Surroundings:
    """Gather what all pricks of a photo are measured against.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    marks : tuple of LineMark or ArcMark
    lamp : Lamp or None
    """
    away = None
    if lamp is not None:
        strength = float(np.hypot(*lamp.fall))
        if strength > SURE_LAMP * lamp.u_fall:
            away = lamp.fall / strength
    return Surroundings(grey, face, marks, tabulate_pits(_blur_mm(face)), away)


def place_prick(
    around: Surroundings, rough_mm: NDArray[np.float64], steps_mm: NDArray[np.float64] = HERE
) -> Placed | None:
    """Measure the prick at a place good to 0.1 mm; None when no pit fits there.

    Without a known lamp two models are fitted, one evenly dark or bright and one lit from a side.
    They err to opposite sides, so the rim's middle is taken midway and their distance says how far
    to trust it. With one, the pit's lit half is the one away from it.

    Parameters
    ----------
    around : Surroundings
    rough_mm : ndarray, shape (2,), float64
    steps_mm : ndarray, shape (S, 2), float64
        Where else to begin, from the rough place; the beginning that explains most is kept.
    """
    patch = cut_patch(around.grey, around.face, rough_mm)
    strokes = strokes_near(patch, around.marks, _blur_mm(around.face))
    evens = [fit_pit(patch, strokes, around.table, EVEN, step) for step in steps_mm]
    even = min(evens, key=lambda fit: fit.left)
    if not _is_a_pit(even):
        return None
    found = _lit(around, patch, strokes, even) or _midway(around, patch, strokes, even)
    farthest = FARTHEST_MM + float(np.hypot(*steps_mm.T).max())
    if found is None or float(np.hypot(*found[0])) > farthest:
        return None
    centre, u_optics, left = found
    noise = float(np.trace(even.covariance)) / 2
    prick = PrickMark(
        centre_mm=rough_mm + centre,
        u_mm=float(np.hypot(np.sqrt(noise), u_optics)),
        diameter_mm=2 * even.radius_mm,
        contrast=even.depth / even.noise,
        hinted=False,
    )
    return Placed(prick, left_without_pit(patch, strokes) / max(left, 1e-9))


_Found = tuple[NDArray[np.float64], float, float]


def _midway(
    around: Surroundings, patch: Patch, strokes: NDArray[np.float64], even: PitFit
) -> _Found | None:
    """Return centre, its uncertainty by the optics and what is left, by two models."""
    lit = [fit_pit(patch, strokes, around.table, UNEVEN, even.centre_mm + s) for s in STARTS_MM]
    uneven = min(lit, key=lambda fit: fit.left)
    apart = float(np.hypot(*(even.centre_mm - uneven.centre_mm))) / 2
    if apart > LARGEST_DOUBT * even.radius_mm:
        return None
    u_optics = float(np.hypot(OPTICS_SHARE * even.radius_mm, apart / np.sqrt(2)))
    return (even.centre_mm + uneven.centre_mm) / 2, u_optics, min(even.left, uneven.left)


def _lit(
    around: Surroundings, patch: Patch, strokes: NDArray[np.float64], even: PitFit
) -> _Found | None:
    """Return the same by the model of a pit under a known lamp; None where that does not fit."""
    if around.away is None:
        return None
    across = np.array([-around.away[1], around.away[0]])
    to_plate = np.column_stack([around.away, across])
    start = even.centre_mm @ to_plate
    ahead = turned(patch, around.away)
    fits = [fit_pit(ahead, strokes, around.table, LIT, start + step) for step in AHEAD_MM]
    fits = [fit for fit in fits if fit.side > 0]
    if not fits:
        return None
    best = min(fits, key=lambda fit: fit.left)
    centre = to_plate @ best.centre_mm - LIT_LEAN * even.radius_mm * around.away
    return centre, LIT_SHARE * even.radius_mm, min(even.left, best.left)


def _is_a_pit(fit: PitFit) -> bool:
    size = NARROWEST_MM * WIDER_THAN_LIMIT < fit.radius_mm < WIDEST_MM / WIDER_THAN_LIMIT
    return size and abs(fit.depth) > CLEAR * fit.noise


def _blur_mm(face: Face) -> float:
    return LENS_SHARE * face.blur_px / face.scale_px_per_mm
