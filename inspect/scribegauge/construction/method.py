"""The intended figure and the one that the method gives when it is done perfectly."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.engine import run_exactly
from scribegauge.construction.errors import StepError
from scribegauge.construction.record import Construction, Plan
from scribegauge.construction.values import Line, Value
from scribegauge.errors import UseError
from scribegauge.figure.polygon import signed_area_mm2

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Figures:
    """Vertices (n, 2) of the intended figure and of the perfect method's, in the plan's frame."""

    intended_mm: Points
    method_mm: Points


def figures_of(plan: Plan) -> Figures:
    """Return what a construction is meant to give, and what it gives when done perfectly.

    Parameters
    ----------
    plan : Plan
        With a figure.

    Raises
    ------
    UseError
        ``construction_impossible``, as `exact_places`.
    """
    places = exact_places(plan)
    method = points_of(places, plan.vertices)
    return Figures(_intended(plan, places, method), method)


def exact_places(plan: Plan) -> dict[str, Value]:
    """Do a construction perfectly.

    Raises
    ------
    UseError
        ``construction_impossible``: a step cannot be done at these sizes.
    """
    try:
        return run_exactly(plan)
    except StepError as error:
        raise UseError(
            "construction_impossible",
            f"Step {error.number} of {plan.name} (mark {error.mark}) cannot be done: {error.text}.",
            "Choose other sizes for the construction.",
        ) from error


def size_names(construction: Construction) -> tuple[str, ...]:
    """Return the sizes that are lengths; the others are numbers and angles."""
    return tuple(name for name in construction.sizes if name.endswith("_mm"))


def points_of(places: dict[str, Value], names: tuple[str, ...]) -> Points:
    """Return where some points lie, shape (N, 2) [mm]."""
    points = [complex(places[name]) for name in names]  # type: ignore[arg-type]
    return np.array([(point.real, point.imag) for point in points]).reshape(-1, 2)


def lines_of(places: dict[str, Value], plan: Plan) -> Points:
    """Return each side's line as two of its points, shape (n, 2, 2) [mm], turned round the figure."""
    rows = []
    corners = points_of(places, plan.vertices)
    for k, name in enumerate(plan.sides):
        line = places[name]
        if not isinstance(line, Line):
            raise TypeError(f"{name} is no line")
        ends = np.array([[p.real, p.imag] for p in (line.start, line.end)])
        way = corners[(k + 1) % len(corners)] - corners[k]
        rows.append(ends if (ends[1] - ends[0]) @ way > 0 else ends[::-1])
    return np.array(rows)


def laid_over(points_mm: Points, wanted_mm: Points) -> Points:
    """Turn and shift points so that they lie best over others, by least squares.

    Parameters
    ----------
    points_mm, wanted_mm : ndarray, shape (n, 2), float64

    Returns
    -------
    ndarray, shape (n, 2), float64
        Never mirrored or made larger.

    References
    ----------
    Kabsch, Acta Crystallographica A 32 (1976) 922; in the plane the turn is that of
    sum(conj(p) q).
    """
    return turned(points_mm, points_mm, wanted_mm)


def turned(points_mm: Points, from_mm: Points, wanted_mm: Points) -> Points:
    """Take points (N, 2) along when others are laid best over wanted ones, both (n, 2)."""
    middle, aim = from_mm.mean(axis=0), wanted_mm.mean(axis=0)
    start, end = (from_mm - middle) @ [1, 1j], (wanted_mm - aim) @ [1, 1j]
    overlap = np.vdot(start, end)
    turn = overlap / abs(overlap) if overlap else 1.0  # figures without anything in common
    moved = (points_mm - middle) @ [1, 1j] * turn
    return np.asarray(np.column_stack([moved.real, moved.imag]) + aim)


def _intended(plan: Plan, places: dict[str, Value], method_mm: Points) -> Points:
    if plan.intended is None:
        return method_mm
    n = len(method_mm)
    hand = float(np.sign(signed_area_mm2(method_mm)))
    start = complex(*method_mm[0])
    step = np.exp(1j * hand * 2 * np.pi * np.arange(n) / n)
    if plan.intended.on is not None:
        side = complex(*method_mm[1]) - start
        points = start + side * np.concatenate([[0], np.cumsum(step)[:-1]])
    else:
        centre = complex(places[plan.intended.about or ""])  # type: ignore[arg-type]
        points = centre + (start - centre) * step
    return np.column_stack([points.real, points.imag])
