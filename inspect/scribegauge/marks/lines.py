"""All straight lines on the plate, and a second look for one that was expected."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.candidates import Candidate, find_candidates
from scribegauge.marks.linefit import trace_line
from scribegauge.marks.metal import Metal
from scribegauge.marks.record import LineMark
from scribegauge.plate.face import Face

# A piece this close to a line already found, along all its length, is that line.
SAME_LINE_MM = 0.3
# Arcs give hundreds of short straight pieces: enough have been tried when this many led nowhere.
MOST_TRIES = 60


def find_lines(grey: NDArray[np.uint8], face: Face, metal: Metal) -> tuple[LineMark, ...]:
    """Find every straight line that the texture of the plate does not explain, clearest first.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    """
    found: list[LineMark] = []
    tried: list[Candidate] = []
    for candidate in find_candidates(metal):
        if any(_explains(line.ends_mm, candidate.ends_mm) for line in found):
            continue
        if any(_explains(other.ends_mm, candidate.ends_mm) for other in tried):
            continue
        if len(tried) >= MOST_TRIES:
            break
        tried.append(candidate)
        line = trace_line(grey, face, metal, candidate.ends_mm)
        if line is not None and not any(_explains(old.ends_mm, line.ends_mm) for old in found):
            found.append(line)
    return tuple(found)


def _explains(known_mm: NDArray[np.float64], piece_mm: NDArray[np.float64]) -> bool:
    """Tell whether a piece (2, 2) lies along a known line (2, 2), one groove's width apart."""
    step = known_mm[1] - known_mm[0]
    length = float(np.hypot(*step))
    along = step / length
    across = np.array([-along[1], along[0]])
    off = (piece_mm - known_mm[0]) @ across
    place = (piece_mm - known_mm[0]) @ along
    overlap = min(place.max(), length) - max(place.min(), 0.0)
    near = np.abs(off).max() < SAME_LINE_MM
    return bool(near and overlap > 0.3 * min(length, np.ptp(place)))
