"""How far a line stands out from its parallels: a scribed groove stands alone.

Grinding and rolling leave structure that runs along for centimetres, as steady as a line. It is one
of many, though: so a line is also held against what its own profile is like at places on both
sides of it, in the same direction and over the same length.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtr

from scribegauge.marks.metal import Metal
from scribegauge.marks.strip import HALF_WIDTH_MM
from scribegauge.plate.face import Face
from scribegauge.plate.resample import resample, strip_grid

# Parallels are looked at this far on both sides, without the line itself and what it does to
# the metal next to it; near the plate's edge twice as far inwards.
BESIDE_MM, OWN_MM = 3.0, 0.5
STEP_ACROSS_MM = 0.05
PIECE_MM = 1.0
LIMIT = 6.0
# Parallels this far apart share no profile.
APART_MM = 0.25
# What counts of a profile: with more, each neighbour would reach over most of a hatching.
CORE_MM = 0.2
# A quarter of normally distributed numbers are smaller than this share of their deviation.
QUARTER_OF_A_NORMAL = 0.3186
# From fewer parallels nothing can be told: a plate that is hardly wider than the line's own place.
FEWEST = 10
NOTHING_TOLD = -300.0
# Share of a parallel that must lie on the face.
ON_FACE = 0.9


@dataclass(frozen=True, slots=True)
class Parallels:
    """What a line is held against.

    Attributes
    ----------
    own : float
        Mean likeness of the line's pieces to its profile.
    beside : ndarray, shape (P,)
        The same of its parallels on the face, 0.05 mm apart.
    """

    own: float
    beside: NDArray[np.float64]

    def log10_chance(self) -> float:
        """Return log10 of the chance that one of such parallels is as like as the line.

        The quarter of them that is least like gives their spread, so that other lines scribed beside
        this one, a hatching even, do not count as texture; Student's t tells how rarely so few
        parallels say so by chance. -300 where there are too few to say anything.
        """
        count = int(len(self.beside) * STEP_ACROSS_MM / APART_MM)
        if count < FEWEST:
            return NOTHING_TOLD
        spread = float(np.quantile(np.abs(self.beside), 0.25)) / QUARTER_OF_A_NORMAL + 1e-9
        chance = stdtr(count - 1, -self.own / spread)
        return float(np.log10(max(chance, 1e-300)))


def look_beside(
    grey: NDArray[np.uint8], face: Face, metal: Metal, ends_mm: NDArray[np.float64]
) -> Parallels:
    """Compare a line with its parallels.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
        Its mask says where the face is.
    ends_mm : ndarray, shape (2, 2), float64
        On the line's middle.
    """
    step = 1 / face.scale_px_per_mm
    whole = _on_face(metal, ends_mm, _places(BESIDE_MM)).mean() > ON_FACE
    reach = BESIDE_MM if whole else 2 * BESIDE_MM
    grid = strip_grid(ends_mm[0], ends_mm[1], reach + HALF_WIDTH_MM, step, STEP_ACROSS_MM)
    raw = resample(grey, face, grid)
    pieces = _pieces(raw, max(4, int(grid.columns * step / PIECE_MM)))
    core = 2 * round(CORE_MM / STEP_ACROSS_MM) + 1
    flank = round((HALF_WIDTH_MM - CORE_MM) / STEP_ACROSS_MM)
    windows = np.lib.stride_tricks.sliding_window_view(pieces, core + 2 * flank, axis=1)
    # Medians, so that a line in a neighbour's flank does not count for that neighbour.
    sides = [np.median(part, axis=-1) for part in (windows[..., :flank], windows[..., -flank:])]
    profiles = windows[..., flank : flank + core] - (sides[0] + sides[1])[..., None] / 2
    likeness = _likeness(profiles)
    places = _places(len(likeness) // 2 * STEP_ACROSS_MM)
    apart = (np.abs(places) > OWN_MM) & _on_face(metal, ends_mm, places)
    return Parallels(float(likeness[len(likeness) // 2]), likeness[apart])


def _places(reach_mm: float) -> NDArray[np.float64]:
    """Return places across a line, 0.05 mm apart."""
    count = round(reach_mm / STEP_ACROSS_MM)
    return np.asarray(np.arange(-count, count + 1) * STEP_ACROSS_MM, np.float64)


def _pieces(raw: NDArray[np.float32], count: int) -> NDArray[np.float64]:
    """Return the mean brightness across (count, V) of pieces along a strip (V, U), glints limited."""
    level = np.median(raw, axis=1, keepdims=True)
    limit = LIMIT * 1.4826 * float(np.median(np.abs(raw - level))) + 1.0
    starts = np.linspace(0, raw.shape[1], count + 1).astype(np.intp)
    limited = np.clip(raw, level - limit, level + limit)
    sums = np.add.reduceat(limited, starts[:-1], axis=1, dtype=np.float64)
    return np.asarray((sums / np.diff(starts)).T)


def _likeness(profiles: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how like the middle place's profile every place (B, P, V) is, mean over the pieces (P,).

    Every other piece is the template for the pieces between, so that noise does not resemble
    itself.
    """
    middle = profiles.shape[1] // 2
    likeness = np.empty(profiles.shape[:2])
    for half in (0, 1):
        template = np.median(profiles[1 - half :: 2, middle], axis=0)
        template /= max(float(np.linalg.norm(template)), 1e-9)
        likeness[half::2] = profiles[half::2] @ template
    # Crossing lines and pricks: one piece must not count for many.
    limit = 2 * float(np.median(np.abs(likeness[:, middle]))) + 1e-9
    return np.asarray(np.clip(likeness, -limit, limit).mean(axis=0))


def _on_face(
    metal: Metal, ends_mm: NDArray[np.float64], places_mm: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Tell which parallels (P,) of a line lie on the face."""
    step = ends_mm[1] - ends_mm[0]
    across = np.array([-step[1], step[0]]) / np.hypot(*step)
    path = ends_mm[0] + np.linspace(0.02, 0.98, 50)[:, None] * step
    points = path + places_mm[:, None, None] * across
    at = np.round((points - metal.grid.origin_mm) / metal.grid.step_u_mm).astype(np.intp)
    rows, columns = metal.mask.shape
    there = (at >= 0).all(axis=-1) & (at[..., 0] < columns) & (at[..., 1] < rows)
    on = np.zeros(there.shape, np.bool_)
    on[there] = metal.mask[at[there][:, 1], at[there][:, 0]] > 0
    return np.asarray(on.mean(axis=1) > ON_FACE)
