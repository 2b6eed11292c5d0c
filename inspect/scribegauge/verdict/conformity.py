"""How probable it is that what was measured conforms."""

import math

from scipy.special import ndtr, stdtr


def probability_within(
    value: float, u: float, lower: float, upper: float, degrees_of_freedom: float = math.inf
) -> float:
    """Return the probability that the true value lies within limits.

    Parameters
    ----------
    value, u, lower, upper : float
        Same unit; `u` is standard. A limit may be infinite.
    degrees_of_freedom : float
        Of `u`: few readings make the tails heavier (Student's t).

    Returns
    -------
    float
        0 to 1.

    References
    ----------
    JCGM 106:2012, 7.3 and 7.4, nothing being known of the value beforehand; for few readings
    JCGM 101:2008, 6.4.9.
    """
    if u <= 0:
        return 1.0 if lower <= value <= upper else 0.0
    # From the nearer tails: of a value far within, the rest would be rounded away.
    above, below = (value - upper) / u, (lower - value) / u
    if math.isinf(degrees_of_freedom):
        outside = float(ndtr(above)) + float(ndtr(below))
    else:
        outside = float(stdtr(degrees_of_freedom, above) + stdtr(degrees_of_freedom, below))
    return min(max(1.0 - outside, 0.0), 1.0)
