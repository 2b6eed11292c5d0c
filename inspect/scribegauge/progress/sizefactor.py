"""How a hand's error grows with the size of the figure."""

#: Sides of this length are what all others are compared as.
REFERENCE_MM = 50.0


def size_factor(side_mm: float) -> float:
    """Return how much larger an error may be on a side than on one of 50 mm, for the same care.

    Parameters
    ----------
    side_mm : float
        Length of the side [mm].

    References
    ----------
    Standard tolerance factor of ISO 286-1: i = 0.45 ∛D + 0.001 D, D in mm; it is what workshops
    found to be equal trouble at every size.
    """
    return _units(side_mm) / _units(REFERENCE_MM)


def _units(side_mm: float) -> float:
    return float(0.45 * side_mm ** (1 / 3) + 0.001 * side_mm)
