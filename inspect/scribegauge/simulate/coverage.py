"""How often U holds: hundreds of drawn plates for each of what a person may have given.

Run as ``python -m scribegauge.simulate.coverage --plates 500``; a plate takes 0.1 to 0.3 s.
"""

from collections.abc import Callable
from dataclasses import dataclass

import click
import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.poses import Given, Trial, try_plate
from scribegauge.uncertainty.propagation import COVERAGE_FACTOR

Array = NDArray[np.float64]

KINDS = {
    "profile": Given(),
    "no profile": Given(profile=False),
    "no bars": Given(bars=False),
    "unknown thickness": Given(thickness=False),
    "two photos": Given(photos=2),
    "two photos, unknown thickness": Given(thickness=False, photos=2),
    "two photos, no profile": Given(profile=False, photos=2),
}
# What two standard uncertainties hold of a normal distribution, and how near coverage has to be.
WANTED, NEAR = 0.9545, 0.015
HEADER = "{:32}{:>17}{:>8}{:>8}{:>11}{:>11}"
ROW = "{:32}{:>9.1%} ±{:>5.1%}{:>8.1%}{:>8.1%}{:>8.0f} um{:>8.3f}"


@dataclass(frozen=True, slots=True)
class Coverage:
    """How often true values lay within U.

    Attributes
    ----------
    share, u_share : float
        Of all sides and angles, and the standard error of that. What one plate shares makes its
        numbers alike, so that the error is that of plates, not of numbers.
    sides, angles : float
        The share of either.
    spread : float
        Root mean square of error over standard uncertainty: 1 when U is right.
    U_side_mm : float
        Median.
    """

    share: float
    u_share: float
    sides: float
    angles: float
    spread: float
    U_side_mm: float


def coverage_of(
    given: Given, seeds: range, after_each: Callable[[], object] | None = None
) -> Coverage:
    """Measure one plate for each seed and count.

    Parameters
    ----------
    given : Given
    seeds : range
    after_each : callable, optional
        To tell somebody who waits.
    """
    trials = []
    for seed in seeds:
        trials.append(try_plate(given, seed))
        if after_each is not None:
            after_each()
    return count(trials)


def count(trials: list[Trial]) -> Coverage:
    """Count how often U held."""
    off = [np.abs(trial.error) / trial.budget.expanded for trial in trials]
    sides, angles = (np.concatenate([np.split(each, 2)[k] for each in off]) for k in (0, 1))
    plates = np.array([np.mean(each <= 1) for each in off])
    sizes = [np.split(trial.budget.expanded, 2)[0] for trial in trials]
    return Coverage(
        share=float(plates.mean()),
        u_share=float(plates.std(ddof=1) / np.sqrt(len(plates))),
        sides=float((sides <= 1).mean()),
        angles=float((angles <= 1).mean()),
        spread=COVERAGE_FACTOR * float(np.sqrt(np.mean(np.concatenate([sides, angles]) ** 2))),
        U_side_mm=float(np.median(np.concatenate(sizes))),
    )


@click.command()
@click.option("--plates", default=500, show_default=True, help="Plates for each kind.")
@click.option("--first-seed", default=0, show_default=True, help="Of the first plate.")
@click.option("--only", multiple=True, type=click.Choice(list(KINDS)), help="Only these kinds.")
def main(plates: int, first_seed: int, only: tuple[str, ...]) -> None:
    """Count how often true values lie within U, for each of what a person may have given."""
    click.echo(HEADER.format("given", "within U", "sides", "angles", "U of sides", "error/u"))
    short = []
    for name in only or KINDS:
        found = coverage_of(KINDS[name], range(first_seed, first_seed + plates))
        numbers = found.share, found.u_share, found.sides, found.angles
        click.echo(ROW.format(name, *numbers, 1000 * found.U_side_mm, found.spread))
        # Beside the 1.5 % what chance alone does in so few plates, nineteen times in twenty.
        if abs(found.share - WANTED) > NEAR + 2 * found.u_share:
            short.append(name)
    if short:
        raise click.ClickException(f"U does not hold for: {', '.join(short)}.")


if __name__ == "__main__":
    main()
