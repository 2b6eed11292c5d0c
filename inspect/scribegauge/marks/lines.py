"""All straight lines on the plate, and which candidates are worth following."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.candidates import Candidate, find_candidates
from scribegauge.marks.linefit import trace_line
from scribegauge.marks.metal import SAMPLES_PER_MM, Metal
from scribegauge.marks.record import LineMark
from scribegauge.plate.face import Face

# A piece this close to a line already found, along all its length, is that line.
SAME_LINE_MM = 0.3
# So many that led nowhere, one after the other and clearest first: what follows is fainter still.
MOST_IN_VAIN = 12
# A found line is cut out this wide: the widest groove, its burr and the blur.
CUT_MM = 0.5
# What of a piece's clearness must be left when the lines found are cut out, or it was theirs: a
# piece that crosses a clear line at a small angle stands out by that line alone.
OWN_SHARE = 0.6
ACROSS_MM = 0.3
# Flanks reach 0.7 mm to the side; what a strong line does to them is a small part of itself.
BAND_MM, BAND_SHARE = 0.8, 0.2


def find_lines(grey: NDArray[np.uint8], face: Face, metal: Metal) -> tuple[LineMark, ...]:
    """Find every straight line that the texture of the plate does not explain, clearest first.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    """
    found: list[LineMark] = []
    failed: list[Candidate] = []
    left = metal.deviation.copy()
    in_vain = 0
    for candidate in find_candidates(metal):
        if in_vain >= MOST_IN_VAIN:
            break
        known = [line.ends_mm for line in found] + [other.ends_mm for other in failed]
        if any(_explains(ends, candidate.ends_mm) for ends in known):
            continue
        if _own_share(metal, left, candidate.ends_mm) < OWN_SHARE:
            continue
        line = trace_line(grey, face, metal, candidate.ends_mm)
        if line is None or is_echo(line, found):
            failed.append(candidate)
            in_vain += 1
            continue
        in_vain = 0
        found.append(line)
        _cut_out(metal, left, line.ends_mm)
    return tuple(found)


def is_echo(line: LineMark, known: Sequence[LineMark]) -> bool:
    """Tell whether a line is a known one again, or a faint band beside a much stronger one.

    The metal beside a strong line is judged against flanks that it darkens or brightens.
    """
    return any(
        _explains(old.ends_mm, line.ends_mm)
        or (
            abs(line.contrast) < BAND_SHARE * abs(old.contrast)
            and _explains(old.ends_mm, line.ends_mm, BAND_MM)
        )
        for old in known
    )


def _explains(
    known_mm: NDArray[np.float64], piece_mm: NDArray[np.float64], within_mm: float = SAME_LINE_MM
) -> bool:
    """Tell whether a piece (2, 2) lies along a known line (2, 2), this close to it."""
    step = known_mm[1] - known_mm[0]
    length = float(np.hypot(*step))
    along = step / length
    across = np.array([-along[1], along[0]])
    off = (piece_mm - known_mm[0]) @ across
    place = (piece_mm - known_mm[0]) @ along
    overlap = min(place.max(), length) - max(place.min(), 0.0)
    near = np.abs(off).max() < within_mm
    return bool(near and overlap > 0.3 * min(length, np.ptp(place)))


def _own_share(metal: Metal, left: NDArray[np.float32], piece_mm: NDArray[np.float64]) -> float:
    """Return which share of a piece's mean profile is left when the lines found are cut out."""
    ends = (piece_mm - metal.grid.origin_mm) / metal.grid.step_u_mm
    step = ends[1] - ends[0]
    count = max(2, int(np.hypot(*step)))
    across = np.array([-step[1], step[0]]) / np.hypot(*step)
    reach = np.arange(-round(ACROSS_MM * SAMPLES_PER_MM), round(ACROSS_MM * SAMPLES_PER_MM) + 1)
    path = ends[0] + np.linspace(0.0, 1.0, count)[:, None] * step
    places = np.round(path[None] + reach[:, None, None] * across).astype(int)
    rows, columns = metal.deviation.shape
    x, y = np.clip(places[..., 0], 0, columns - 1), np.clip(places[..., 1], 0, rows - 1)
    before = np.abs(metal.deviation[y, x].mean(axis=1)).max()
    after = np.abs(left[y, x].mean(axis=1)).max()
    return float(after / max(float(before), 1e-9))


def _cut_out(metal: Metal, left: NDArray[np.float32], ends_mm: NDArray[np.float64]) -> None:
    """Blank a line in a copy of the metal."""
    ends = np.round((ends_mm - metal.grid.origin_mm) / metal.grid.step_u_mm).astype(int)
    start, end = (tuple(int(value) for value in point) for point in ends)
    cv2.line(left, start, end, 0.0, round(CUT_MM * SAMPLES_PER_MM))
