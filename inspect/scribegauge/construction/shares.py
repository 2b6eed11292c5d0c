"""What each step's own error did to the finished figure.

The figure is made once perfectly, then with the first step's own error and all else perfect from
it, then with the first two, and so on to the figure as scribed. What a step changes on this way is
its share; the shares of all steps add up to the hand's whole error, whatever the errors' size.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.engine import run_with_slips
from scribegauge.construction.method import lines_of, points_of
from scribegauge.construction.record import Plan
from scribegauge.construction.replay import Replay
from scribegauge.construction.values import Slip, Value
from scribegauge.figure.fit import angles_of, area_sign, sides_of
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Shares:
    """Sides [mm] and then angles [°] of one figure, shape (2n,), and who changed them.

    Attributes
    ----------
    method, scribed : ndarray, shape (2n,)
        Of the perfect method and of the replayed marks.
    by_step : ndarray, shape (S, 2n)
        What each step's own error changed, in the plan's order; the rows add up to
        ``scribed - method``.
    """

    method: Matrix
    scribed: Matrix
    by_step: Matrix


def shares_of(replayed: Replay) -> Shares:
    """Divide the hand's error of every side and angle among the steps.

    Parameters
    ----------
    replayed : Replay
        Of a plan with a figure.

    Raises
    ------
    StepError
        When a step cannot be done with some of the errors left out.
    """
    plan = replayed.plan
    slips: dict[str, Slip] = {}
    rows = [quantities(plan, run_with_slips(plan, slips, replayed.frame))]
    for step in replayed.steps:
        if any(step.own):
            slips[step.mark] = step.own
            rows.append(quantities(plan, run_with_slips(plan, slips, replayed.frame)))
        else:
            rows.append(rows[-1])
    return Shares(rows[0], rows[-1], np.diff(np.array(rows), axis=0))


def quantities(plan: Plan, places: dict[str, Value]) -> Matrix:
    """Return sides [mm] and angles [°] of a plan's figure, shape (2n,).

    Of the lines that are its sides, as a reading has them; of its points where none are drawn.
    """
    points = points_of(places, plan.vertices)
    if not plan.sides:
        return np.concatenate([side_lengths_mm(points), inside_angles_deg(points)])
    lines = lines_of(places, plan)
    angles = np.degrees(angles_of(lines, area_sign(points)))
    return np.concatenate([sides_of(lines), angles])
