"""Where one line's middle runs within its strip, from what its whole length shows.

A groove is two walls; what is seen of it (bright, dark, or both) is the same along a straight
stroke as long as the light is, so the stroke's own mean profile is the best template for it: each
2 mm block is compared with the mean of all, the blocks' offsets give direction and wander, and the
profile's middle gives the place.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.doubled import Widening, find_widening
from scribegauge.marks.spread import spread
from scribegauge.marks.strip import GROOVE_REACH_MM, Strip

BLOCK_MM = 2.0
# No hand scribes 0.1 mm of wander within 2 mm along a rule.
FARTHEST_STEP_MM = 0.06
CORE_MM = 0.3
ROUNDS = 5
# How far from the rough place the line is looked for, and the width of one as seen.
START_REACH_MM = 0.3
STROKE_MM = 0.12
# What counts for a profile's middle: the widest groove, its burr and the blur.
MIDDLE_REACH_MM = 0.2
# A block that shows less than this of the common profile says nothing about its place.
FAINTEST = 0.2
# Rows of 0.02 mm that share a pixel, and so their noise, at some 20 px/mm.
ROWS_TOGETHER = 2.5


@dataclass(frozen=True, slots=True)
class GrooveFit:
    """A straight line within a strip.

    Attributes
    ----------
    offset_mm : float
        Across, at `middle_mm` along.
    slope : float
        Change of the offset per millimetre along.
    middle_mm : float
        Along the strip.
    profile : ndarray, shape (V,)
        Mean profile in noise units, centred on the line.
    blocks_mm, block_offsets_mm, block_weights : ndarray, shape (B,)
        Place along, remaining offset and weight of each block.
    covariance : ndarray, shape (2, 2)
        Of (offset, slope), from the scatter of the blocks.
    other_slope : float
        Slope by the blocks' own middles instead of the common template: the two differ where the
        line's look changes along it.
    widening : Widening
        How far a second stroke may have moved the line.
    """

    offset_mm: float
    slope: float
    middle_mm: float
    profile: NDArray[np.float64]
    blocks_mm: NDArray[np.float64]
    block_offsets_mm: NDArray[np.float64]
    block_weights: NDArray[np.float64]
    covariance: NDArray[np.float64]
    other_slope: float
    widening: Widening

    def across_mm(self, along_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the line's offset at places along the strip."""
        return self.offset_mm + self.slope * (along_mm - self.middle_mm)


def fit_groove(strip: Strip, first_mm: float, last_mm: float) -> GrooveFit:
    """Fit a straight line to the part of the strip between two places along it.

    Parameters
    ----------
    strip : Strip
    first_mm, last_mm : float
        Along the strip; at least 3 mm apart.
    """
    scaled, u, v = strip.scaled, strip.u_mm, strip.v_mm
    middle = (first_mm + last_mm) / 2
    count = max(4, int((last_mm - first_mm) / BLOCK_MM))
    edges = np.linspace(first_mm, last_mm, count + 1)
    places = (edges[1:] + edges[:-1]) / 2
    offset, slope = _strongest(block_profiles(scaled, u, edges), v), 0.0
    weights = np.ones(count)
    for round_no in range(ROUNDS):
        straight = follow(scaled, strip, offset + slope * (u - middle))
        blocks = block_profiles(straight, u, edges)
        profile = np.median(blocks, axis=0) if round_no == 0 else weights @ blocks / weights.sum()
        profile = _centred(profile - np.median(profile[np.abs(v) > GROOVE_REACH_MM]), v)
        steps, weights = _block_offsets(blocks, profile, v)
        (by, turn), covariance, kept = _robust_line(places - middle, steps, weights)
        offset += by
        slope += turn
    # Limited brightness would look wide where the line is strong.
    shown = follow(strip.grey, strip, offset + slope * (u - middle))
    covariance[0, 0] += _u_middle_mm(profile, v) ** 2
    own = middle_of(blocks, v)
    (_, more), _, _ = _robust_line(places - middle, own, weights)
    return GrooveFit(
        offset_mm=float(offset),
        slope=float(slope),
        middle_mm=middle,
        profile=profile,
        blocks_mm=places,
        block_offsets_mm=steps,
        block_weights=kept,
        covariance=covariance,
        other_slope=float(slope + more - turn),
        widening=find_widening(block_profiles(shown, u, edges), v, kept),
    )


def _strongest(blocks: NDArray[np.float64], v_mm: NDArray[np.float64]) -> float:
    """Return where across the mean profile deviates most, within reach.

    From there the place is found by linear steps, good for half a groove's width only.
    """
    profile = np.median(blocks, axis=0)
    profile = profile - np.median(profile[np.abs(v_mm) > GROOVE_REACH_MM])
    width = max(1, round(STROKE_MM / float(v_mm[1] - v_mm[0])))
    energy = np.convolve(profile**2, np.ones(width) / width, mode="same")
    energy = np.where(np.abs(v_mm) < START_REACH_MM, energy, 0.0)
    # A strong line is cut off at the limit: the middle of the plateau, not its first sample.
    return float(v_mm[energy >= 0.98 * energy.max()].mean())


def follow(
    picture: NDArray[np.float32], strip: Strip, across_mm: NDArray[np.float64]
) -> NDArray[np.float32]:
    """Shift each column of a strip picture (V, U) so that the given path (U,) becomes row 0 mm."""
    step = strip.v_mm[1] - strip.v_mm[0]
    rows = (strip.v_mm[:, None] + across_mm[None, :] - strip.v_mm[0]) / step
    columns = np.broadcast_to(np.arange(picture.shape[1], dtype=np.float32), rows.shape)
    shifted = cv2.remap(
        picture,
        np.ascontiguousarray(columns),
        rows.astype(np.float32),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return np.asarray(shifted, np.float32)


def block_profiles(
    straight: NDArray[np.float32], u_mm: NDArray[np.float64], edges_mm: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the mean profile (B, V) of each block along the strip."""
    at = np.clip(np.searchsorted(u_mm, edges_mm), 0, len(u_mm))
    counts = np.diff(at)
    # An empty block takes the bin it starts at, as `reduceat` does.
    starts = np.minimum(at[:-1], at[-1] - 1)
    sums = np.add.reduceat(straight[:, : at[-1]], starts, axis=1, dtype=np.float64)
    return np.asarray((sums / np.maximum(counts, 1)).T)


def middle_of(profiles: NDArray[np.float64], v_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the middle of profiles (..., V): the centroid of their absolute deviation."""
    weight = np.where(np.abs(v_mm) < MIDDLE_REACH_MM, np.abs(profiles), 0.0)
    return np.asarray((weight @ v_mm) / np.maximum(weight.sum(axis=-1), 1e-9))


def _u_middle_mm(profile: NDArray[np.float64], v_mm: NDArray[np.float64]) -> float:
    """Return the standard uncertainty of a profile's middle from the noise beside the line."""
    near = np.abs(v_mm) < MIDDLE_REACH_MM
    noise = float(profile[np.abs(v_mm) > GROOVE_REACH_MM].std())
    weight = max(float(np.abs(profile[near]).sum()), 1e-9)
    return noise * float(np.sqrt(ROWS_TOGETHER * (v_mm[near] ** 2).sum())) / weight


def _centred(profile: NDArray[np.float64], v_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Shift a profile so that its middle lies at zero."""
    return np.interp(v_mm + middle_of(profile, v_mm), v_mm, profile)


def _block_offsets(
    blocks: NDArray[np.float64], profile: NDArray[np.float64], v_mm: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return each block's offset from the profile and its amplitude as a weight (B,), (B,).

    Linear least squares of ``block = A (profile - d profile') + const`` near the line.
    """
    near = np.abs(v_mm) < CORE_MM
    slope = np.gradient(profile, v_mm[1] - v_mm[0])
    model = np.column_stack([profile[near], -slope[near], np.ones(near.sum())])
    solution, *_ = np.linalg.lstsq(model, blocks[:, near].T, rcond=None)
    amplitude, moment = solution[0], solution[1]
    usable = amplitude > FAINTEST
    steps = np.where(usable, moment / np.where(usable, amplitude, 1.0), 0.0)
    steps = np.clip(steps, -FARTHEST_STEP_MM, FARTHEST_STEP_MM)
    return steps, np.clip(np.where(usable, amplitude, 0.0), 0.05, 1.5)


def _robust_line(
    x_mm: NDArray[np.float64], y_mm: NDArray[np.float64], amplitude: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Fit y = a + b x by re-weighting; return (a, b), their covariance and the final weights.

    Cauchy weights: P. J. Huber, Robust Statistics (1981), section 7.
    """
    base = amplitude**2
    weights = base
    for _ in range(ROUNDS):
        # The two-by-two normal equations, written out: this runs some hundred times for a plate.
        w, wx = float(weights.sum()), float(weights @ x_mm)
        wxx, wy, wxy = (
            float(weights @ x_mm**2),
            float(weights @ y_mm),
            float(weights @ (x_mm * y_mm)),
        )
        determinant = w * wxx - wx * wx
        place, slope = (wxx * wy - wx * wxy) / determinant, (w * wxy - wx * wy) / determinant
        rest = y_mm - place - slope * x_mm
        scale = spread(rest) + 1e-4
        weights = base / (1 + (rest / (2 * scale)) ** 2)
    count = len(x_mm)
    variance = float(weights @ rest**2 / weights.sum()) * count / max(count - 2, 1)
    inverse = np.array([[wxx, -wx], [-wx, w]]) / determinant
    covariance = inverse * float(weights.sum()) / count * variance
    return np.array([place, slope]), covariance, np.asarray(weights)
