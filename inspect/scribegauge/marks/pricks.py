"""All pricks on the plate, and a closer look where one was expected."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.markpath import Mark, on_marks
from scribegauge.marks.metal import Metal
from scribegauge.marks.pitfit import (
    EVEN,
    UNEVEN,
    PitFit,
    cut_patch,
    fit_pit,
    strokes_near,
)
from scribegauge.marks.pitshape import NARROWEST_MM, WIDEST_MM, PitTable, tabulate_pits
from scribegauge.marks.pitspots import Spot, find_spots
from scribegauge.marks.record import PrickMark
from scribegauge.plate.face import Face

# Expected number of pricks by chance on a whole plate.
LOG10_NFA_LIMIT = -3.5
# Where pricks are expected, fewer places are looked at: one false prick in a hundred plates.
LOG10_NEAR_LIMIT = -2.0
REACH_MM = 0.8
# The target's edges are blurred by lens and ink, the plate by the lens alone.
LENS_SHARE = 0.8
# A prick farther than this from its spot is something else.
FARTHEST_MM = 0.2
SAME_PRICK_MM = 0.3
# Models farther apart than this share of the radius do not see the same pit.
LARGEST_DOUBT = 0.6
# Fewer noise units than this and the pit is no clearer than the texture.
CLEAR = 2.0
# A dark half and a bright half side by side each look like a pit: the whole is looked for from all
# sides of the stronger half.
STARTS_MM = 0.07 * np.array([[0.0, 0.0], [1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])
# What the optics leave when both models of a pit agree, as a share of its radius. With it 40 pricks
# in computed photos are 25 µm RMS off per axis, 0.88 of the stated uncertainty; 30 in photos
# computed afterwards are 23 µm off, 0.81 of it.
OPTICS_SHARE = 0.16
# A glint or speck of dust has the blur's own width.
WIDER_THAN_LIMIT = 1.05


def find_pricks(
    grey: NDArray[np.uint8],
    face: Face,
    metal: Metal,
    marks: tuple[Mark, ...],
    near_mm: NDArray[np.float64] | None = None,
) -> tuple[PrickMark, ...]:
    """Find pricks that texture, lines and their crossings do not explain, clearest first.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    marks : tuple of LineMark or ArcMark
        Found before; pricks usually lie where they cross.
    near_mm : ndarray, shape (K, 2), float64, or None
        Where pricks were expected, within 0.8 mm, plate frame: fainter ones are taken there and
        marked as hinted.

    Returns
    -------
    tuple of PrickMark
    """
    spots = find_spots(grey, face, metal, marks)
    table = tabulate_pits(LENS_SHARE * face.blur_px / face.scale_px_per_mm)
    looks = [(spot, False) for spot in spots if spot.log10_nfa < LOG10_NFA_LIMIT]
    if near_mm is not None:
        looks += [(spot, True) for spot in _expected(spots, metal, marks, near_mm)]
    found: list[PrickMark] = []
    for spot, hinted in looks:
        if _near_any(spot.centre_mm, found):
            continue
        prick = measure_prick(grey, face, marks, spot.centre_mm, table)
        if prick is not None and not _near_any(prick.centre_mm, found):
            found.append(replace(prick, hinted=hinted))
    return tuple(found)


def measure_prick(
    grey: NDArray[np.uint8],
    face: Face,
    marks: tuple[Mark, ...],
    rough_mm: NDArray[np.float64],
    table: PitTable,
) -> PrickMark | None:
    """Measure the prick at a place good to 0.1 mm; None when no pit fits there.

    Two models are fitted, one evenly dark or bright and one lit from a side. They err to opposite
    sides, so the rim's middle is taken midway and their distance says how far to trust it.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    marks : tuple of LineMark or ArcMark
    rough_mm : ndarray, shape (2,), float64
    table : PitTable
        For the photo's blur on the plate.
    """
    patch = cut_patch(grey, face, rough_mm)
    strokes = strokes_near(patch, marks, LENS_SHARE * face.blur_px / face.scale_px_per_mm)
    even = fit_pit(patch, strokes, table, EVEN, np.zeros(2))
    if not _is_a_pit(even):
        return None
    starts = even.centre_mm + STARTS_MM
    lit = [fit_pit(patch, strokes, table, UNEVEN, start) for start in starts]
    uneven = min(lit, key=lambda fit: fit.left)
    centre = (even.centre_mm + uneven.centre_mm) / 2
    apart = float(np.hypot(*(even.centre_mm - uneven.centre_mm))) / 2
    if float(np.hypot(*centre)) > FARTHEST_MM or apart > LARGEST_DOUBT * even.radius_mm:
        return None
    noise = float(np.trace(even.covariance)) / 2
    optics = OPTICS_SHARE * even.radius_mm
    return PrickMark(
        centre_mm=rough_mm + centre,
        u_mm=float(np.sqrt(noise + optics**2 + apart**2 / 2)),
        diameter_mm=2 * even.radius_mm,
        contrast=even.depth / even.noise,
        hinted=False,
    )


def _expected(
    spots: tuple[Spot, ...],
    metal: Metal,
    marks: tuple[Mark, ...],
    near_mm: NDArray[np.float64],
) -> list[Spot]:
    """Return the clearest spot near each expected place, if it is clear enough for so few places.

    Where lines as bright or as dark as the spot meet, the meeting itself looks like one: there
    a hint is worth nothing.
    """
    plate_mm2 = max(float(metal.mask.sum()) * metal.grid.step_u_mm**2, 1e-9)
    share = min(len(near_mm) * np.pi * REACH_MM**2 / plate_mm2, 1.0)
    chosen = []
    for place in near_mm:
        for spot in spots:
            if spot.log10_nfa + np.log10(share) > LOG10_NEAR_LIMIT:
                break
            if np.hypot(*(place - spot.centre_mm)) < REACH_MM:
                if not _like_marks(spot, marks):
                    chosen.append(spot)
                break
    return chosen


def _like_marks(spot: Spot, marks: tuple[Mark, ...]) -> bool:
    """Tell whether two lines or arcs of the spot's own brightness pass it."""
    alike = ("double", "bright" if spot.bright else "dark")
    same = [mark for mark in marks if mark.look in alike]
    passing = (on_marks((mark,), spot.centre_mm[None], SAME_PRICK_MM)[0] for mark in same)
    return sum(map(int, passing)) > 1


def _is_a_pit(fit: PitFit) -> bool:
    size = NARROWEST_MM * WIDER_THAN_LIMIT < fit.radius_mm < WIDEST_MM / WIDER_THAN_LIMIT
    return size and abs(fit.depth) > CLEAR * fit.noise


def _near_any(place_mm: NDArray[np.float64], found: list[PrickMark]) -> bool:
    return any(np.hypot(*(old.centre_mm - place_mm)) < SAME_PRICK_MM for old in found)
