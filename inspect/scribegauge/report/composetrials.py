"""Random trials beside the sides and angles of a reading."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.plate.face import Face
from scribegauge.report.composequantities import shown_units
from scribegauge.report.judgereading import AngleTrials, SideTrials, TrialsReading
from scribegauge.report.reading import Reading, Reason
from scribegauge.uncertainty.budget import make_budget, try_budget
from scribegauge.uncertainty.propagation import Budget
from scribegauge.uncertainty.trials import Trials, compare
from scribetarget.wording import say

# Eight hexadecimal digits: any number of 32 bits.
_SEED_DIGITS = 8


def _wider() -> Reason:
    text = say(
        "The random trials scatter wider than U says, so U is too small here. If the check bars were "
        "read a few times only and the readings scatter, measure them again and give each pair with "
        "--bars; otherwise take the trials' interval instead of U."
    )
    return Reason("trials_differ", text)


def _narrower() -> Reason:
    text = say(
        "The random trials scatter less widely than U says, so U is on the safe side here: what "
        "limits it most has firm bounds."
    )
    return Reason("trials_differ", text)


def with_trials(
    reading: Reading, fit: FigureFit, faces: Sequence[Face], count: int | None
) -> Reading:
    """Return a reading with what random trials say of each side and angle.

    Parameters
    ----------
    reading : Reading
    fit, faces
        What it was composed from.
    count : int or None
        Number of trials; None leaves the reading as it is. Their seed is taken from the first
        photo's fingerprint, so that the same photo gives the same numbers.

    Returns
    -------
    Reading
        Where trials and budget do not agree, the side or angle has a reason that says which way.
    """
    if count is None:
        return reading
    seed = int(reading.photos[0].sha256[:_SEED_DIGITS], 16)
    return beside(reading, make_budget(fit, faces), try_budget(fit, faces, count, seed))


def beside(reading: Reading, budget: Budget, trials: Trials) -> Reading:
    """Put trials beside the sides and angles of a reading, which a budget is of as well."""
    n = len(reading.sides)
    rows = _rows(budget, trials, shown_units(n))
    return replace(
        reading,
        sides=tuple(
            side
            if side.measured_mm is None
            else replace(
                side,
                reasons=(*side.reasons, *row.reasons),
                trials=SideTrials(*row.numbers, row.agrees),
            )
            for side, row in zip(reading.sides, rows[:n], strict=True)
        ),
        angles=tuple(
            angle
            if angle.measured_deg is None
            else replace(
                angle,
                reasons=(*angle.reasons, *row.reasons),
                trials=AngleTrials(*row.numbers, row.agrees),
            )
            for angle, row in zip(reading.angles, rows[n:], strict=True)
        ),
        trials=TrialsReading(trials.count, trials.seed),
    )


@dataclass(frozen=True, slots=True)
class _Row:
    """Of one quantity: mean, u, low, high and tolerance, whether trials and budget agree, and why."""

    numbers: tuple[float, float, float, float, float]
    agrees: bool | None
    reasons: tuple[Reason, ...]


def _rows(budget: Budget, trials: Trials, units: NDArray[np.float64]) -> list[_Row]:
    agreement = compare(budget, trials, units)
    parts = [part * units for part in (trials.mean, trials.u, trials.low, trials.high)]
    rows = []
    for k, agrees in enumerate(agreement.agrees):
        mean, u, low, high = (float(part[k]) for part in parts)
        differ = (_wider(),) if agreement.wider[k] else (_narrower(),)
        numbers = (mean, u, low, high, float(agreement.tolerance[k]))
        rows.append(_Row(numbers, agrees, differ if agrees is False else ()))
    return rows
