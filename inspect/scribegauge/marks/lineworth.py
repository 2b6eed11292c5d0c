"""How well a line was scribed: its wander, gaps, faint ends and second strokes, and what is noise."""

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from scribegauge.marks.doubled import WIDTH_DRIFT_MM2
from scribegauge.marks.groove import GrooveFit, block_profiles, fit_groove, follow
from scribegauge.marks.linefit import SHORTEST_MM, blur_mm, match_along
from scribegauge.marks.optics import STEADY_TURN, U_USUAL_WIDTH_MM
from scribegauge.marks.record import Doubled, LineMark, LineWorth
from scribegauge.marks.strip import BIN_MM, GROOVE_REACH_MM, Strip, cut_strip
from scribegauge.plate.face import Face

# Bare metal beyond the ends tells how surely the line ends there.
BEYOND_MM = 3.0
# What the walls' unequal light does to the width as seen, in parts of it, beside sampling and noise.
WALL_SHARE = 0.2
MOST_VOTE = 4.0
# A gap by chance once in a thousand lines; shorter ones are the scriber's skips and the metal's.
LN_RARE, LEAST_GAP_MM = np.log(1000.0), 1.0
# A drop of ln L by 2 bounds two standard deviations.
LN_TWO_SIGMA = 2.0
REACH_MM = 0.3
FAINT_SHARE, FAINT_BINS, LEAST_FADED_MM = 0.5, 5, 1.5
# A second stroke is told from a hand that presses harder by twice what pressing does.
# No hand strays farther along a rule, and the search goes there by small steps.
ROUNDS, FARTHEST_MM, LARGEST_STEP_MM = 8, 0.15, 0.04
FEWEST_BLOCKS, CLEAR_WIDENING, DRIFTS = 3, 4.0, 2.0
# Two strokes of which one is half as strong as the other look a tenth closer than they are.
UNLIKE = 0.1


def judge_line(grey: NDArray[np.uint8], face: Face, line: LineMark) -> LineMark:
    """Return a line with its worth; a line of less than 4 mm as it is.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
        The photo in which the line is seen best.
    face : Face
    line : LineMark
    """
    step = line.ends_mm[1] - line.ends_mm[0]
    length = float(np.hypot(*step))
    if length < SHORTEST_MM:
        return line
    more = BEYOND_MM * step / length
    strip = cut_strip(grey, face, line.ends_mm[0] - more, line.ends_mm[1] + more)
    fit = fit_groove(strip, BEYOND_MM, BEYOND_MM + length)
    edges, match, noise = match_along(strip, fit)
    wander, chance = wander_of(strip, fit)
    inside = (edges[:-1] >= BEYOND_MM) & (edges[1:] <= BEYOND_MM + length)
    level = max(float(np.median(match[inside])), noise)
    along = edges - BEYOND_MM
    worth = LineWorth(
        u_width_mm=_u_width_mm(line.width_mm, blur_mm(face)),
        wander_mm=wander,
        U_wander_mm=float(np.hypot(chance, 2 * STEADY_TURN * line.width_mm)),
        gaps_mm=_gaps(along[:-1][inside], match[inside], level, noise),
        faded_mm=_faded(strip, fit, length),
        doubled=() if line.look == "double" else _doubled(strip, fit),
        U_ends_mm=_u_ends(along, match, level, noise, length),
    )
    return replace(line, worth=worth)


def wander_of(strip: Strip, fit: GrooveFit) -> tuple[float, float]:
    """Return how far a line strays from straight, and what noise alone seldom exceeds [mm].

    Noise in one block of 2 mm says nothing about the next, a hand's wander does: the mean product
    of neighbours' offsets is the wander's mean square, whatever the noise (von Neumann's ratio: J.
    von Neumann, Ann. Math. Statist. 12 (1941) 367-395).
    """
    off, strength = _strays_mm(strip, fit)
    good = strength > FAINT_SHARE * float(np.median(strength))
    spread = 1.4826 * float(np.median(np.abs(off[good]))) + 1e-4
    off = np.clip(off, -3 * spread, 3 * spread)
    x = np.column_stack([np.ones_like(off), fit.blocks_mm - fit.middle_mm])
    off -= x @ np.linalg.lstsq(x[good], off[good], rcond=None)[0]
    return lagged(off, good)


def _strays_mm(strip: Strip, fit: GrooveFit) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return each block's offset from the straight line and its strength (B,), (B,).

    The common profile of a line that strays is too wide until its blocks are laid on each other.
    """
    v = strip.v_mm
    straight = follow(strip.scaled, strip, fit.across_mm(strip.u_mm))
    blocks = block_profiles(straight, strip.u_mm, _edges_mm(fit))
    near = np.abs(v) < GROOVE_REACH_MM
    off = np.zeros(len(blocks))
    for _ in range(ROUNDS):
        laid = np.array([np.interp(v + o, v, row) for o, row in zip(off, blocks, strict=True)])
        profile = np.median(laid, axis=0)
        slope = np.gradient(profile, v)
        model = np.column_stack([profile[near], -slope[near], np.ones(near.sum())])
        solution, *_ = np.linalg.lstsq(model, laid[:, near].T, rcond=None)
        strength = np.maximum(solution[0], 0.3)
        off = off + np.clip(solution[1] / strength, -LARGEST_STEP_MM, LARGEST_STEP_MM)
        off = np.clip(off - np.median(off), -FARTHEST_MM, FARTHEST_MM)
    return off, solution[0]


def _edges_mm(fit: GrooveFit) -> NDArray[np.float64]:
    half = float(fit.blocks_mm[1] - fit.blocks_mm[0]) / 2
    return np.append(fit.blocks_mm - half, fit.blocks_mm[-1] + half)


def lagged(off_mm: NDArray[np.float64], good: NDArray[np.bool_]) -> tuple[float, float]:
    """Return the root of the mean product of neighbours, and its 95 % limit for mere noise.

    Parameters
    ----------
    off_mm : ndarray, shape (B,), float64
        In order along the mark.
    good : ndarray, shape (B,), bool
    """
    pairs = good[1:] & good[:-1]
    products = (off_mm[1:] * off_mm[:-1])[pairs]
    if len(products) < FEWEST_BLOCKS:
        return 0.0, float(np.abs(off_mm).max(initial=0.0))
    noise = float(np.mean(np.diff(off_mm)[pairs] ** 2)) / 2
    # Noise that happens to look like wander makes its own spread look small: 99 % for 95 %.
    rare = float(stdtrit(len(products), 0.99))
    limit = np.sqrt(rare * noise / np.sqrt(len(products)))
    return float(np.sqrt(max(products.mean(), 0.0))), float(limit)


def _u_width_mm(width_mm: float, blur_mm: float) -> float:
    """Return the standard uncertainty of a width that `optics.groove_width_mm` weighed."""
    half2 = width_mm**2 + (2.355 * blur_mm) ** 2
    seen = max(half2 * 0.07 / width_mm, 0.01)
    weighed = 1 / np.hypot(1 / seen, 1 / U_USUAL_WIDTH_MM)
    return float(np.hypot(weighed, WALL_SHARE * width_mm))


def _gaps(
    along_mm: NDArray[np.float64], match: NDArray[np.float64], level: float, noise: float
) -> tuple[tuple[float, float], ...]:
    """Return stretches where the line's absence is the likelier by far.

    Each bin votes as in `linefit.find_ends`; stretches of the most negative sum, worst first.
    """
    votes = -np.clip(level * (match - level / 2) / noise**2, -MOST_VOTE, MOST_VOTE)
    gaps = []
    while len(votes):
        total = np.concatenate([[0.0], np.cumsum(votes)])
        rise = total - np.minimum.accumulate(total)
        last = int(np.argmax(rise))
        first = int(np.argmin(total[: last + 1]))
        if rise[last] < LN_RARE + np.log(len(votes)):
            break
        votes[first:last] = -MOST_VOTE
        if (last - first) * BIN_MM >= LEAST_GAP_MM:
            gaps.append((float(along_mm[first]), float(along_mm[last - 1] + BIN_MM)))
    return tuple(sorted(gaps))


def _faded(strip: Strip, fit: GrooveFit, length: float) -> tuple[float, float] | None:
    """Return how long the line is faint at either end; None where noise hides that.

    Strength is the size of the profile over 2 mm, whatever its look, noise taken off.
    """
    straight = follow(strip.grey, strip, fit.across_mm(strip.u_mm))
    border = cv2.BORDER_REPLICATE
    local = cv2.blur(straight.astype(np.float64), (FAINT_BINS, 1), borderType=border)
    power = local**2
    near = np.abs(strip.v_mm) < GROOVE_REACH_MM
    noise = float(np.median(power[~near].mean(axis=0)))
    inside = (strip.u_mm >= BEYOND_MM) & (strip.u_mm <= BEYOND_MM + length)
    strength = np.sqrt(np.maximum(power[near][:, inside].mean(axis=0) - noise, 0.0))
    level = float(np.median(strength))
    if FAINT_SHARE * level < np.sqrt(noise) or len(strength) < 2 * FAINT_BINS:
        return None
    faint = strength < FAINT_SHARE * level
    lengths = [BIN_MM * float(np.argmin(np.append(row, False))) for row in (faint, faint[::-1])]
    start, end = (size if size >= LEAST_FADED_MM else 0.0 for size in lengths)
    return start, end


def _doubled(strip: Strip, fit: GrooveFit) -> tuple[Doubled, ...]:
    """Return stretches that are wider than the line's narrower half by more than pressing does.

    Two like strokes a distance d apart widen the variance of what is seen by d²/4 (`doubled`).
    """
    shown = follow(strip.grey, strip, fit.across_mm(strip.u_mm))
    edges = _edges_mm(fit)
    variance = _variances_mm2(block_profiles(shown, strip.u_mm, edges), strip.v_mm)
    usual = float(np.percentile(variance, 25))
    below = variance[variance <= np.median(variance)]
    spread = 1.4826 * float(np.median(np.abs(np.diff(variance)))) / np.sqrt(2) + float(below.std())
    # Where the line itself is faint, its variance is the noise's.
    clear = fit.block_weights > FAINT_SHARE * float(np.median(fit.block_weights))
    wide = clear & (variance - usual > max(DRIFTS * WIDTH_DRIFT_MM2, CLEAR_WIDENING * spread))
    found = []
    for first, last in _runs(wide):
        if last - first < FEWEST_BLOCKS:
            continue
        more = float(np.median(variance[first:last])) - usual
        apart = 2 * np.sqrt(more)
        u_apart = float(np.hypot(2 * np.hypot(WIDTH_DRIFT_MM2, spread) / apart, UNLIKE * apart))
        start, end = edges[first] - BEYOND_MM, edges[last] - BEYOND_MM
        found.append(Doubled(float(start), float(end), float(apart), float(u_apart)))
    return tuple(found)


def _variances_mm2(blocks: NDArray[np.float64], v_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the variance across of what blocks (B, V) show [mm²], noise taken off."""
    beside = np.abs(v_mm) > REACH_MM
    size = np.abs(blocks - np.median(blocks[:, beside], axis=1)[:, None])
    size = np.maximum(size - 2 * size[:, beside].mean(axis=1)[:, None], 0.0) * ~beside
    total = np.maximum(size.sum(axis=1), 1e-12)
    middle = (size @ v_mm) / total
    return np.asarray(size @ v_mm**2 / total - middle**2)


def _runs(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return first and one past last of each run of true values."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(int), [0]])))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _u_ends(
    along_mm: NDArray[np.float64],
    match: NDArray[np.float64],
    level: float,
    noise: float,
    length: float,
) -> tuple[float, float]:
    """Return the expanded uncertainty of both ends by how ln L falls off beside them."""
    gain = np.clip(level * (match - level / 2) / noise**2, -MOST_VOTE, MOST_VOTE)
    total = np.concatenate([[0.0], np.cumsum(gain)])
    sizes = []
    for sign, place in ((-1.0, 0.0), (1.0, length)):
        near = np.abs(along_mm - place) <= BEYOND_MM
        score = sign * total[near]
        could = along_mm[near][score > score.max() - LN_TWO_SIGMA]
        sizes.append(max(float(np.abs(could - place).max()), BIN_MM))
    return sizes[0], sizes[1]
