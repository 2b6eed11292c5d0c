"""What a person measures on the finished work to see whether it came out."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.method import exact_places, figures_of
from scribegauge.construction.record import POINTS, GivenPoint, Meet, Plan, StepOff
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm

_SAME = 0.005  # mm or degrees: what a table to the hundredth cannot tell apart
_MOST = 9
_LAST_TWO = 2

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Check:
    """One measurement: what it is, what is intended, and what the method gives when perfect."""

    what: str
    intended: float
    method: float
    unit: str

    @property
    def alike(self) -> bool:
        """Whether the method gives what is intended, as far as anybody can measure."""
        return abs(self.method - self.intended) < _SAME


def checks_of(plan: Plan) -> tuple[Check, ...]:
    """Return check measurements of a construction: sides, diagonals and angles, or distances.

    Parameters
    ----------
    plan : Plan
    """
    rows = list(_of_figure(plan)) if plan.vertices else list(_of_points(plan))
    return tuple(rows[:_MOST])


def _of_figure(plan: Plan) -> Iterator[Check]:
    figures = figures_of(plan)
    names, n = plan.vertices, len(plan.vertices)
    sides = [f"{names[k]} to {names[(k + 1) % n]}" for k in range(n)]
    lengths = side_lengths_mm(figures.intended_mm), side_lengths_mm(figures.method_mm)
    yield from _grouped(sides, *lengths, "mm")
    if plan.sides:
        angles = inside_angles_deg(figures.intended_mm), inside_angles_deg(figures.method_mm)
        yield from _grouped([f"angle {name}" for name in names], *angles, "°")
    across = [(0, k) for k in range(2, n - 1)]
    across += [(1, 3)] if n == 4 else []  # noqa: PLR2004 - of a square both diagonals tell
    far = [f"{names[a]} to {names[b]}" for a, b in across]
    apart = _apart(figures.intended_mm, across), _apart(figures.method_mm, across)
    yield from _grouped(far, *apart, "mm")


def _of_points(plan: Plan) -> Iterator[Check]:
    """Measure from the points given to those found last."""
    places = exact_places(plan)
    points = [step for step in plan.steps if isinstance(step, POINTS)]
    given = [step.mark for step in points if isinstance(step, GivenPoint)]
    last = points[-_LAST_TWO:]
    both = all(isinstance(s, Meet | StepOff) for s in last) and _alike(last)
    chosen = dict.fromkeys([*given, *(step.mark for step in (last if both else last[-1:]))])
    for first, second in combinations(chosen, 2):
        length = abs(complex(places[second]) - complex(places[first]))  # type: ignore[arg-type]
        yield Check(f"{first} to {second}", length, length, "mm")


def _alike(steps: list[POINTS]) -> bool:
    """Tell whether points are the two meetings of the same marks."""
    of = {step.of for step in steps if isinstance(step, Meet)}
    return len(of) == 1


def _grouped(names: list[str], intended: Points, method: Points, unit: str) -> Iterator[Check]:
    """Yield each size once, with how many have it."""
    rows = list(zip(names, intended.tolist(), method.tolist(), strict=True))
    while rows:
        name, wanted, given = rows[0]
        same = [r for r in rows if abs(r[1] - wanted) < _SAME and abs(r[2] - given) < _SAME]
        rows = [row for row in rows if row not in same]
        more = f", and {len(same) - 1} like it" if len(same) > 1 else ""
        yield Check(f"{name}{more}", wanted, given, unit)


def _apart(points: Points, pairs: list[tuple[int, int]]) -> Points:
    return np.array([float(np.hypot(*(points[b] - points[a]))) for a, b in pairs])
