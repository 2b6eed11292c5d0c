"""Spots that stand out from every direction around: where a prick may be."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.markpath import Mark, on_marks
from scribegauge.marks.metal import SAMPLES_PER_MM, Metal
from scribegauge.plate.face import Face
from scribegauge.plate.resample import resample

# The rings a spot is compared with: just outside small and large pricks with their blur.
RINGS_MM = (0.29, 0.42)
SMOOTH_MM = 0.08
SHADING_MM = 1.0
FINE_MM = 0.25
TEXTURE_MM = 2.5
# Shares of the spots, ranked, between which the tail is taken to fall exponentially. Fewer spots
# than the first may be pricks.
TAIL = (0.005, 0.05)
FEWEST_IN_TAIL = 40
APART = 7
# A groove with its blur, its burr and a spot's own width.
ON_A_MARK_MM = 0.3
# Grooves that nobody found are not among the known marks, but glitter like them: a spot off all
# known marks must be so many times as rare, counted in powers of ten.
DOUBT = 3.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A spot: place on the plate (2,) [mm], and log10 of how many as clear come by chance."""

    centre_mm: NDArray[np.float64]
    bright: bool
    log10_nfa: float


def find_spots(
    grey: NDArray[np.uint8], face: Face, metal: Metal, marks: tuple[Mark, ...]
) -> tuple[Spot, ...]:
    """Return dark and bright spots, clearest first.

    A spot counts by how much darker it is than the darkest place on a ring around it (or brighter
    than the brightest): lines cross the ring, so neither they nor their crossings count. How
    often that happens by chance is read from the plate itself: the heights of its thousands of
    small spots fall off exponentially, and the tail is carried on to the height in question.
    Grooves glitter, so a spot off all known marks is held against the spots off them, any other
    against all.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
        Its grid and mask are used; its deviations are limited and would level pricks with lines.
    marks : tuple of LineMark or ArcMark
        Known so far.
    """
    picture = resample(grey, face, metal.grid)
    flat = picture - _blur(picture, SHADING_MM)
    texture = _blur(np.minimum(np.abs(flat - _blur(flat, FINE_MM)), 20) * metal.mask, TEXTURE_MM)
    texture /= np.maximum(_blur(metal.mask, TEXTURE_MM), 0.01)
    smooth = _blur(flat, SMOOTH_MM)
    found: list[Spot] = []
    for sign in (1, -1):
        above = _above_ring((sign * smooth).astype(np.float32)) / np.maximum(texture, 0.5)
        height = np.where(metal.mask > 0, above, 0.0).astype(np.float32)
        rows, columns = _peaks(height)
        heights = height[rows, columns]
        places = metal.plate_from_sample(np.column_stack([columns, rows]))
        log10_nfa = _log10_by_chance(heights)
        off = ~on_marks(marks, places, ON_A_MARK_MM)
        log10_nfa[off] = np.minimum(log10_nfa[off], _log10_by_chance(heights[off]) / DOUBT)
        found += [
            Spot(place, sign > 0, float(chance))
            for place, chance in zip(places, log10_nfa, strict=True)
        ]
    return tuple(sorted(found, key=lambda spot: spot.log10_nfa))


def _above_ring(picture: NDArray[np.float32]) -> NDArray[np.float32]:
    """Return by how much each sample exceeds the brightest sample on a ring around it."""
    best = np.zeros_like(picture)
    for radius_mm in RINGS_MM:
        brightest = cv2.dilate(picture, _ring(radius_mm * SAMPLES_PER_MM))
        best = np.maximum(best, picture - np.asarray(brightest, np.float32))
    return best


def _ring(radius: float) -> NDArray[np.uint8]:
    reach = int(np.ceil(radius + 0.5))
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    on = np.abs(np.hypot(x, y) - radius) <= 0.5  # noqa: PLR2004 - one sample wide
    return np.asarray(on, np.uint8)


def _peaks(height: NDArray[np.float32]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return rows and columns of the highest samples of their surroundings."""
    highest = cv2.dilate(height, np.ones((APART, APART), np.uint8))
    rows, columns = np.nonzero((height > 0) & (height >= highest))
    return rows, columns


def _log10_by_chance(heights: NDArray[np.float32]) -> NDArray[np.float64]:
    """Return log10 of the expected number of chance spots at least as high as each (N,)."""
    ranked = np.sort(heights.astype(np.float64))[::-1]
    count = len(ranked)
    first = max(int(TAIL[0] * count), min(FEWEST_IN_TAIL, count // 4))
    last = min(max(int(TAIL[1] * count), 4 * first), count - 1)
    if first < 1 or last <= first:
        return np.full(count, np.log10(max(count, 1)))
    fall = max((ranked[first] - ranked[last]) / np.log(last / first), 1e-6)
    return np.asarray(np.log10(first) - (heights - ranked[first]) / (fall * np.log(10)))


def _blur(picture: NDArray[np.float32], sigma_mm: float) -> NDArray[np.float32]:
    """Blur widely at the cost of a narrow blur, by shrinking first where nothing is lost."""
    sigma = sigma_mm * SAMPLES_PER_MM
    shrink = max(1, int(sigma / 4))
    if shrink == 1:
        return np.asarray(cv2.GaussianBlur(picture, (0, 0), sigma), np.float32)
    size = (max(1, picture.shape[1] // shrink), max(1, picture.shape[0] // shrink))
    small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), sigma / shrink)
    return np.asarray(
        cv2.resize(small, picture.shape[::-1], interpolation=cv2.INTER_LINEAR), np.float32
    )
