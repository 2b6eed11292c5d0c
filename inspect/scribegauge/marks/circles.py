"""Which circles the short pieces on the plate belong to."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.circlefit import fit_circle
from scribegauge.marks.edgelets import Edgelets

# Pairs of pieces tried as circles, among those that may lie on one: dozens hit a circle that holds
# a tenth of all pieces.
TRIES = 1500
DRAWN = 20000
# A piece is good to half a sample across and one slope step along: 0.05 mm and 0.03 rad.
OFF_MM = 0.18
TURNED = 0.09
SMALLEST_TURN = 0.25
# So many pieces in one line are a line: a circle of 60 mm radius stays within 0.15 mm of its
# tangent for 8.5 mm, three pieces.
IN_LINE = 5
LINE_OFF_MM = 0.15
LINE_TURNED = 0.06
LINE_REACH_MM = 12.0
LARGEST_MM = 80.0
MOST_CIRCLES = 16


@dataclass(frozen=True, slots=True)
class RoughCircle:
    """A circle good to about 0.1 mm, and the number of pieces on it."""

    centre_mm: NDArray[np.float64]
    radius_mm: float
    pieces: int


def drop_lines(pieces: Edgelets) -> Edgelets:
    """Take out the pieces that lie in one line with several others."""
    away = pieces.places_mm[None] - pieces.places_mm[:, None]
    along = np.abs(np.einsum("ijc,ic->ij", away, pieces.along))
    across = np.abs(_cross(pieces.along[:, None], away))
    turned = np.abs(_cross(pieces.along[:, None], pieces.along[None]))
    near = (across < LINE_OFF_MM) & (along < LINE_REACH_MM) & (turned < LINE_TURNED)
    return pieces.pick(near.sum(axis=1) < IN_LINE)


def find_circles(
    pieces: Edgelets, radii_mm: tuple[float, float], least_share: float
) -> tuple[RoughCircle, ...]:
    """Return circles in the order in which they explain the pieces.

    Two pieces belong to one circle when their normals meet at equal distances. Pairs are drawn
    (always the same ones for the same pieces), each circle is scored by the pieces on it, the
    best is fitted, its pieces are taken away, and so on.

    Parameters
    ----------
    pieces : Edgelets
    radii_mm : (float, float)
        Smallest and largest radius looked for.
    least_share : float
        Pieces on a circle, over the number that a quarter of it could hold.
    """
    found: list[RoughCircle] = []
    left = pieces
    centres, radii = _circles_of_pairs(pieces, radii_mm)
    belongs = _on_circles(pieces, centres, radii)
    while len(found) < MOST_CIRCLES and belongs.size:
        best = int(np.argmax(np.count_nonzero(belongs, axis=1)))
        centre, radius, on = _settle(left, centres[best], float(radii[best]))
        enough = max(4.0, least_share * np.pi / 2 * radius / left.length_mm)
        if on.sum() < enough:
            break
        found.append(RoughCircle(centre, radius, int(on.sum())))
        left, belongs = left.pick(~on), belongs[:, ~on]
    return tuple(found)


def _circles_of_pairs(
    pieces: Edgelets, radii_mm: tuple[float, float]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return centres (K, 2) and radii (K,) of the circles that pairs of pieces may lie on."""
    count = len(pieces.clear)
    if count < 2:  # noqa: PLR2004 - a pair
        return np.zeros((0, 2)), np.zeros(0)
    drawn = np.random.default_rng(count).integers(count, size=(DRAWN, 2))
    first, second = drawn[drawn[:, 0] != drawn[:, 1]].T
    p, q = pieces.places_mm[first], pieces.places_mm[second]
    a, b = pieces.along[first], pieces.along[second]
    turn = _cross(a, b)
    usable = np.abs(turn) > SMALLEST_TURN
    p, q, a, b, turn = p[usable], q[usable], a[usable], b[usable], turn[usable]
    # Where the normals meet: p + s n_a = q + t n_b with n = (-along_y, along_x).
    s = np.einsum("ic,ic->i", q - p, b) / turn
    t = np.einsum("ic,ic->i", q - p, a) / turn
    apart = np.hypot(*(q - p).T)
    slack = 0.3 + 0.04 * apart / np.abs(turn)
    alike = np.abs(np.abs(s) - np.abs(t)) < slack
    radius = (np.abs(s) + np.abs(t)) / 2
    fits = alike & (radius > radii_mm[0]) & (radius < radii_mm[1])
    centre = p + s[:, None] * np.column_stack([-a[:, 1], a[:, 0]])
    return centre[fits][:TRIES], radius[fits][:TRIES]


def _on_circle(
    pieces: Edgelets, centre: NDArray[np.float64], radius: float, wider: float = 1.0
) -> NDArray[np.bool_]:
    """Tell which pieces lie on a circle and along it."""
    away = pieces.places_mm - centre
    distance = np.maximum(np.hypot(away[:, 0], away[:, 1]), 1e-9)
    turned = np.abs(np.einsum("ic,ic->i", away, pieces.along)) / distance
    return np.asarray((np.abs(distance - radius) < wider * OFF_MM) & (turned < wider * TURNED))


def _on_circles(
    pieces: Edgelets, centres: NDArray[np.float64], radii: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Tell for K circles which pieces lie on them (K, N)."""
    x, y = (pieces.places_mm[None, :, axis] - centres[:, axis, None] for axis in (0, 1))
    distance = np.maximum(np.hypot(x, y), 1e-9)
    turned = np.abs(x * pieces.along[:, 0] + y * pieces.along[:, 1])
    return np.asarray((np.abs(distance - radii[:, None]) < OFF_MM) & (turned < TURNED * distance))


def _settle(
    pieces: Edgelets, centre: NDArray[np.float64], radius: float
) -> tuple[NDArray[np.float64], float, NDArray[np.bool_]]:
    """Fit the circle to the pieces on it, a few times over."""
    on = _on_circle(pieces, centre, radius, 2.0)
    for wider in (1.5, 1.2, 1.0):
        try:
            fit = fit_circle(pieces.places_mm[on])
        except ValueError:
            break
        if not fit.radius_mm < LARGEST_MM:
            break
        centre, radius = fit.centre_mm, fit.radius_mm
        on = _on_circle(pieces, centre, radius, wider)
    return centre, radius, on


def _cross(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])
