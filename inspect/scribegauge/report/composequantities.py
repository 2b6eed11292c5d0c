"""Sides and angles as a reading has them: values, budgets, verdicts."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm
from scribegauge.report.cautions import far_aside
from scribegauge.report.judgereading import CovarianceReading, CriterionReading, GradeReading
from scribegauge.report.reading import AngleReading, Reason, SideReading, Term
from scribegauge.uncertainty.propagation import Budget
from scribegauge.verdict.conformity import probability_within
from scribegauge.verdict.decide import decide
from scribegauge.verdict.grade import Deviations, grade_plate
from scribegauge.verdict.limits import limits_of
from scribetarget.wording import say

# So many degrees of freedom, and k = 2 is as good as with all the readings in the world (JCGM
# 100:2008, G.6.6 asks for more than 10; the reading gives the number as far as it says anything).
FEWEST_FREEDOM, MOST_FREEDOM = 10, 999


def _not_seen() -> Reason:
    return Reason("side_not_seen", say("This side's line does not stand out from the metal."))


def _far_aside() -> Reason:
    text = say("A line that this depends on lies far aside and may be another line.")
    return Reason("line_far_aside", text)


def _no_corner() -> Reason:
    text = say("The line of a neighbouring side was not seen, so a corner is missing.")
    return Reason("corner_not_seen", text)


def _few_readings() -> Reason:
    text = say(
        "U rests on few readings that scatter, so it may be too small by more than a tenth. Measure "
        "both check bars again, several times, and give each pair with its own --bars."
    )
    return Reason("few_readings", text)


def _no_tolerance() -> Reason:
    text = say(
        "The class of ISO 2768-1 gives no tolerance for a side this short, so it is not judged."
    )
    return Reason("size_without_tolerance", text)


@dataclass(frozen=True, slots=True)
class _Worth:
    """What is said of one measured quantity, in the unit that it is shown in."""

    deviation: float
    expanded: float
    verdict: str | None
    terms: tuple[Term, ...]
    degrees_of_freedom: int | None
    p_conform: float | None
    reasons: tuple[Reason, ...]


def side_readings(fit: FigureFit, budget: Budget) -> tuple[SideReading, ...]:
    """Return every side, those not found with the reason why.

    Parameters
    ----------
    fit : FigureFit
    budget : Budget
        Of its sides and angles.
    """
    n = len(fit.layout.names)
    intended = side_lengths_mm(fit.layout.vertices_mm)
    allowed = limits_of(fit.layout).side_mm
    rows = []
    for side in range(n):
        ends = fit.layout.names[side], fit.layout.names[(side + 1) % n]
        wanted, measured, limit = float(intended[side]), float(budget.values[side]), allowed[side]
        if not np.isfinite(measured):
            why = _not_seen() if fit.merged.lines[side] is None else _no_corner()
            gone = SideReading(*ends, wanted, None, None, None, None, (why,), ())
            rows.append(gone)
            continue
        worth = _worth(budget, side, measured - wanted, 1.0, limit)
        doubts = _doubts(fit, side - 1, side, (side + 1) % n)
        short = fit.layout.tolerance.iso2768 is not None and limit is None
        rows.append(
            SideReading(
                *(*ends, wanted, measured, worth.deviation, worth.expanded, worth.verdict),
                (*doubts, *worth.reasons, *((_no_tolerance(),) if short else ())),
                worth.terms,
                degrees_of_freedom=worth.degrees_of_freedom,
                tolerance_mm=limit,
                p_conform=worth.p_conform,
            )
        )
    return tuple(rows)


def angle_readings(fit: FigureFit, budget: Budget) -> tuple[AngleReading, ...]:
    """Return every angle, as `side_readings` does."""
    n = len(fit.layout.names)
    intended = inside_angles_deg(fit.layout.vertices_mm)
    allowed = limits_of(fit.layout).angle_deg
    rows = []
    for vertex, name in enumerate(fit.layout.names):
        wanted, measured = float(intended[vertex]), float(np.degrees(budget.values[n + vertex]))
        if not np.isfinite(measured):
            missing = fit.merged.lines[vertex] is None or fit.merged.lines[vertex - 1] is None
            why = _not_seen() if missing else _no_corner()
            rows.append(AngleReading(name, wanted, None, None, None, None, (why,), ()))
            continue
        limit = allowed[vertex]
        worth = _worth(budget, n + vertex, measured - wanted, float(np.degrees(1.0)), limit)
        rows.append(
            AngleReading(
                *(name, wanted, measured, worth.deviation, worth.expanded, worth.verdict),
                (*_doubts(fit, vertex - 1, vertex), *worth.reasons),
                worth.terms,
                degrees_of_freedom=worth.degrees_of_freedom,
                tolerance_deg=limit,
                p_conform=worth.p_conform,
            )
        )
    return tuple(rows)


def common_tolerance(allowed: tuple[float | None, ...]) -> float | None:
    """Return the tolerance that all have in common; None where they differ or have none."""
    return allowed[0] if len(set(allowed)) == 1 else None


def covariance_reading(fit: FigureFit, budget: Budget) -> CovarianceReading:
    """Return the covariance of what was measured, in mm and degrees."""
    names = fit.layout.names
    sides = [f"{names[k]}-{names[(k + 1) % len(names)]}" for k in range(len(names))]
    units = shown_units(len(names))
    seen = np.flatnonzero(np.isfinite(budget.values))
    matrix = (budget.covariance * np.outer(units, units))[np.ix_(seen, seen)]
    labels = [*sides, *names]
    return CovarianceReading(
        tuple(labels[k] for k in seen), tuple(tuple(map(float, row)) for row in matrix)
    )


def grade_reading(fit: FigureFit, budget: Budget) -> GradeReading | None:
    """Return the plate's grade; None where the layout gives no bands."""
    layout, n = fit.layout, len(fit.layout.names)
    if layout.grade is None:
        return None
    units = shown_units(n)
    covariance = budget.covariance * np.outer(units, units)
    intended = np.concatenate(
        [side_lengths_mm(layout.vertices_mm), inside_angles_deg(layout.vertices_mm)]
    )
    off = budget.values * units - intended
    kinds = {"mm": slice(n), "deg": slice(n, None)}
    deviations = {unit: Deviations(off[at], covariance[at, at]) for unit, at in kinds.items()}
    grade = grade_plate(layout.grade, deviations)
    rows = [
        CriterionReading(row.by, row.value, row.expanded, row.possible) for row in grade.criteria
    ]
    return GradeReading(grade.possible, tuple(rows))


def shown_units(sides: int) -> NDArray[np.float64]:
    """Return what takes a budget's numbers (2n,) to mm and degrees."""
    return np.repeat([1.0, float(np.degrees(1.0))], sides)


def _worth(
    budget: Budget, index: int, deviation: float, unit: float, limit: float | None
) -> _Worth:
    u, freedom = float(budget.combined[index]) * unit, float(budget.degrees_of_freedom[index])
    expanded = float(budget.expanded[index]) * unit
    few = (_few_readings(),) if freedom < FEWEST_FREEDOM else ()
    sizes = {cause: float(budget.standard(cause)[index]) * unit for cause in budget.terms}
    return _Worth(
        deviation=deviation,
        expanded=expanded,
        verdict=None if limit is None else decide(deviation, expanded, limit),
        terms=tuple(Term(name, u) for name, u in sorted(sizes.items(), key=lambda t: -t[1])),
        degrees_of_freedom=int(freedom) if freedom <= MOST_FREEDOM else None,
        p_conform=None
        if limit is None
        else probability_within(deviation, u, -limit, limit, freedom),
        reasons=few,
    )


def _doubts(fit: FigureFit, *lines: int) -> tuple[Reason, ...]:
    """Return what speaks against a quantity that depends on some sides' lines."""
    return (_far_aside(),) if far_aside(fit)[list(lines)].any() else ()
