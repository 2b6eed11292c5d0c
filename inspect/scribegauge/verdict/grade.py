"""A grade for the whole plate, by the teacher's own bands; two where U reaches over a border."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.layout import GradeBands
from scribegauge.verdict.decide import decide

COVERAGE_FACTOR = 2.0

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Deviations:
    """Deviations of one kind (n,), NaN where not measured, and their covariance (n, n)."""

    values: Array
    covariance: Array


@dataclass(frozen=True, slots=True)
class Criterion:
    """One number that was graded: `value` and `expanded` (k = 2) in the unit that `by` ends in."""

    by: str
    value: float | None
    expanded: float | None
    possible: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Grade:
    """The grades that this plate may have, best first; more than one when U leaves it open."""

    possible: tuple[str, ...]
    criteria: tuple[Criterion, ...]


def grade_plate(bands: GradeBands, deviations: Mapping[str, Deviations]) -> Grade:
    """Grade a plate; the worst of all criteria counts.

    Parameters
    ----------
    bands : GradeBands
    deviations : mapping
        ``"mm"``: of the sides; ``"deg"``: of the angles.

    Returns
    -------
    Grade
        A grade is possible unless the plate is proven to miss it or to do better, by the same rule
        as for one tolerance (ISO 14253-1:2017, clause 5). What was not measured may be anything.
    """
    names = (*bands.names, bands.beyond)
    best = worst = 0
    criteria = []
    for by, limits in bands.limits.items():
        kind, unit = by.split("_")
        rows = deviations[unit]
        row = _largest(rows, limits) if kind == "largest" else _rms(rows, limits)
        best, worst = max(best, row.best), max(worst, row.worst)
        possible = names[row.best : row.worst + 1]
        criteria.append(Criterion(by, row.value, row.expanded, possible))
    return Grade(names[best : worst + 1], tuple(criteria))


@dataclass(frozen=True, slots=True)
class _Row:
    value: float | None
    expanded: float | None
    best: int
    worst: int


def _largest(rows: Deviations, limits: tuple[float, ...]) -> _Row:
    """Grade by the largest deviation: each one must keep within a band's limit."""
    seen = np.flatnonzero(np.isfinite(rows.values))
    sizes = [float(abs(rows.values[k])) for k in seen]
    expanded = [COVERAGE_FACTOR * float(np.sqrt(rows.covariance[k, k])) for k in seen]
    words = [
        {decide(size, u, limit) for size, u in zip(sizes, expanded, strict=True)}
        for limit in limits
    ]
    best = next((k for k, said in enumerate(words) if "outside" not in said), len(limits))
    whole = len(seen) == len(rows.values)
    sure = (k for k, said in enumerate(words) if whole and said == {"within"})
    top = int(np.argmax(sizes)) if sizes else None
    value, u = (None, None) if top is None else (sizes[top], expanded[top])
    return _Row(value, u, best, next(sure, len(limits)))


def _rms(rows: Deviations, limits: tuple[float, ...]) -> _Row:
    """Grade by the root of the mean squared deviation."""
    seen = np.flatnonzero(np.isfinite(rows.values))
    if not len(seen):
        return _Row(None, None, 0, len(limits))
    count = len(seen)
    off, covariance = rows.values[seen], rows.covariance[np.ix_(seen, seen)]
    value = float(np.sqrt((off**2).mean()))
    # First order; where nothing is off, no direction is known and the mean variance is taken.
    variance = np.trace(covariance) / count
    if value > 0:
        slope = off / (count * value)
        variance = slope @ covariance @ slope
    expanded = COVERAGE_FACTOR * float(np.sqrt(variance))
    # Were all that was not seen perfect, the mean over all would be so much smaller.
    least = np.sqrt(count / len(rows.values))
    best = (
        k
        for k, limit in enumerate(limits)
        if decide(value * least, expanded * least, limit) != "outside"
    )
    sure = (
        k
        for k, limit in enumerate(limits)
        if count == len(rows.values) and decide(value, expanded, limit) == "within"
    )
    return _Row(value, expanded, next(best, len(limits)), next(sure, len(limits)))
