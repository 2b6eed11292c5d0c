"""The reading's records of judgement: covariance, random trials, grades."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CovarianceReading:
    """Covariance of all measured sides and angles with each other.

    `quantities` names them as ``"A-B"`` (mm) and ``"A"`` (degrees); an entry of `matrix_mm_deg` is
    in the product of its row's and its column's unit.
    """

    quantities: tuple[str, ...]
    matrix_mm_deg: tuple[tuple[float, ...], ...]


@dataclass(frozen=True, slots=True)
class SideTrials:
    """A side by random trials: standard uncertainty, and the shortest interval of 95 %.

    `tolerance_mm` is what the ends of the interval may differ by from those of first order;
    `agrees` is None where the trials are too few to tell.
    """

    mean_mm: float
    u_mm: float
    low_mm: float
    high_mm: float
    tolerance_mm: float
    agrees: bool | None


@dataclass(frozen=True, slots=True)
class AngleTrials:
    """An angle by random trials, as `SideTrials`."""

    mean_deg: float
    u_deg: float
    low_deg: float
    high_deg: float
    tolerance_deg: float
    agrees: bool | None


@dataclass(frozen=True, slots=True)
class TrialsReading:
    """How many random trials were made; count and seed give the same numbers again."""

    count: int
    seed: int


@dataclass(frozen=True, slots=True)
class CriterionReading:
    """One number that was graded, `value` and `U` (k = 2) in the unit that `by` ends in.

    None where nothing was measured; `possible` are the grades that it allows, the best first.
    """

    by: str
    value: float | None
    U: float | None
    possible: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GradeReading:
    """The plate's grade by the bands of its layout.

    `possible` holds more than one grade where U reaches over a border, the best first.
    """

    possible: tuple[str, ...]
    criteria: tuple[CriterionReading, ...]
