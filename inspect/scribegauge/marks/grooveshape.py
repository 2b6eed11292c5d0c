"""Whether what is seen across a line can be a groove: narrow, with the same metal on both sides.

Edges of a workpiece, bands of light and the fringe of a stain run as straight as a line and are as
steady along it. Across, they are broader than any groove, or part the bright from the dark.
"""

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.strip import GROOVE_REACH_MM

# The widest groove of a hand, 0.15 mm, with burrs of a third of its width on both sides.
BROADEST_MM = 0.25
# The two walls of a groove are parted by a dark or bright middle no wider than this.
BETWEEN_WALLS_MM = 0.1
# Over what a line stands out by: lines in photos have up to 0.4, edges of workpieces 0.8 and more.
LARGEST_STEP = 0.75


def can_be_groove(profile: NDArray[np.float64], v_mm: NDArray[np.float64], blur_mm: float) -> bool:
    """Tell whether a profile is as narrow as a groove looks, and no step from bright to dark.

    Parameters
    ----------
    profile : ndarray, shape (V,), float64
        Brightness across against the metal's, any unit.
    v_mm : ndarray, shape (V,), float64
        Distance across.
    blur_mm : float
        Standard deviation of the photo's blur on the plate.
    """
    broadest = float(np.hypot(BROADEST_MM, 2.355 * blur_mm))
    return breadth_mm(profile, v_mm) <= broadest and step_share(profile, v_mm) <= LARGEST_STEP


def breadth_mm(profile: NDArray[np.float64], v_mm: NDArray[np.float64]) -> float:
    """Return how wide a profile is at half of its height, both walls and what parts them."""
    step = float(v_mm[1] - v_mm[0])
    size = np.abs(profile)
    peak = _peak(profile, v_mm)
    high = np.flatnonzero(size > size[peak] / 2)
    # A groove's walls are one thing, what lies farther aside is another.
    parted = np.flatnonzero(np.diff(high) * step > BETWEEN_WALLS_MM + step)
    first = parted[high[parted] < peak].max(initial=-1) + 1
    last = parted[high[parted] >= peak].min(initial=len(high) - 1)
    return float(high[last] - high[first] + 1) * step


def step_share(profile: NDArray[np.float64], v_mm: NDArray[np.float64]) -> float:
    """Return how much brightness steps at the line, over the line's own height.

    Each side's brightness is carried on to the line as a straight slope: shading that runs evenly
    across is no step.
    """
    levels = []
    for side in (-1, 1):
        flank = side * v_mm > GROOVE_REACH_MM
        design = np.column_stack([np.ones(int(flank.sum())), v_mm[flank]])
        solution, *_ = np.linalg.lstsq(design, profile[flank], rcond=None)
        levels.append(float(solution[0]))
    height = max(abs(float(profile[_peak(profile, v_mm)])), 1e-9)
    return abs(levels[1] - levels[0]) / height


def _peak(profile: NDArray[np.float64], v_mm: NDArray[np.float64]) -> int:
    """Return where within a groove's reach the profile deviates most."""
    return int(np.argmax(np.abs(profile) * (np.abs(v_mm) < GROOVE_REACH_MM)))
