"""Straight pieces that stand out of the metal's own texture, over the whole plate.

Every straight line within strips of 10 and 40 mm is summed. A groove shows as one bright or
dark stroke, or as a bright and a dark one side by side, so two profiles are looked for across the
sums. What counts is not the sum but how rare it is among all sums *of the same direction* on this
plate: the parallel scratches of a brushed finish raise the bar for lines that run with them, and
only for those.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.metal import SAMPLES_PER_MM, Metal
from scribegauge.marks.radon import strip_sums

FIRST_LEVEL = 7
LAST_LEVEL = 9
# At least this share of a piece must lie on the face.
COVERED = 0.6
# One candidate by chance in ten plates if the sums were Gaussian: a plate has about 1e7 sums.
RARE = 5.6
# A groove as seen, standard deviation across it.
STROKE_MM = 0.05
# A spread from fewer sums than this is no spread.
FEWEST_SUMS = 70
# Pieces closer than this many samples and slopes are one.
NEIGHBOURS = 3


@dataclass(frozen=True, slots=True)
class Candidate:
    """A straight piece: its ends on the plate (2, 2) [mm] and its height in noise units."""

    ends_mm: NDArray[np.float64]
    score: float


def find_candidates(metal: Metal) -> tuple[Candidate, ...]:
    """Return straight pieces, clearest first."""
    found: list[tuple[float, NDArray[np.float64]]] = []
    height, width = metal.deviation.shape
    for turned in (False, True):
        for flipped in (False, True):
            deviation, mask = metal.deviation, metal.mask
            if turned:
                deviation, mask = deviation.T, mask.T
            if flipped:
                deviation, mask = deviation[::-1], mask[::-1]
            for score, ends in _pieces(deviation, mask):
                if flipped:
                    ends[:, 1] = (width if turned else height) - 1 - ends[:, 1]
                found.append((score, ends[:, ::-1] if turned else ends))
    found.sort(key=lambda piece: -piece[0])
    return tuple(Candidate(metal.plate_from_sample(ends), score) for score, ends in found)


def _pieces(
    deviation: NDArray[np.float32], mask: NDArray[np.float32]
) -> Iterator[tuple[float, NDArray[np.float64]]]:
    """Yield (score, ends in samples) of near-horizontal falling pieces."""
    width = deviation.shape[1]
    levels = min(LAST_LEVEL, int(np.log2(max(width, 2))))
    strip = 1 << levels
    pad_rows = ((strip, 0), (0, -width % strip))
    sums = strip_sums(np.pad(deviation, pad_rows), levels, FIRST_LEVEL)
    counts = strip_sums(np.pad(mask, pad_rows), levels, FIRST_LEVEL)
    for level_no, (total, count) in enumerate(zip(sums, counts, strict=True)):
        if level_no % 2:
            continue
        slopes = total.shape[1]
        usable = count > COVERED * slopes
        if not usable.any():
            continue
        level = np.asarray(total / np.sqrt(np.maximum(count, 1.0)), np.float32)
        for profile in _profiles():
            score = _rarity(_across(level, profile), usable)
            for strip_no, slope, row in zip(*_peaks(score), strict=True):
                x, y = strip_no * slopes, row - strip
                ends = np.array([[x, y], [x + slopes - 1, y + slope]], np.float64)
                yield float(score[strip_no, slope, row]), ends


def _profiles() -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Return a single stroke and a double stroke across, unit norm."""
    sigma = STROKE_MM * SAMPLES_PER_MM
    place = np.arange(-3, 4)
    single = np.exp(-0.5 * (place / sigma) ** 2)
    double = place * np.exp(-0.5 * (place / (1.3 * sigma)) ** 2)
    pair = (single / np.linalg.norm(single), double / np.linalg.norm(double))
    return pair[0].astype(np.float32), pair[1].astype(np.float32)


def _across(level: NDArray[np.float32], profile: NDArray[np.float32]) -> NDArray[np.float32]:
    """Correlate along the last axis with a short profile."""
    rows = level.reshape(-1, level.shape[-1])
    along = cv2.filter2D(rows, -1, profile[None, :], borderType=cv2.BORDER_CONSTANT)
    return np.asarray(along, np.float32).reshape(level.shape)


def _rarity(response: NDArray[np.float32], usable: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Return |response| over the spread of all responses of about the same direction."""
    size = np.abs(response)
    slopes = size.shape[1]
    groups = np.array_split(np.arange(slopes), max(1, slopes // 8))
    spread = np.ones(slopes, np.float32)
    for group in groups:
        values = size[:, group, ::3][usable[:, group, ::3]]
        # A group seen in a corner of the plate only takes its neighbour's spread below.
        spread[group] = 1.4826 * np.median(values) if values.size > FEWEST_SUMS else np.nan
    known = np.isfinite(spread) & (spread > 0)
    if not known.any():
        return np.zeros_like(response)
    spread = np.interp(np.arange(slopes), np.flatnonzero(known), spread[known]).astype(np.float32)
    size *= usable
    size /= spread[None, :, None]
    return size


def _peaks(score: NDArray[np.float32]) -> tuple[NDArray[np.intp], ...]:
    """Return indices of rare scores that no neighbour exceeds."""
    strips, slopes, rows = np.nonzero(score > RARE)
    if len(strips) == 0:
        return strips, slopes, rows
    values = score[strips, slopes, rows]
    best = np.ones(len(values), bool)
    for d_slope in range(-NEIGHBOURS, NEIGHBOURS + 1):
        for d_row in range(-NEIGHBOURS, NEIGHBOURS + 1):
            near_slope = np.clip(slopes + d_slope, 0, score.shape[1] - 1)
            near_row = np.clip(rows + d_row, 0, score.shape[2] - 1)
            best &= values >= score[strips, near_slope, near_row]
    return strips[best], slopes[best], rows[best]
