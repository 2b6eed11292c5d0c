"""From the uncertainty of inputs to that of results: first order, any model, named causes.

JCGM 100:2008 (GUM), 5.1.2 and 5.2.2 for one result and JCGM 102:2011, 6.2 for several at once: the
covariance of each cause is carried through the model's slopes, independent causes add up, and
degrees of freedom join by Welch and Satterthwaite's formula (G.4.1).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from scipy.special import stdtrit

Matrix = NDArray[np.float64]
#: Inputs (..., m) to results (..., q); works on a stack of inputs at once.
Model = Callable[[Matrix], Matrix]
#: What lies between two stacks of results, for results that start again after a turn.
Difference = Callable[[Matrix, Matrix], Matrix]
#: Draws independent numbers of mean 0 and variance 1 in the shape asked for.
Draw = Callable[[Generator, tuple[int, ...]], Matrix]

COVERAGE_FACTOR = 2.0


def normal(random: Generator, shape: tuple[int, ...]) -> Matrix:
    """Draw from the normal distribution."""
    return random.standard_normal(shape)


def rectangular(random: Generator, shape: tuple[int, ...]) -> Matrix:
    """Draw from the rectangular distribution, from -sqrt(3) to sqrt(3)."""
    return random.uniform(-np.sqrt(3.0), np.sqrt(3.0), shape)


@dataclass(frozen=True, slots=True)
class Cause:
    """One independent reason why inputs are not exactly known.

    Attributes
    ----------
    name : str
        Causes of one name are shown as one term.
    inputs : sequence of int, length k
        Which inputs of the model it touches.
    covariance : ndarray, shape (k, k), float64
    degrees_of_freedom : float
        Of the covariance as an estimate; infinite where it does not rest on few readings.
    draw : Draw
        How its principal directions are distributed, for random trials.
    """

    name: str
    inputs: Sequence[int]
    covariance: Matrix
    degrees_of_freedom: float = np.inf
    draw: Draw = normal


@dataclass(frozen=True, slots=True)
class Budget:
    """Results with their covariance by cause.

    Attributes
    ----------
    values : ndarray, shape (q,)
        NaN where a result could not be had.
    terms : Mapping[str, ndarray (q, q)]
        Covariance by cause; they are independent of each other and add up to `covariance`.
    small_sample : ndarray, shape (q,)
        Sum over the causes of u⁴ by degrees of freedom; 0 where none rests on few readings.
    """

    values: Matrix
    terms: Mapping[str, Matrix]
    small_sample: Matrix = field(default_factory=lambda: np.zeros(1))

    @property
    def covariance(self) -> Matrix:
        """Covariance (q, q) of `values`."""
        return np.asarray(sum(self.terms.values()))

    @property
    def combined(self) -> Matrix:
        """Combined standard uncertainties (q,)."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    @property
    def expanded(self) -> Matrix:
        """Expanded uncertainties U (q,), k = 2."""
        return COVERAGE_FACTOR * self.combined

    @property
    def correlation(self) -> Matrix:
        """Correlation (q, q) of `values`; NaN for what is known exactly."""
        u = self.combined
        with np.errstate(invalid="ignore"):
            return np.asarray(self.covariance / np.outer(u, u))

    @property
    def degrees_of_freedom(self) -> Matrix:
        """Effective degrees of freedom (q,) after Welch and Satterthwaite; infinite, too."""
        small = np.broadcast_to(self.small_sample, self.values.shape)
        with np.errstate(divide="ignore"):
            return np.asarray(np.where(small > 0, self.combined**4 / small, np.inf))

    def standard(self, cause: str) -> Matrix:
        """Return standard uncertainties (q,) from one cause."""
        return np.asarray(np.sqrt(np.maximum(np.diag(self.terms[cause]), 0.0)))


def sensitivities(
    model: Model, at: Matrix, steps: Matrix, difference: Difference = np.subtract
) -> Matrix:
    """Work out slopes by differences to both sides.

    Parameters
    ----------
    model : Model
    at : ndarray, shape (m,), float64
    steps : ndarray, shape (m,), float64
        Of each input: small against curvature, large against rounding.
    difference : Difference

    Returns
    -------
    ndarray, shape (q, m), float64
    """
    shift = np.diag(steps)
    rise = difference(model(at + shift), model(at - shift))
    return np.asarray(rise / (2 * steps)[:, None]).T


def propagate(values: Matrix, slopes: Matrix, causes: Iterable[Cause]) -> Budget:
    """Put the budget of a model's results together.

    Parameters
    ----------
    values : ndarray, shape (q,), float64
        The results.
    slopes : ndarray, shape (q, m), float64
        Sensitivities to the inputs.
    causes : iterable of Cause
        Independent of each other.

    References
    ----------
    JCGM 100:2008, 5.2.2 and G.4.1. All of a cause's share in one result is a sum of squares with
    the cause's degrees of freedom, so it enters the formula as one term.
    """
    terms: dict[str, Matrix] = {}
    small_sample = np.zeros(len(values))
    for cause in causes:
        part = slopes[:, list(cause.inputs)]
        share = part @ cause.covariance @ part.T
        terms[cause.name] = terms.get(cause.name, np.zeros_like(share)) + share
        small_sample += np.diag(share) ** 2 / cause.degrees_of_freedom
    return Budget(values, terms, small_sample)


def coverage_factor(degrees_of_freedom: float, probability: float) -> float:
    """Return k for a coverage probability: two-sided quantile of Student's t, or the normal one.

    References
    ----------
    JCGM 100:2008, table G.2.
    """
    endless = 1e10  # the t distribution of so many is the normal one to all digits
    return float(stdtrit(min(degrees_of_freedom, endless), (1 + probability) / 2))
