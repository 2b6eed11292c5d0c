"""Why photos of one plate put its lines in different places: the most probable account of it.

What is uncertain of lens, sheet, lines and plate leaves small differences. Larger ones have a cause:
the face is not where it was said to be, the plate does not lie flat, it was moved, or a photo shows
another stroke beside a side. Each cause allows differences of a shape and a size of its own; the
one under which the differences seen are most probable is taken, rare causes only where they
explain much more (Bayes factors; a cause that allows everything makes each thing less probable).

References
----------
R. E. Kass, A. E. Raftery, Bayes factors, J. Am. Stat. Assoc. 90 (1995) 773-795,
doi:10.1080/01621459.1995.10476572.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.lineerrors import Row, optics_errors
from scribegauge.figure.parallax import Parallax

Array = NDArray[np.float64]

# How often each happens among photos taken in good faith (a guess; a factor of 3 either way moves
# the line between told and not told by a third of a standard uncertainty).
RARE = np.log(0.01)
# A thickness that was mistyped, or is of another plate.
WRONG_HEIGHT = np.array([2.0, 0.0, 0.0])
# Something under one edge: slopes, and it lifts the middle too.
LIFTED = np.array([0.5, 0.02, 0.02])
# A plate that was knocked [mm, mm, rad]; one that went farther is not taken for the figure any more.
MOVED = np.array([0.5, 0.5, 0.01])
# Another stroke, scratch or stray beside a side: as far as lines are sought, somewhat turned.
OTHER_STROKE_MM = np.array([0.3, 0.1])
# What the lamp may have done, and how far what a line shows of its groove then is the same in two
# photos. A lit wall stays lit while the lamp stays (a camera moved by 20 degrees shifts what is seen
# of it by 0.15 of the 0.4 widths that it lies aside); from the opposite side the other one is lit.
LAMPS = {"elsewhere": 0.0, "where it was": 0.8, "opposite": -0.5}
# Rounding, so that any covariance can be inverted [mm²].
LEAST_MM2 = 1e-10
PAIR = 2


@dataclass(frozen=True, slots=True)
class Differences:
    """What photos differ by, and what makes them differ.

    Attributes
    ----------
    seen : ndarray, shape (k,)
        Contrasts between photos of each side's middle and end [mm].
    noise : Mapping[str, ndarray (k, k)]
        Covariance of `seen` when all is as it should be, for each thing the lamp may have done.
    causes : Mapping[str, ndarray (k, q)]
        Of each cause, how differences follow from inputs of unit variance.
    sides : Mapping[int, ndarray (k, r)]
        The same for another stroke at one side, of unit variance in each photo.
    """

    seen: Array
    noise: Mapping[str, Array]
    causes: Mapping[str, Array]
    sides: Mapping[int, Array]


@dataclass(frozen=True, slots=True)
class Account:
    """What explains the differences.

    Attributes
    ----------
    cause : str
        A name of `Differences.causes`, or empty: everything was as it should be.
    disputed : tuple of int
        Sides at which the photos show different strokes.
    lamps : Mapping[str, float]
        Probability of each thing the lamp may have done.
    """

    cause: str
    disputed: tuple[int, ...]
    lamps: Mapping[str, float]

    @property
    def same_lamp(self) -> float:
        """Return how far lines show the same of their grooves in two photos, 0 to 1.

        That the lamp was on the opposite side would make U smaller: it is not taken from here.
        """
        return max(0.0, sum(LAMPS[lamp] * share for lamp, share in self.lamps.items()))


def differences_of(scene: Parallax, seen: Sequence[Row]) -> Differences:
    """Turn places into contrasts between photos, which the true lines do not enter."""
    contrast, of_side = _contrasts(scene)
    by_plane, by_motion = contrast @ scene.by_plane, contrast @ scene.by_motion
    known = by_plane * scene.u_plane
    base = contrast @ (scene.by_views + scene.fits) @ contrast.T + known @ known.T
    base += LEAST_MM2 * np.eye(len(base))
    lamps = [lamp for lamp, same in LAMPS.items() if same >= 0 or scene.photos == PAIR]
    return Differences(
        seen=contrast @ scene.asides_mm,
        noise={
            lamp: base + contrast @ optics_errors(seen, scene.across, LAMPS[lamp]) @ contrast.T
            for lamp in lamps
        },
        causes={
            "height": by_plane * WRONG_HEIGHT,
            "tilt": by_plane * LIFTED,
            "moved": by_motion * np.tile(MOVED, scene.photos - 1),
        },
        sides={
            int(side): contrast * scene.at_sides([int(side)], OTHER_STROKE_MM)
            for side in np.unique(of_side)
        },
    )


def _contrasts(scene: Parallax) -> tuple[Array, NDArray[np.int64]]:
    """Return orthonormal contrasts (k, 2nP) between photos, and which side each is of (k,)."""
    seen = scene.there.reshape(scene.photos, -1)
    rows, sides = [], []
    for column in range(seen.shape[1]):
        which = np.flatnonzero(seen[:, column])
        for count in range(1, len(which)):
            row = np.zeros(seen.shape)
            row[which[:count], column] = -1.0
            row[which[count], column] = count
            rows.append(row.ravel() / np.linalg.norm(row))
            sides.append(column // 2)
    return np.array(rows).reshape(-1, seen.size), np.array(sides, np.int64)


def most_probable(differences: Differences) -> Account:
    """Find the account under which the differences are most probable."""
    tried = [
        _with_sides(differences, lamp, cause)
        for lamp in differences.noise
        for cause in ("", *differences.causes)
    ]
    _, _, cause, disputed = max(tried, key=lambda each: each[0])
    each = {lamp: _evidence(differences, lamp, cause, disputed) for lamp in differences.noise}
    largest = max(each.values())
    odds = {lamp: float(np.exp(value - largest)) for lamp, value in each.items()}
    total = sum(odds.values())
    return Account(cause, disputed, {lamp: value / total for lamp, value in odds.items()})


def _with_sides(
    differences: Differences, lamp: str, cause: str
) -> tuple[float, str, str, tuple[int, ...]]:
    """Let sides be disputed one by one as long as that makes the differences more probable."""
    disputed: tuple[int, ...] = ()
    best = _evidence(differences, lamp, cause, disputed)
    while True:
        more = [
            (_evidence(differences, lamp, cause, (*disputed, side)), side)
            for side in differences.sides
            if side not in disputed
        ]
        found, side = max(more, default=(-np.inf, -1))
        if found <= best:
            return best, lamp, cause, disputed
        best, disputed = found, tuple(sorted((*disputed, side)))


def _evidence(differences: Differences, lamp: str, cause: str, disputed: tuple[int, ...]) -> float:
    """Return the logarithm of how probable differences and account are, up to a constant."""
    covariance = differences.noise[lamp].copy()
    if cause:
        covariance += differences.causes[cause] @ differences.causes[cause].T
    for side in disputed:
        covariance += differences.sides[side] @ differences.sides[side].T
    rare = RARE * (bool(cause) + len(disputed))
    size = np.linalg.slogdet(covariance)[1]
    off = float(differences.seen @ np.linalg.solve(covariance, differences.seen))
    return float(rare - (off + size) / 2)
