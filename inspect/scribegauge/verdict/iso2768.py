"""General tolerances after ISO 2768-1:1989, tables 1 (lengths) and 3 (angles)."""

import math
from bisect import bisect_left
from typing import Final

CLASSES: Final = ("f", "m", "c", "v")

#: Up to and including these lengths [mm]; over 0.5 mm, which belongs to the first range itself.
_LENGTHS_UP_TO_MM: Final = (3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
_SHORTEST_MM: Final = 0.5
# Copies that print 0.15 and 0.2 for the first two of class c take them from the older DIN 7168.
_LENGTHS_MM: Final = {
    "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, None),
    "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
    "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
    "v": (None, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
}
_LEGS_UP_TO_MM: Final = (10.0, 50.0, 120.0, 400.0, math.inf)
# Copies that print 20' for class c over 120 mm are wrong.
_ANGLES_ARCMIN: Final = {
    "f": (60, 30, 20, 10, 5),
    "m": (60, 30, 20, 10, 5),
    "c": (90, 60, 30, 15, 10),
    "v": (180, 120, 60, 30, 20),
}
# Drawings give sizes to a hundredth at most: a side of 30.0004 mm between vertices rounded to a
# thousandth was meant to be 30 mm, and belongs to the range up to 30.
_NOMINAL_DECIMALS: Final = 2


def length_tolerance_mm(tolerance_class: str, nominal_mm: float) -> float | None:
    """Return what a length may be off either way.

    Parameters
    ----------
    tolerance_class : str
        One of `CLASSES`.
    nominal_mm : float
        Taken to the hundredth.

    Returns
    -------
    float or None
        [mm]; None where the standard gives none: below 0.5 mm, up to 3 mm in class v, and above
        the largest size.
    """
    nominal = round(nominal_mm, _NOMINAL_DECIMALS)
    row = bisect_left(_LENGTHS_UP_TO_MM, nominal)
    if nominal < _SHORTEST_MM or row == len(_LENGTHS_UP_TO_MM):
        return None
    return _LENGTHS_MM[tolerance_class][row]


def angle_tolerance_deg(tolerance_class: str, shorter_leg_mm: float) -> float:
    """Return what an angle may be off either way [degrees], by its shorter leg.

    Parameters
    ----------
    tolerance_class : str
        One of `CLASSES`.
    shorter_leg_mm : float
        Taken to the hundredth.
    """
    row = bisect_left(_LEGS_UP_TO_MM, round(shorter_leg_mm, _NOMINAL_DECIMALS))
    return _ANGLES_ARCMIN[tolerance_class][row] / 60
