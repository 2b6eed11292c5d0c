"""A second, closer look for one line near a place where it was expected."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.groove import block_profiles
from scribegauge.marks.linefit import blur_mm, trace_line
from scribegauge.marks.metal import Metal
from scribegauge.marks.record import LineMark
from scribegauge.marks.strip import cut_strip
from scribegauge.plate.face import Face

# How far aside and how much turned the line may be: what the placement of a figure allows.
REACH_MM = 1.0
TURN_MM = 0.7
BLOCK_MM = 1.0
# Within the reach about this many straight lines can be told apart.
LOG10_PLACES = 3.3
# Gaussian chance 3e-7 each, times the places: one false line in a thousand looks.
CLEAR = 5.0
# Long scratches along the side give several strokes that are much alike: one must stand out from
# what lies this far and the blur beside it.
APART_MM, ALIKE_MM, STANDS_OUT = 0.25, 0.1, 1.3
# What tracing may move a line from where it was seen, and how much of it must be traced.
STRAY_MM = 0.3
LEAST_COVERED = 0.5
STROKES_MM = (0.035, 0.06)


def seek_line(
    grey: NDArray[np.uint8], face: Face, metal: Metal, rough_mm: NDArray[np.float64]
) -> LineMark | None:
    """Look for a line near two points that may be off by a millimetre.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    rough_mm : ndarray, shape (2, 2), float64
        Where its ends were expected, plate frame.

    Returns
    -------
    LineMark or None
        None when nothing there is clearer than the texture beside it.
    """
    strip = cut_strip(grey, face, rough_mm[0], rough_mm[1], REACH_MM + 0.5)
    length = float(strip.u_mm[-1])
    edges = np.linspace(0.0, length, max(4, int(length / BLOCK_MM)) + 1)
    blocks = block_profiles(strip.scaled, strip.u_mm, edges)
    # Lines that cross and pricks at the ends are strong and short: none may outvote the rest.
    limit = 8 * float(np.median(np.abs(blocks)))
    blocks = np.clip(blocks, -limit, limit)
    lever = np.linspace(-1.0, 1.0, len(blocks))
    turns = np.arange(-TURN_MM, TURN_MM + 0.01, 0.02)
    v = strip.v_mm
    means = np.stack([_mean_along(blocks, v, turn * lever) for turn in turns])
    best, rival = (0.0, 0.0, 0.0), 0.0
    for profile in _profiles(float(v[1] - v[0])):
        response = np.apply_along_axis(np.convolve, 1, means, profile, mode="same")
        inside = np.abs(v) < REACH_MM
        spread = 1.4826 * float(np.median(np.abs(response[:, inside]))) + 1e-6
        height = np.where(inside, np.abs(response), 0.0) / spread
        turn, row = np.unravel_index(int(np.argmax(height)), height.shape)
        apart = np.abs(v - v[row]) > APART_MM + 2 * blur_mm(face)
        if height[turn, row] > best[0]:
            best = (float(height[turn, row]), float(turns[turn]), float(v[row]))
            # Turned the same way: a line's own partial crossings are no rivals.
            alike = np.abs(turns - turns[turn]) < ALIKE_MM
            rival = float(height[np.ix_(alike, apart)].max(initial=0.0))
    clearness, turn_mm, off_mm = best
    if clearness < max(CLEAR, STANDS_OUT * rival):
        return None
    step = rough_mm[1] - rough_mm[0]
    across = np.array([-step[1], step[0]]) / np.hypot(*step)
    ends = rough_mm + np.array([off_mm - turn_mm, off_mm + turn_mm])[:, None] * across
    line = trace_line(grey, face, metal, ends, LOG10_PLACES)
    return line if line is not None and _is_there(line, ends) else None


def _is_there(line: LineMark, ends_mm: NDArray[np.float64]) -> bool:
    """Tell whether a traced line is still the one that was seen, and most of its length."""
    step = ends_mm[1] - ends_mm[0]
    length = float(np.hypot(*step))
    along = step / length
    off = (line.ends_mm - ends_mm[0]) @ np.array([-along[1], along[0]])
    place = np.sort((line.ends_mm - ends_mm[0]) @ along)
    covered = min(place[1], length) - max(place[0], 0.0)
    return bool(np.abs(off).max() < STRAY_MM and covered > LEAST_COVERED * length)


def _mean_along(
    blocks: NDArray[np.float64], v_mm: NDArray[np.float64], path_mm: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the mean profile along a path (B,) through the blocks (B, V)."""
    step = v_mm[1] - v_mm[0]
    shift = np.round(path_mm / step).astype(int)
    rows = np.clip(np.arange(len(v_mm)) + shift[:, None], 0, len(v_mm) - 1)
    return np.asarray(np.take_along_axis(blocks, rows, axis=1).mean(axis=0))


def _profiles(step_mm: float) -> tuple[NDArray[np.float64], ...]:
    """Return single and double strokes of two widths, unit norm."""
    place = np.arange(-12, 13) * step_mm
    shapes = []
    for sigma in STROKES_MM:
        single = np.exp(-0.5 * (place / sigma) ** 2)
        single -= single.mean()
        shapes += [single, place * np.exp(-0.5 * (place / sigma) ** 2)]
    return tuple(shape / np.linalg.norm(shape) for shape in shapes)
