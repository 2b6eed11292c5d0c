"""Photos of one set that were taken, or turned upright, half a turn from the others.

A phone held over a table does not know which way is up. Half a turn of the picture mirrors the
lens's principal point and tangential terms through its middle, so a set of both fits no one lens.
"""

import numpy as np
from numpy.typing import NDArray

from scribetarget.lensvotes import MIRRORS, LensVotes

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# Natural logarithm of how much more probable the photos must become: 20 000 to 1, as for a profile
# and one photo, and this beside the choice among all ways that the photos may lie.
PLAINLY_BETTER = 10.0


def half_turned_points(points_px: Array, size_px: tuple[int, int]) -> Array:
    """Return where points (N, 2) lie in the picture turned by 180 degrees."""
    return np.asarray(np.array(size_px) - 1.0 - points_px)


def turned_photos(votes: LensVotes) -> Mask:
    """Return which photos lie half a turn from most of the others.

    Each photo tells the lens by itself, and one that lies half a turn aside tells it mirrored. The
    ways that all may lie are weighed against each other by how well the photos then agree.

    Parameters
    ----------
    votes : LensVotes
        With what was known before the same either way round, as of a camera that nobody calibrated.

    Returns
    -------
    ndarray, shape (V,), bool
        None where no way is plainly better than leaving all as they are.
    """
    count = len(votes.pulls)
    none = np.zeros(count, bool)
    best = max((_climb(votes, start) for start in (none, _gathered(votes))), key=votes.weight)
    gain = votes.weight(best) - votes.weight(none)
    scatter = votes.quarrel(best) / (len(MIRRORS) * max(count - 1, 1))
    if gain <= 2 * (PLAINLY_BETTER + count * np.log(2)) * max(1.0, scatter):
        return none
    few = best if 2 * best.sum() < count else ~best
    return ~few if 2 * few.sum() == count and few[0] else few


def oddest_photo(votes: LensVotes) -> int:
    """Return the number of the photo without which the others agree best.

    That is the one with another lens: it need not fit worst, for it pulls all others its way.
    """
    rests = [votes.without(number) for number in range(len(votes.pulls))]
    return int(np.argmin([rest.quarrel(turned_photos(rest)) for rest in rests]))


def _climb(votes: LensVotes, turned: Mask) -> Mask:
    """Turn one photo after the other while it helps."""
    while True:
        tries = [turned ^ one for one in np.eye(len(turned), dtype=bool)]
        best = max(tries, key=votes.weight)
        if votes.weight(best) <= votes.weight(turned):
            return turned
        turned = best


def _gathered(votes: LensVotes) -> Mask:
    """Let each photo join those before it the way round that fits them better."""
    turned = np.zeros(1, bool)
    for _ in votes.pulls[1:]:
        turned = max((np.append(turned, way) for way in (False, True)), key=votes.weight)
    return turned
