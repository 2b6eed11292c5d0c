"""Two strokes in one: a line that was scribed twice, a little aside or a little turned.

Where both are as one, the middle of what is seen lies somewhere between them. Two like strokes a
distance d apart widen the profile's variance by d²/4 and put its middle d/2 from either, so the
widening says how far the seen middle may be from the stroke that was meant.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.spread import spread

# Widening that is seen by chance or by a change of light is told apart at this many standard
# uncertainties of its trend.
CLEAR_TREND = 6.0
REACH_MM = 0.3
# A hand presses now more, now less: a groove of 0.085 mm that grows by a fifth either way changes
# its variance (w²/12) by this much from the middle to an end.
WIDTH_DRIFT_MM2 = 2.4e-4
FEWEST_BLOCKS = 5


@dataclass(frozen=True, slots=True)
class Widening:
    """How far the seen middle may lie from one stroke's; zero where one stroke explains the line.

    Attributes
    ----------
    middle_mm, turn_mm : float
        At the line's middle, and what it changes from there to either end.
    """

    middle_mm: float
    turn_mm: float


NONE = Widening(0.0, 0.0)


def find_widening(
    blocks: NDArray[np.float64], v_mm: NDArray[np.float64], weights: NDArray[np.float64]
) -> Widening:
    """Look for a profile that widens along the line.

    Parameters
    ----------
    blocks : ndarray, shape (B, V)
        Mean profile of each block along the line, on the line.
    v_mm : ndarray, shape (V,)
    weights : ndarray, shape (B,)
        How well each block shows the line.
    """
    if len(blocks) < FEWEST_BLOCKS:
        return NONE
    variances = variances_mm2(blocks, v_mm)
    x = np.linspace(-1.0, 1.0, len(blocks))
    design = np.column_stack([np.ones_like(x), x])
    kept = weights.copy()
    for _ in range(5):
        normal = (design.T * kept) @ design
        solution = np.linalg.solve(normal, (design.T * kept) @ variances)
        rest = variances - design @ solution
        scale = spread(rest) + 1e-6
        kept = weights / (1 + (rest / (2 * scale)) ** 2)
    u_trend = scale / np.sqrt((x**2).sum())
    trend = abs(float(solution[1]))
    if trend < CLEAR_TREND * u_trend:
        return NONE
    # One stroke at the narrow end, d/2 = sqrt(2 trend) at the wide one.
    at_end = float(np.sqrt(2 * max(trend - WIDTH_DRIFT_MM2, 0.0)))
    return Widening(at_end / 2, at_end / 2)


def variances_mm2(blocks: NDArray[np.float64], v_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return strokes' variances across [mm²] from their squared profiles (B, V), noise taken off.

    A Gaussian's square has half its variance.
    """
    beside = np.abs(v_mm) > REACH_MM
    power = (blocks - np.median(blocks[:, beside], axis=1)[:, None]) ** 2
    noise = power[:, beside].mean(axis=1)[:, None]
    power = np.maximum(power - noise, 0.0) * ~beside
    total = np.maximum(power.sum(axis=1), 1e-12)
    middle = (power @ v_mm) / total
    return np.asarray(2 * (power @ v_mm**2 / total - middle**2))
