"""From a rough circle to measured arcs: follow it, fit it, find where it begins and ends."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.arcstrip import GROOVE_REACH_MM, ArcStrip
from scribegauge.marks.circlefit import CircleFit, fit_circle

BLOCK_MM = 1.0
# A look is steady over a few millimetres of arc.
LOOK_MM = 3.0
STROKE_MM = 0.05
# A stroke this much clearer than the metal beside it is seen.
SEEN = 3.3
# Evidence of one block: at most so much for, so much against; texture alone loses on average.
MOST_FOR, MOST_AGAINST = 6.0, 2.0
CHANCE = 5.0
LOOK_BLOCKS = 2
MOST_VOTE = 4.0
NEAR_MM = 0.1
BESIDE_MM = (-0.6, -0.5, 0.5, 0.6)
HALF = 0.5
WIDE_MM, CORE_MM = 0.3, 0.14


@dataclass(frozen=True, slots=True)
class ArcBlocks:
    """A ring in blocks of a millimetre.

    Attributes
    ----------
    angle_rad : ndarray, shape (B,)
        Of the blocks' middles.
    profiles : ndarray, shape (B, V)
        Mean profile of each block, 0 where nothing is open.
    share : ndarray, shape (B,)
        Open share of each block near the circle.
    clear : ndarray, shape (B,)
        Height of the stroke near the circle over that of texture beside it.
    clear_beside : ndarray, shape (K, B)
        The same for circles a little smaller and larger.
    """

    angle_rad: NDArray[np.float64]
    profiles: NDArray[np.float64]
    share: NDArray[np.float64]
    clear: NDArray[np.float64]
    clear_beside: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Run:
    """Blocks first to last (cyclic, both included) that hold an arc, and the evidence for it."""

    first: int
    count: int
    evidence: float


def cut_blocks(strip: ArcStrip) -> ArcBlocks:
    """Average a ring over blocks and compare each with strokes."""
    count = max(8, round(2 * np.pi * strip.radius_mm / BLOCK_MM))
    block = (np.arange(len(strip.angle_rad)) * count) // len(strip.angle_rad)
    starts = np.searchsorted(block, np.arange(count))
    sums = np.add.reduceat(strip.scaled, starts, axis=1)
    counts = np.add.reduceat(strip.open.astype(np.float64), starts, axis=1)
    profiles = (sums / np.maximum(counts, 1.0)).T
    sizes = np.diff(np.append(starts, len(block)))
    near = np.abs(strip.v_mm) < NEAR_MM
    share = counts[near].mean(axis=0) / sizes
    angle = np.add.reduceat(strip.angle_rad, starts) / sizes
    clear = _clearness(profiles, share, strip.v_mm)
    return ArcBlocks(angle, profiles, share, clear[0], clear[1:])


def _clearness(
    profiles: NDArray[np.float64], share: NDArray[np.float64], v_mm: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return each block's stroke energy over that beside, near the circle and aside (1 + K, B).

    Neighbours are averaged with their signs first: a stroke keeps its look over millimetres.
    """
    step = float(v_mm[1] - v_mm[0])
    reach = np.arange(-6, 7)
    kernel = np.exp(-0.5 * (reach * BLOCK_MM / (LOOK_MM / 2)) ** 2)
    weighted = _around(profiles * share[:, None], kernel)
    weight = np.sqrt(np.maximum(_around(share[:, None], kernel**2), 1e-6))
    smooth = weighted / weight
    place = np.arange(-6, 7) * step / STROKE_MM
    single = np.exp(-0.5 * place**2)
    single -= single.mean()
    double = place * np.exp(-0.5 * (place / 1.3) ** 2)
    energy = np.zeros_like(smooth)
    for shape in (single, double):
        unit = shape / np.linalg.norm(shape)
        energy += np.apply_along_axis(np.convolve, 1, smooth, unit, mode="same") ** 2
    height = np.sqrt(energy)
    beside = (np.abs(v_mm) > GROOVE_REACH_MM + 0.05) & (np.abs(v_mm) < np.abs(v_mm).max() - 0.1)
    known = share > HALF
    if not known.any() or not beside.any():
        return np.zeros((len(BESIDE_MM) + 1, len(share)))
    # The median of a Rayleigh distribution is 1.1774 times its deviation.
    spread = max(float(np.median(height[known][:, beside])) / 1.1774, 1e-6)
    rows = [np.abs(v_mm - place) < NEAR_MM for place in (0.0, *BESIDE_MM)]
    highest = [height[:, row].max(axis=1, initial=0.0) for row in rows]
    return np.stack(highest) / spread


def evidence_of(blocks: ArcBlocks) -> NDArray[np.float64]:
    """Return for each block how much it speaks for an arc; 0 where the face does not reach."""
    return _evidence(blocks.clear, blocks.share)


def evidence_beside(blocks: ArcBlocks) -> float:
    """Return the evidence that circles of a little smaller and larger radius would have.

    Brushing and crowds of lines speak for many circles at once; a scribed one stands alone.
    """
    runs = [best_run(_evidence(clear, blocks.share)).evidence for clear in blocks.clear_beside]
    return float(np.median(runs))


def _evidence(clear: NDArray[np.float64], share: NDArray[np.float64]) -> NDArray[np.float64]:
    gain = np.clip(clear**2 / 2 - CHANCE, -MOST_AGAINST, MOST_FOR)
    return np.asarray(np.where(share > HALF, gain, 0.0))


def best_run(evidence: NDArray[np.float64]) -> Run:
    """Return the cyclic run of blocks with the largest sum (J. Kadane's rule, taken round)."""
    count = len(evidence)
    twice = np.concatenate([[0.0], np.cumsum(np.concatenate([evidence, evidence]))])
    best = Run(0, 0, 0.0)
    for first in np.flatnonzero(evidence > 0):
        sums = twice[first + 1 : first + count + 1] - twice[first]
        last = int(np.argmax(sums))
        if sums[last] > best.evidence + 1e-9:
            best = Run(int(first), last + 1, float(sums[last]))
    return best


def trim(run: Run, blocks: ArcBlocks, v_mm: NDArray[np.float64]) -> Run:
    """Take off the ends of a run that only its neighbours' look made it reach.

    Each block is compared with the mean of a few around it, its own noise left as it is, and
    votes with the logarithm of how much likelier it is with the stroke than without (as
    `trace.find_ends` does for lines).
    """
    count = len(blocks.share)
    which = blocks_of(run, count)
    near = np.abs(v_mm) < GROOVE_REACH_MM
    kernel = np.ones(2 * LOOK_BLOCKS + 1)
    weight = _around(blocks.share, kernel)[which]
    local = _around(blocks.profiles * blocks.share[:, None], kernel)[which][:, near]
    local /= np.maximum(weight, 1e-6)[:, None]
    amplitude = np.linalg.norm(local, axis=1)
    template = local / np.maximum(amplitude, 1e-9)[:, None]
    match = np.einsum("bv,bv->b", blocks.profiles[which][:, near], template)
    noise = float(blocks.profiles[:, ~near][blocks.share > HALF].std()) + 1e-3
    opened = blocks.share[which] > HALF
    gain = np.clip(amplitude * (match - amplitude / 2) / noise**2, -MOST_VOTE, MOST_VOTE)
    gain = np.where(opened, gain, 0.0)
    total = np.concatenate([[0.0], np.cumsum(gain)])
    last = int(np.argmax(total - np.minimum.accumulate(total)))
    first = int(np.argmin(total[: last + 1]))
    return Run((run.first + first) % count, max(last - first, 1), run.evidence)


def blocks_of(run: Run, count: int) -> NDArray[np.intp]:
    """Return the numbers of a run's blocks."""
    return np.asarray((run.first + np.arange(run.count)) % count)


def fit_blocks(
    strip: ArcStrip,
    blocks: ArcBlocks,
    which: NDArray[np.intp],
    window_mm: float,
    lean_mm: NDArray[np.float64] | float = 0.0,
) -> CircleFit:
    """Fit a circle to where the blocks' strokes lie.

    A stroke's place is the centroid of what stands out of the noise within a window: its look may
    change along the arc from bright to dark, so there is no common profile to compare with. What
    is seen of the chosen blocks is taken to lie `lean_mm` (B,) outside the groove's middle.

    Raises
    ------
    ValueError
        When too few blocks show anything.
    """
    v = strip.v_mm
    profiles = blocks.profiles[which]
    beside = np.abs(v) > GROOVE_REACH_MM
    profiles = profiles - np.median(profiles[:, beside], axis=1)[:, None]
    noise = profiles[:, beside].std(axis=1)[:, None]
    rise = np.maximum(np.abs(profiles) - noise, 0.0) * np.exp(-0.5 * (v / window_mm) ** 4)
    size = rise.sum(axis=1)
    offset = rise @ v / np.maximum(size, 1e-9) - lean_mm
    angle = blocks.angle_rad[which]
    points = strip.centre_mm + (strip.radius_mm + offset)[:, None] * np.column_stack(
        [np.cos(angle), np.sin(angle)]
    )
    clear = (blocks.clear[which] > SEEN) & (blocks.share[which] > HALF)
    base = clear * np.minimum(size, 2 * np.median(size))
    weights = base
    fit = fit_circle(points, weights)
    for _ in range(6):
        scale = 1.4826 * float(np.median(np.abs(fit.residuals_mm[clear]))) + 1e-4
        # Cauchy weights: P. J. Huber, Robust Statistics (1981), section 7.
        weights = base / (1 + (fit.residuals_mm / (2 * scale)) ** 2)
        fit = fit_circle(points, weights)
    return fit


def _around(values: NDArray[np.float64], kernel: NDArray[np.float64]) -> NDArray[np.float64]:
    """Convolve along the first axis, which closes on itself."""
    reach = len(kernel) // 2
    result = np.zeros_like(values)
    for shift, weight in enumerate(kernel):
        result += weight * np.roll(values, shift - reach, axis=0)
    return result
