"""A second opinion on a budget: all inputs drawn at random, through the model itself.

JCGM 101:2008: nothing is taken as straight or as normally distributed. Clause 8 compares the
interval with that of the first order.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from scribegauge.uncertainty.propagation import (
    Budget,
    Cause,
    Difference,
    Model,
    coverage_factor,
)

Matrix = NDArray[np.float64]

# Trials in one go, and the fewest that give 95 % intervals (JCGM 101, 7.9.4).
BATCH = 10_000
FEWEST, MOST = 2 * BATCH, 100 * BATCH
PROBABILITY = 0.95
# Of an uncertainty, digits that mean something: swarf and the groove's optics, which make up most
# of it, are known to one.
FIGURES = 1
# How many of its standard errors a difference must clear before it counts.
SURE = 2.0


@dataclass(frozen=True, slots=True)
class Trials:
    """What random trials of a model gave, each of shape (q,).

    Attributes
    ----------
    count, seed : int
        The same two give the same numbers.
    mean, u : ndarray
        Mean and standard deviation.
    low, high : ndarray
        Ends of the shortest interval that holds 95 % of the trials.
    u_ends : ndarray
        Standard uncertainty of the ends, the trials being as few as they are.
    """

    count: int
    seed: int
    mean: Matrix
    u: Matrix
    low: Matrix
    high: Matrix
    u_ends: Matrix


@dataclass(frozen=True, slots=True)
class Agreement:
    """How first order and trials compare.

    Attributes
    ----------
    tolerance : ndarray, shape (q,)
        What the ends of the intervals may differ by: half of the uncertainty's last digit, in the
        unit that results are shown in.
    agrees : tuple of bool or None, length q
        None where the trials are too few to tell, or nothing was measured.
    wider : tuple of bool, length q
        Whether the trials scatter wider than first order has it.
    """

    tolerance: Matrix
    agrees: tuple[bool | None, ...]
    wider: tuple[bool, ...]


def run_trials(
    model: Model, at: Matrix, causes: Sequence[Cause], count: int, seed: int, difference: Difference
) -> Trials:
    """Draw the inputs of a model at random and see what comes out.

    Parameters
    ----------
    model : Model
    at : ndarray, shape (m,), float64
        The inputs' best values.
    causes : sequence of Cause
        Independent of each other. Few degrees of freedom draw from Student's t (JCGM 101, 6.4.9).
    count : int
        Number of trials; taken up to whole batches of 10 000, at least two.
    seed : int
    difference : Difference
        Between results, e.g. `numpy.subtract`.
    """
    random = np.random.default_rng(seed)
    batches = max(-(-count // BATCH), FEWEST // BATCH)
    roots = [_root(cause.covariance) for cause in causes]
    best = model(at)
    results = np.concatenate(
        [
            difference(model(at + _draw(random, causes, roots, len(at))), best)
            for _ in range(batches)
        ]
    )
    low, high = shortest_interval(results, PROBABILITY)
    each = np.array([shortest_interval(part, PROBABILITY) for part in np.split(results, batches)])
    # The ends of a shortest interval settle with the cube root of the number of trials only.
    u_ends = each.std(axis=0, ddof=1).max(axis=0) / np.cbrt(batches)
    mean, u = results.mean(axis=0), results.std(axis=0, ddof=1)
    return Trials(len(results), seed, best + mean, u, best + low, best + high, u_ends)


def shortest_interval(results: Matrix, probability: float) -> tuple[Matrix, Matrix]:
    """Return the ends (q,) of the shortest interval that holds a share of results (M, q).

    NaN where the results are. JCGM 101:2008, 7.7.4.
    """
    rows = np.sort(results, axis=0)
    inside = round(probability * len(rows))
    widths = rows[inside:] - rows[:-inside]
    first = np.argmin(np.where(np.isnan(widths), np.inf, widths), axis=0)
    columns = np.arange(rows.shape[1])
    return rows[first, columns], rows[first + inside, columns]


def compare(
    budget: Budget, trials: Trials, units: Matrix | float = 1.0, figures: int = FIGURES
) -> Agreement:
    """Compare the 95 % intervals of first order and of trials.

    Parameters
    ----------
    budget : Budget
    trials : Trials
        Of the same results.
    units : float or ndarray, shape (q,)
        Takes results to the unit they are shown in, whose digits count.
    figures : int
        How many digits of an uncertainty mean something.

    References
    ----------
    JCGM 101:2008, 8.1 and 7.9.2 (numerical tolerance). Where the difference lies nearer to the
    tolerance than the trials' own uncertainty, nothing is said.
    """
    k = np.array([coverage_factor(freedom, PROBABILITY) for freedom in budget.degrees_of_freedom])
    half = k * budget.combined
    tolerance = numerical_tolerance(budget.combined * units, figures) / units
    off = np.maximum(
        np.abs(budget.values - half - trials.low), np.abs(budget.values + half - trials.high)
    )
    doubt = SURE * trials.u_ends
    agrees = tuple(
        True if a else False if b else None
        for a, b in zip(off + doubt <= tolerance, off - doubt > tolerance, strict=True)
    )
    wider = tuple(bool(w) for w in trials.high - trials.low > 2 * half)
    return Agreement(tolerance * units, agrees, wider)


def numerical_tolerance(u: Matrix, figures: int) -> Matrix:
    """Return half of the last meaningful digit of uncertainties (q,): 0.05 for 2.0 to two digits.

    JCGM 101:2008, 7.9.2.
    """
    rounded = [float(f"{value:.{figures - 1}e}") for value in u]
    with np.errstate(divide="ignore"):
        power = np.floor(np.log10(rounded)) - (figures - 1)
    return np.asarray(0.5 * 10.0**power)


def _root(covariance: Matrix) -> Matrix:
    """Return principal directions (k, r), each as long as its standard deviation."""
    sizes, axes = np.linalg.eigh(covariance)
    some = sizes > sizes[-1] * 1e-12
    return np.asarray(axes[:, some] * np.sqrt(sizes[some]))


def _draw(
    random: Generator, causes: Sequence[Cause], roots: Sequence[Matrix], inputs: int
) -> Matrix:
    """Draw a batch of what all inputs are off by."""
    off = np.zeros((BATCH, inputs))
    for cause, root in zip(causes, roots, strict=True):
        numbers = cause.draw(random, (BATCH, root.shape[1]))
        if np.isfinite(cause.degrees_of_freedom):
            freedom = cause.degrees_of_freedom
            numbers = numbers * np.sqrt(freedom / random.chisquare(freedom, (BATCH, 1)))
        off[:, list(cause.inputs)] += numbers @ root.T
    return off
