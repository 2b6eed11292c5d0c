"""How far off a step must be before it is named, when many steps are tested.

Each step's own error is measured against its covariance: chi-square with as many degrees of freedom
as the mark has that the plate can show. Steps differ in those, so the allowed share of false names
is divided among them (weighted Bonferroni) such that an error of twice its U is named equally often
whatever the mark is; equal division would leave openings, which have one, named too seldom.
"""

from functools import cache

import numpy as np
from scipy.special import gammaincc, gammaincinv

#: Share of good plates on which some step may be named.
FALSE_NAMES = 0.05
#: Coverage of U, that of k = 2 in one dimension.
COVERAGE = 0.9545


@cache
def radius_of(dof: int) -> float:
    """Return how many standard deviations U reaches in `dof` dimensions: 2.00, 2.49, 2.83.

    Zero when nothing can be seen.
    """
    return float(np.sqrt(2 * gammaincinv(dof / 2, COVERAGE))) if dof else 0.0


@cache
def bars_to_pass(dofs: tuple[int, ...]) -> tuple[float, ...]:
    """Return by how many standard deviations each tested step must be off to be named.

    Parameters
    ----------
    dofs : tuple of int
        Of each step; at least 1.

    Returns
    -------
    tuple of float
        Never below the step's own U; the chances of passing add up to at most `FALSE_NAMES`.

    References
    ----------
    Holm, Scandinavian Journal of Statistics 6 (1979) 65, section 4 (weights); Genovese, Roeder and
    Wasserman, Biometrika 93 (2006) 509 (weights chosen for power).
    """
    if not dofs:
        return ()
    # Only here: it takes a quarter of a second to load.
    from scipy.optimize import brentq  # noqa: PLC0415

    reach = np.array([radius_of(dof) for dof in dofs])
    half = np.array(dofs) / 2

    def bars(margin: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return np.asarray(np.maximum(2 * reach - margin, reach))

    def excess(margin: float) -> float:
        # Chi-square's upper tail, by the incomplete gamma function.
        return float(gammaincc(half, bars(margin) ** 2 / 2).sum()) - FALSE_NAMES

    highest = float(2 * reach.max())
    if excess(highest) <= 0:  # a single step: its own U is bar enough
        return tuple(float(bar) for bar in bars(highest))
    lowest = -50.0
    margin = brentq(excess, lowest, highest)
    return tuple(float(bar) for bar in bars(float(margin)))
