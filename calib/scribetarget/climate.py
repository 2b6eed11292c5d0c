"""How far a printed sheet may have grown or shrunk since its bars were measured."""

import numpy as np
from numpy.typing import NDArray

# Paper grows 10 to 100 ppm per % of relative humidity, more across its fibres than along them: what
# both directions of a sheet share, and what each adds for itself.
PER_HUMIDITY_BOTH, PER_HUMIDITY_EACH = 3e-5, 1.5e-5
# A room changes by a few % between the caliper and the photo, were it only by the people in it.
U_ROOM_PERCENT = 2.0
# Heated rooms have some 30 % in winter and 60 % in summer (common knowledge of temperate climates,
# no source): a wave over the year whose highest point lies so far above its middle.
SEASON_PERCENT = 15.0
YEAR_DAYS = 365.25


def season_percent(age_days: float) -> float:
    """Return by how much the season has changed a room's humidity (RMS over all dates).

    A wave of amplitude a is apart by sqrt(2) a |sin(pi t / year)| (RMS) between dates that are t
    apart; after half a year it would come back, but no one year is like the last.

    Parameters
    ----------
    age_days : float
        Between measuring the bars and the photo, either way.

    Returns
    -------
    float
        Percent of relative humidity.
    """
    share = min(abs(age_days) / YEAR_DAYS, 0.5)
    return float(np.sqrt(2.0) * SEASON_PERCENT * np.sin(np.pi * share))


def growth_covariance(humidity_percent: float) -> NDArray[np.float64]:
    """Return the relative covariance (2, 2) of a sheet's two lengths for a change of humidity.

    Parameters
    ----------
    humidity_percent : float
        Standard uncertainty of the change in relative humidity.
    """
    each = np.eye(2) * PER_HUMIDITY_EACH**2
    return (np.full((2, 2), PER_HUMIDITY_BOTH**2) + each) * humidity_percent**2
