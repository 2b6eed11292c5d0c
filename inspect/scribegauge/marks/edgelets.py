"""Short straight pieces of whatever is drawn on the plate, with their direction."""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.metal import SAMPLES_PER_MM, Metal
from scribegauge.marks.radon import strip_sums

# Across a piece, standard deviation of a stroke as seen.
STROKE_MM = 0.05
# Pieces of 16 and of 32 samples.
LEVELS = (4, 5)
# So many standard deviations above the sums of the same direction: a hundred by chance per plate,
# which no circle gathers.
CLEAR = 4.6
MOST = 500
# Pieces closer than this many samples across are one.
APART = 3
# The spread is known well enough from every so manieth row.
THIN = 5


@dataclass(frozen=True, slots=True)
class Edgelets:
    """Short pieces.

    Attributes
    ----------
    places_mm : ndarray, shape (N, 2), float64
        Their middles, plate frame.
    along : ndarray, shape (N, 2), float64
        Unit vectors of their directions.
    clear : ndarray, shape (N,), float64
        Height over the noise.
    length_mm : float
    """

    places_mm: NDArray[np.float64]
    along: NDArray[np.float64]
    clear: NDArray[np.float64]
    length_mm: float

    def pick(self, which: NDArray[np.bool_] | NDArray[np.intp]) -> "Edgelets":
        """Return some of them."""
        return Edgelets(self.places_mm[which], self.along[which], self.clear[which], self.length_mm)


def find_edgelets(metal: Metal) -> tuple[Edgelets, Edgelets]:
    """Find short and long pieces that stand out, clearest first.

    Parameters
    ----------
    metal : Metal

    Returns
    -------
    tuple of Edgelets
        Pieces of 1.3 mm, for tight circles, and of 2.7 mm.
    """
    found: list[list[tuple[NDArray[np.float64], NDArray[np.float64]]]] = [[], []]
    inside = _well_inside(metal.mask)
    for turned in (False, True):
        deviation, mask = metal.deviation, inside
        if turned:
            deviation, mask = np.ascontiguousarray(deviation.T), mask.T
        strokes = _strokes(deviation)
        for flipped in (False, True):
            if flipped:
                strokes, mask = (strokes[0][::-1], strokes[1][::-1]), mask[::-1]
            for size, (ends, heights) in zip(found, _pieces(strokes, mask), strict=True):
                if flipped:
                    ends[:, :, 1] = mask.shape[0] - 1 - ends[:, :, 1]
                size.append((ends[:, :, ::-1] if turned else ends, heights))
    short, long = (
        _gather(metal, size, 1 << level) for size, level in zip(found, LEVELS, strict=True)
    )
    return short, long


def _gather(
    metal: Metal, parts: list[tuple[NDArray[np.float64], NDArray[np.float64]]], length: int
) -> Edgelets:
    """Put pieces of all directions together and onto the plate."""
    ends = np.concatenate([part[0] for part in parts])
    heights = np.concatenate([part[1] for part in parts])
    order = np.argsort(-heights, kind="stable")[:MOST]
    ends, heights = ends[order], heights[order]
    steps = ends[:, 1] - ends[:, 0]
    along = steps / np.hypot(steps[:, 0], steps[:, 1])[:, None]
    middles = metal.plate_from_sample(ends.mean(axis=1))
    return Edgelets(middles, along, heights, length / SAMPLES_PER_MM)


def _well_inside(mask: NDArray[np.float32]) -> NDArray[np.bool_]:
    """Tell which samples have half a short piece of face on all sides."""
    reach = 1 << (LEVELS[0] - 1)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    eroded = np.asarray(cv2.erode(np.pad(mask, reach), disc))
    return np.asarray(eroded[reach:-reach, reach:-reach] > 0)


def _pieces(
    strokes: tuple[NDArray[np.float32], NDArray[np.float32]], mask: NDArray[np.bool_]
) -> Iterator[tuple[NDArray[np.float64], NDArray[np.float64]]]:
    """Yield ends (N, 2, 2) in samples and heights (N,) of near-horizontal falling pieces."""
    longest = 1 << LEVELS[1]
    pad = ((longest, 0), (0, -mask.shape[1] % longest))
    usable = np.pad(mask, pad)
    single, double = (strip_sums(np.pad(picture, pad), LEVELS[1], LEVELS[0]) for picture in strokes)
    for one, two in zip(single, double, strict=True):
        length = one.shape[1]
        # Bright, dark or side by side: the energy of the pair is blind to the difference.
        energy = np.sqrt(one**2 + two**2)
        open_rows = np.ascontiguousarray(usable[:, length // 2 :: length].T)
        best, slope_of = _best_slopes(energy, open_rows)
        strips, rows = np.nonzero(_is_peak(best) & (best > CLEAR) & open_rows)
        slopes = slope_of[strips, rows]
        x, y = strips * length, rows - slopes // 2 - longest
        ends = [np.column_stack([x, y]), np.column_stack([x + length - 1, y + slopes])]
        yield np.stack(ends, axis=1).astype(np.float64), best[strips, rows].astype(np.float64)


def _best_slopes(
    energy: NDArray[np.float32], open_rows: NDArray[np.bool_]
) -> tuple[NDArray[np.float32], NDArray[np.intp]]:
    """Return the largest height over all slopes at each strip's middle, and that slope."""
    strips, rows = open_rows.shape
    best = np.zeros((strips, rows), np.float32)
    slope_of = np.zeros((strips, rows), np.intp)
    thin = open_rows[:, ::THIN]
    for slope in range(energy.shape[1]):
        # The row where the piece crosses the strip's middle.
        shift = slope // 2
        row = np.zeros((strips, rows), np.float32)
        row[:, shift:] = energy[:, slope, : rows - shift]
        seen = row[:, ::THIN][thin]
        # The median of a Rayleigh distribution is 1.1774 times its deviation.
        row *= 1.1774 / max(float(np.median(seen)), 1e-6) if seen.size else 0.0
        better = row > best
        np.copyto(best, row, where=better)
        np.copyto(slope_of, slope, where=better)
    return best, slope_of


def _is_peak(best: NDArray[np.float32]) -> NDArray[np.bool_]:
    """Tell which values no neighbour in the same strip exceeds."""
    peak = np.ones(best.shape, bool)
    for shift in range(1, APART + 1):
        peak[:, shift:] &= best[:, shift:] > best[:, :-shift]
        peak[:, :-shift] &= best[:, :-shift] >= best[:, shift:]
    return peak


def _strokes(
    deviation: NDArray[np.float32],
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Compare every sample with a single and with a double stroke down its column."""
    place = np.arange(-2, 3) / (STROKE_MM * SAMPLES_PER_MM)
    single = np.exp(-0.5 * place**2)
    single -= single.mean()
    double = place * np.exp(-0.5 * (place / 1.3) ** 2)
    shapes = (shape / np.linalg.norm(shape) for shape in (single, double))
    first, second = (
        np.asarray(cv2.filter2D(deviation, cv2.CV_32F, shape[:, None]), np.float32)
        for shape in shapes
    )
    return first, second
