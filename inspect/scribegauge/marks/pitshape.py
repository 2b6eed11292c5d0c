"""What a round pit and its burr look like through the blur of lens and pixels."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ive

# Pricks by hand are 0.12 to 0.5 mm across.
NARROWEST_MM, WIDEST_MM = 0.045, 0.3
# The burr thrown up around a pit, over the pit's radius.
BURR_SHARE = 0.4
# The Gaussian's tail holds less than a grey level from here on, in standard deviations.
TAIL = 3.5
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_RADII, _PLACES = 32, 80


@dataclass(frozen=True, slots=True)
class PitTable:
    """Unit brightness of pits of all radii under one blur.

    Attributes
    ----------
    log_radii : ndarray, shape (32,)
    distances_mm : ndarray, shape (80,)
        From the pit's centre.
    seen : ndarray, shape (32, 4, 80)
        Wall, wall lit from one side, burr, burr lit from one side.
    """

    log_radii: NDArray[np.float64]
    distances_mm: NDArray[np.float64]
    seen: NDArray[np.float64]


def tabulate_pits(blur_mm: float) -> PitTable:
    """Work out pits of all radii for one blur (standard deviation [mm])."""
    log_radii = np.linspace(np.log(NARROWEST_MM), np.log(WIDEST_MM), _RADII)
    distances = np.linspace(0.0, WIDEST_MM * (1 + BURR_SHARE) + TAIL * blur_mm, _PLACES)
    seen = np.empty((_RADII, 4, _PLACES))
    for row, radius in enumerate(np.exp(log_radii)):
        wall, burr = (0.0, radius), (radius, radius * (1 + BURR_SHARE))
        for column, (rims, order) in enumerate(((wall, 0), (wall, 1), (burr, 0), (burr, 1))):
            seen[row, column] = blurred_ring(distances, rims, blur_mm, order)
    return PitTable(log_radii, distances, seen)


def pit_parts(
    table: PitTable, places_mm: NDArray[np.float64], log_radius: float
) -> NDArray[np.float64]:
    """Return the parts of a pit about the origin.

    Parameters
    ----------
    table : PitTable
    places_mm : ndarray, shape (N, 2), float64
        Relative to the pit's centre.
    log_radius : float
        Natural logarithm of the rim's radius [mm].

    Returns
    -------
    ndarray, shape (N, 6), float64
        Columns: wall (1 well inside the rim, 0 outside); wall times cosine and sine of the azimuth;
        burr; burr times cosine and sine.
    """
    distance = np.hypot(places_mm[:, 0], places_mm[:, 1])
    cosine, sine = (places_mm / np.maximum(distance, 1e-9)[:, None]).T
    step = table.log_radii[1] - table.log_radii[0]
    at = np.clip((log_radius - table.log_radii[0]) / step, 0.0, _RADII - 1.001)
    row, share = int(at), at - int(at)
    profiles = (1 - share) * table.seen[row] + share * table.seen[row + 1]
    wall, wall_side, burr, burr_side = (
        np.interp(distance, table.distances_mm, profile, right=0.0) for profile in profiles
    )
    lit = (wall_side * cosine, wall_side * sine, burr, burr_side * cosine, burr_side * sine)
    return np.column_stack([wall, *lit])


def blurred_ring(
    distance_mm: NDArray[np.float64], rims_mm: tuple[float, float], blur_mm: float, order: int
) -> NDArray[np.float64]:
    """Return the brightness of ``cos(order * azimuth)`` between two rims after a Gaussian blur.

    The blur leaves the azimuth's cosine as it is and turns the ring's step profile into
    ``integral of exp(-(d² + r²) / 2s²) I_order(d r / s²) r dr / s²`` (the two-dimensional Gaussian
    in polar coordinates, integrated over the azimuth), taken with 12 Gauss-Legendre nodes.

    Parameters
    ----------
    distance_mm : ndarray, shape (N,), float64
    rims_mm : (float, float)
        Inner and outer radius.
    blur_mm : float
    order : int
        0 or 1.
    """
    inner, outer = rims_mm
    radius = (inner + outer) / 2 + (outer - inner) / 2 * _NODES
    weight = (outer - inner) / 2 * _WEIGHTS * radius / blur_mm**2
    apart = (distance_mm[:, None] - radius) / blur_mm
    bessel = ive(order, distance_mm[:, None] * radius / blur_mm**2)
    return np.asarray((np.exp(-0.5 * apart**2) * bessel) @ weight)
