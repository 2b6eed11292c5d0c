"""By how much seen lines may lie beside their grooves, and what several of them have in common."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.record import LineMark

Array = NDArray[np.float64]
Row = Sequence[LineMark | None]

# Correlation of what is left of the offsets of parallel lines in one photo once the lamp is allowed
# for: 70 grooves in 12 computed photos gave 0.43 +- 0.09 whatever they show, but 0.0 +- 0.2 between
# those that show both walls and others.
COMMON_SHARE = 0.4


def alike(looks: Sequence[str | None], across: Array) -> Array:
    """Return the correlation (n, n) of seen lines' offsets from their grooves' middles.

    One lamp moves all lines the same way, away from it or towards it, and what is common to
    parallel lines cancels in the distance between them.

    Parameters
    ----------
    looks : sequence of n looks, None for a line that is not seen
    across : ndarray, shape (n, 2)
        Unit normals.
    """
    share = np.array([[_common_share(a, b) for b in looks] for a in looks])
    together = share * (across @ across.T)
    np.fill_diagonal(together, 1.0)
    return np.asarray(together)


def fit_errors(seen: Sequence[Row], halves_mm: Array) -> Array:
    """Return the covariance of all photos' lines, at the middle and at the end, from their fits.

    Parameters
    ----------
    seen : P rows of n lines or None
    halves_mm : ndarray, shape (n,)
        Half the length of each line to whose end the turn is told.

    Returns
    -------
    ndarray, shape (2nP, 2nP)
        Photo by photo, line by line, middle and end in turn [mm²].
    """
    variances = np.zeros((len(seen), len(halves_mm), 2))
    for photo, row in enumerate(seen):
        for side, line in enumerate(row):
            if line is not None:
                offset, turn = np.diag(line.covariance)
                variances[photo, side] = offset, turn * halves_mm[side] ** 2
    return np.diag(variances.ravel())


def optics_errors(seen: Sequence[Row], across: Array, same_lamp: float) -> Array:
    """Return the same covariance from the light, which does not show the grooves' middles.

    Parameters
    ----------
    seen : P rows of n lines or None
    across : ndarray, shape (n, 2)
        Unit normals.
    same_lamp : float
        Correlation between photos of what one line shows: near 1 when the lamp stayed where it was,
        0 when it went anywhere, below 0 when to the opposite side.
    """
    own = [alike([None if line is None else line.look for line in row], across) for row in seen]
    common = np.mean(own, axis=0)
    photos, sides = len(seen), len(across)
    between = np.full((photos, photos), same_lamp)
    errors = np.zeros((photos, sides, 2, photos, sides, 2))
    sizes = np.array([[_sizes(line) for line in row] for row in seen])
    for p in range(photos):
        for q in range(photos):
            middle = between[p, q] * common
            if p == q:
                middle = (1 - abs(same_lamp)) * own[p] + abs(same_lamp) * common
            turn = np.eye(sides) * (1.0 if p == q else between[p, q])
            for k, together in enumerate((middle, turn)):
                errors[p, :, k, q, :, k] = together * np.outer(sizes[p, :, k], sizes[q, :, k])
    return errors.reshape(2 * sides * photos, -1)


def _sizes(line: LineMark | None) -> tuple[float, float]:
    return (0.0, 0.0) if line is None else (line.u_optics_mm, line.u_optics_turn_mm)


def _common_share(first: str | None, second: str | None) -> float:
    """Return how much of two lines' offsets is common when they are parallel."""
    if first is None or second is None or "double" in (first, second):
        return 0.0
    return COMMON_SHARE
