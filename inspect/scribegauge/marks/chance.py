"""How rarely texture alone looks as much like a line as a line that was followed."""

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtr

from scribegauge.marks.groove import GrooveFit, block_profiles, follow
from scribegauge.marks.strip import GROOVE_REACH_MM, Strip

PIECE_MM = 1.0


def log10_chance_of_runs(
    strip: Strip, fit: GrooveFit, runs: tuple[tuple[float, float], ...]
) -> float:
    """Return log10 of the chance that texture makes the clearest of some parts of a line.

    What is seen between two gaps is a line for itself: the gaps belong to the hand, and say nothing
    for texture. Having chosen among n parts multiplies the chance by n.

    Parameters
    ----------
    strip : Strip
    fit : GrooveFit
    runs : tuple of (first, last)
        Along the strip [mm].
    """
    chances = [log10_chance(strip, fit, first, last) for first, last in runs]
    return float(min(chances) + np.log10(len(runs)))


def log10_chance(strip: Strip, fit: GrooveFit, first: float, last: float) -> float:
    """Return log10 of the chance that texture alone looks as much like a line as this.

    The profile of every other piece of a millimetre is the template for the pieces between, so
    that noise cannot resemble itself; the pieces' likenesses then have a mean and a spread of their
    own, and Student's t tells how rarely texture would line up so. Pieces are about as long as the
    texture is correlated along the line.
    """
    straight = follow(strip.scaled, strip, fit.across_mm(strip.u_mm))
    near = np.abs(strip.v_mm) < GROOVE_REACH_MM
    count = max(4, int((last - first) / PIECE_MM))
    edges = np.linspace(first, last, count + 1)
    pieces = block_profiles(straight, strip.u_mm, edges)
    pieces -= np.median(pieces[:, ~near], axis=1)[:, None]
    width = int(near.sum())
    likeness, beside = np.empty(count), np.empty((2, count))
    for half in (0, 1):
        template = np.median(pieces[1 - half :: 2, near], axis=0)
        template /= max(float(np.linalg.norm(template)), 1e-9)
        likeness[half::2] = pieces[half::2, near] @ template
        beside[0, half::2] = pieces[half::2, :width] @ template
        beside[1, half::2] = pieces[half::2, -width:] @ template
    # Crossing lines and pricks: one piece must not count for many.
    limit = 2 * float(np.median(np.abs(likeness))) + 1e-9
    likeness = np.clip(likeness, -limit, limit)
    spread = float(likeness.std(ddof=1)) / np.sqrt(count * _independent(beside)) + 1e-9
    chance = stdtr(count - 1, -float(likeness.mean()) / spread)
    return float(np.log10(max(chance, 1e-300)))


def _independent(beside: NDArray[np.float64]) -> float:
    """Return which share of pieces along a line count, from the texture beside it (2, B).

    Long scratches make neighbouring pieces alike: ``(1 - r) / (1 + r)`` for a first-order process.
    """
    clipped = np.clip(beside, *np.percentile(beside, [5, 95]))
    power = max(float((clipped**2).sum()), 1e-12)
    alike = float((clipped[:, 1:] * clipped[:, :-1]).sum()) / power
    # What as few pieces as these show by chance is no likeness.
    alike = float(np.clip(alike - 1 / np.sqrt(beside.size), 0.0, 0.9))
    return (1 - alike) / (1 + alike)
