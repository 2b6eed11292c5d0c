"""The numbers that are followed over the weeks, and how each is made comparable."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from scribegauge.progress.record import Attempt, Measured, Score
from scribegauge.progress.regression import Values
from scribegauge.progress.sizefactor import REFERENCE_MM, size_factor


@dataclass(frozen=True, slots=True)
class Measure:
    """One number of every plate.

    Attributes
    ----------
    name : str
        Stable, for scripts.
    words : str
        For a sentence.
    unit : str
    how : str
        How different sizes were made comparable.
    take : callable
        From a score to the number as measured, None where there is none.
    factor : callable
        From the size of the figure [mm] to what the number is divided by.
    """

    name: str
    words: str
    unit: str
    how: str
    take: Callable[[Score], Measured | None]
    factor: Callable[[float], float]


@dataclass(frozen=True, slots=True)
class Series:
    """One measure of one pupil over time, made comparable.

    Attributes
    ----------
    measure : Measure
    attempts : tuple of Attempt
        Those that have the number, in the order they were made.
    values : Values
        Divided by the factor of their size.
    """

    measure: Measure
    attempts: tuple[Attempt, ...]
    values: Values


def _no_factor(_size_mm: float) -> float:
    return 1.0


def _angle_factor(size_mm: float) -> float:
    """Return how an angle's error shrinks with its sides: the ends' error over their length."""
    return size_factor(size_mm) * REFERENCE_MM / size_mm


_AS_50 = "as on sides of 50 mm: errors grow with size as the tolerance factor of ISO 286-1"
MEASURES = (
    Measure("side_rms", "side error", "mm", _AS_50, lambda s: s.side_rms_mm, size_factor),
    Measure(
        "side_largest", "largest side error", "mm", _AS_50, lambda s: s.side_largest_mm, size_factor
    ),
    Measure(
        "angle_rms",
        "angle error",
        "°",
        "as on sides of 50 mm: the error of a side's ends over its length",
        lambda s: s.angle_rms_deg,
        _angle_factor,
    ),
    Measure(
        "line_width",
        "line width",
        "mm",
        "as it is: a line's width does not depend on the figure",
        lambda s: s.line_width_mm,
        _no_factor,
    ),
    Measure(
        "prick",
        "prick error",
        "mm",
        "as it is: a prick's error does not depend on the figure",
        lambda s: s.prick_mm,
        _no_factor,
    ),
)


def series_of(measure: Measure, attempts: Sequence[Attempt]) -> Series:
    """Return one measure over time.

    Parameters
    ----------
    measure : Measure
    attempts : sequence of Attempt
        In the order they were made.
    """
    kept = [each for each in attempts if measure.take(each.score) is not None]
    found = [number for each in kept if (number := measure.take(each.score)) is not None]
    factors = np.array([_factor(measure, each.score) for each in kept])
    labels = list(dict.fromkeys(equipment_of(each.score) for each in kept))
    whole = np.array([number.U / 2 for number in found]) / factors
    shared = np.array([number.U_shared / 2 for number in found]) / factors
    return Series(
        measure,
        tuple(kept),
        Values(
            np.array([number.value for number in found]) / factors,
            np.sqrt(np.maximum(whole**2 - shared**2, 0.0)),
            shared,
            np.array([labels.index(equipment_of(each.score)) for each in kept], dtype=np.int64),
        ),
    )


def equipment_of(score: Score) -> tuple[str, str]:
    """Return camera and sheet: what a plate was measured with."""
    return score.camera, score.sheet


def kind_of(score: Score) -> str:
    """Return what is compared with itself only: a figure by a method, in any size."""
    return f"{score.method}|{score.figure}"


def _factor(measure: Measure, score: Score) -> float:
    return measure.factor(score.size_mm) if score.size_mm > 0 else 1.0
