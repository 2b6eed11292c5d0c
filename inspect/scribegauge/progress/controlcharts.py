"""Charts of single values: individuals with their moving range, and the EWMA."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: Mean and standard deviation of the range of two standard normal values, exactly; tables print
#: 1.128 and 0.853.
D2 = 2 / math.sqrt(math.pi)
D3 = math.sqrt(2 - 4 / math.pi)
#: The usual three standard deviations: 27 of 10 000 values of a steady process lie outside.
WIDTH = 3.0
#: Weight of the newest value in the EWMA.
WEIGHT = 0.3


@dataclass(frozen=True, slots=True)
class IndividualsChart:
    """Limits for single values, from how much neighbours differ.

    Attributes
    ----------
    centre, lower, upper : float
        Mean and limits.
    sigma : float
        Standard deviation between neighbours.
    ranges : ndarray, shape (n - 1,), float64
        Differences of neighbours, without sign.
    mean_range, upper_range : float
        Their mean, and the limit above which one is remarkable.
    """

    centre: float
    lower: float
    upper: float
    sigma: float
    ranges: NDArray[np.float64]
    mean_range: float
    upper_range: float


@dataclass(frozen=True, slots=True)
class EwmaChart:
    """Exponentially weighted moving average with limits that widen to their final ones.

    Attributes
    ----------
    averages, lower, upper : ndarray, shape (n,), float64
    final_lower, final_upper : float
        Limits after many values.
    """

    averages: NDArray[np.float64]
    lower: NDArray[np.float64]
    upper: NDArray[np.float64]
    final_lower: float
    final_upper: float


def individuals_chart(values: NDArray[np.float64]) -> IndividualsChart:
    """Work out an individuals and moving range chart.

    Parameters
    ----------
    values : ndarray, shape (n,), float64
        In the order of time, at least two.

    Raises
    ------
    ValueError
        With fewer than two values.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, doi:10.18434/M32189, section 6.3.2.2.
    """
    if len(values) < 2:  # noqa: PLR2004 - a range needs two
        raise ValueError("a moving range needs two values")
    ranges = np.abs(np.diff(values))
    mean_range = float(ranges.mean())
    sigma = mean_range / D2
    centre = float(values.mean())
    return IndividualsChart(
        centre,
        centre - WIDTH * sigma,
        centre + WIDTH * sigma,
        sigma,
        ranges,
        mean_range,
        mean_range * (1 + WIDTH * D3 / D2),
    )


def ewma_chart(
    values: NDArray[np.float64], target: float, sigma: float, weight: float = WEIGHT
) -> EwmaChart:
    """Work out an EWMA chart.

    Parameters
    ----------
    values : ndarray, shape (n,), float64
        In the order of time.
    target : float
        Where the average starts and what it is held against.
    sigma : float
        Standard deviation of single values.
    weight : float
        Of the newest value, above 0, at most 1.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, doi:10.18434/M32189, section 6.3.2.4; limits
    for the k-th value: sigma² weight / (2 - weight) (1 - (1 - weight)^(2k)).
    """
    averages = np.empty(len(values))
    last = target
    for k, value in enumerate(values):
        last = weight * float(value) + (1 - weight) * last
        averages[k] = last
    final = WIDTH * sigma * math.sqrt(weight / (2 - weight))
    widths = final * np.sqrt(1 - (1 - weight) ** (2 * np.arange(1, len(values) + 1)))
    return EwmaChart(averages, target - widths, target + widths, target - final, target + final)
