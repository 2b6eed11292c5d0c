"""A class side by side, honestly: who differs for sure, and nobody ranked within U."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.stats import norm

from scribegauge.progress.comparisons import holm
from scribegauge.progress.record import Measured
from scribegauge.progress.regression import Values, estimate

LEVEL = 0.05
# A median of normal values is so much less certain than their mean: √(π/2).
_MEDIAN = math.sqrt(math.pi / 2)
#: Fewer plates have no spread worth telling.
LEAST_PLATES = 3


@dataclass(frozen=True, slots=True)
class ClassSpread:
    """How one number varies over a class.

    Attributes
    ----------
    mean, U_mean : float
        Of the pupils, with its 95 % interval.
    spread : float
        Standard deviation between pupils that measuring does not explain; 0 where it explains all.
    above, below : tuple of str
        Codes of those who differ from the median of the others by more than measuring explains, all
        comparisons together.
    plates : int
    """

    mean: float
    U_mean: float
    spread: float
    above: tuple[str, ...]
    below: tuple[str, ...]
    plates: int


def class_spread(numbers: Mapping[str, Measured]) -> ClassSpread | None:
    """Compare the pupils of a class by one number each.

    Parameters
    ----------
    numbers : mapping
        By code.

    Returns
    -------
    ClassSpread or None
        None for fewer than three pupils.
    """
    codes = sorted(numbers)
    if len(codes) < LEAST_PLATES:
        return None
    values = np.array([numbers[code].value for code in codes])
    # All of it as own: what cameras and sheets have in common cancels in comparisons, so this is
    # on the safe side.
    u = np.array([max(numbers[code].U / 2, 1e-9) for code in codes])
    nothing = np.zeros(len(codes))
    found = estimate(
        np.ones((len(codes), 1)), Values(values, u, nothing, np.zeros(len(codes), np.int64))
    )
    stands, offs = _differing(values, u)
    sure = [(code, off) for code, off, stand in zip(codes, offs, stands, strict=True) if stand]
    return ClassSpread(
        float(found.coefficients[0]),
        found.half_width(0),
        found.scatter,
        tuple(code for code, off in sure if off > 0),
        tuple(code for code, off in sure if off < 0),
        len(codes),
    )


def _differing(
    values: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    u: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
) -> tuple[tuple[bool, ...], list[float]]:
    """Hold each value against the median of the others: measuring alone, Holm for all.

    Of the median, because one far value would move the mean away from all others.
    """
    offs, chances = [], []
    for k in range(len(values)):
        rest = np.arange(len(values)) != k
        off = float(values[k] - np.median(values[rest]))
        u_middle = _MEDIAN * math.sqrt(float((u[rest] ** 2).sum())) / int(rest.sum())
        offs.append(off)
        chances.append(float(2 * norm.sf(abs(off) / math.hypot(float(u[k]), u_middle))))
    return holm(chances, LEVEL), offs
