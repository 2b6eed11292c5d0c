"""Random trials beside the sides and angles of a reading."""

from collections.abc import Sequence
from dataclasses import replace

from scribegauge.figure.fit import FigureFit
from scribegauge.plate.face import Face
from scribegauge.report.composequantities import shown_units
from scribegauge.report.judgereading import AngleTrials, SideTrials, TrialsReading
from scribegauge.report.reading import Reading, Reason
from scribegauge.uncertainty.budget import make_budget, try_budget
from scribegauge.uncertainty.propagation import Budget
from scribegauge.uncertainty.trials import Trials, compare

# Eight hexadecimal digits: any number of 32 bits.
_SEED_DIGITS = 8
WIDER = Reason(
    "trials_differ",
    "The random trials scatter wider than U says, so U is too small here. If the check bars were "
    "read a few times only and the readings scatter, measure them again and give each pair with "
    "--bars; otherwise take the trials' interval instead of U.",
)
NARROWER = Reason(
    "trials_differ",
    "The random trials scatter less widely than U says, so U is on the safe side here: what limits "
    "it most has firm bounds.",
)


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
    units = shown_units(n)
    agreement = compare(budget, trials, units)
    mean, u, low, high = (part * units for part in (trials.mean, trials.u, trials.low, trials.high))

    def numbers(index: int) -> tuple[float, float, float, float, float]:
        return (
            *(float(mean[index]), float(u[index]), float(low[index]), float(high[index])),
            float(agreement.tolerance[index]),
        )

    def why(index: int) -> tuple[Reason, ...]:
        if agreement.agrees[index] is not False:
            return ()
        return (WIDER,) if agreement.wider[index] else (NARROWER,)

    return replace(
        reading,
        sides=tuple(
            side
            if side.measured_mm is None
            else replace(
                side,
                reasons=(*side.reasons, *why(k)),
                trials=SideTrials(*numbers(k), agreement.agrees[k]),
            )
            for k, side in enumerate(reading.sides)
        ),
        angles=tuple(
            angle
            if angle.measured_deg is None
            else replace(
                angle,
                reasons=(*angle.reasons, *why(n + k)),
                trials=AngleTrials(*numbers(n + k), agreement.agrees[n + k]),
            )
            for k, angle in enumerate(reading.angles)
        ),
        trials=TrialsReading(trials.count, trials.seed),
    )
