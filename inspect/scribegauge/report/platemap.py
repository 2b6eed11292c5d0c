"""How plate and photo go together, kept in a reading as places known in both.

A reading must be drawn without its photo's camera at hand, so it carries a grid of plate points and
where the photo has them, lens and perspective and all. Between the points a polynomial is exact
enough: at its nodes (Chebyshev's) it cannot swing.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.polynomial import chebyshev
from numpy.typing import NDArray

from scribegauge.report.reading import GridReading

Points = NDArray[np.float64]

# Nine nodes each way: the lens bends by less than 0.01 px between them.
_NODES = 9
# Beyond the plate's outline, as a share of its size: the picture shows some of the sheet as well.
_BEYOND = 0.35
_ROUNDS = 12
_DONE_PX = 1e-4


@dataclass(frozen=True, slots=True)
class PlateMap:
    """Takes points from plate to photo and back.

    Attributes
    ----------
    middle_mm, half_mm : ndarray, shape (2,), float64
        Of the rectangle that the grid spans.
    coefficients : ndarray, shape (n, n, 2), float64
        Chebyshev coefficients of photo x and y over that rectangle [px].
    """

    middle_mm: Points
    half_mm: Points
    coefficients: Points

    def photo_from_plate(self, points_mm: Points) -> Points:
        """Take plate points (N, 2) [mm] to photo points (N, 2) [px]."""
        x, y = ((points_mm - self.middle_mm) / self.half_mm).T
        return np.asarray(chebyshev.chebval2d(x, y, self.coefficients)).T

    def plate_from_photo(self, points_px: Points) -> Points:
        """Take photo points (N, 2) [px] to plate points (N, 2) [mm], by Newton's steps."""
        places = np.tile(self.middle_mm, (len(points_px), 1))
        for _ in range(_ROUNDS):
            off = points_px - self.photo_from_plate(places)
            places = places + np.linalg.solve(self._slopes(places), off[..., None])[..., 0]
            # What lies far beyond the grid need not be exact, and must not run away.
            limit = 3 * self.half_mm
            places = np.clip(places, self.middle_mm - limit, self.middle_mm + limit)
            if np.abs(off).max(initial=0.0) < _DONE_PX:
                break
        return np.asarray(places, np.float64)

    def _slopes(self, points_mm: Points) -> Points:
        """Return the Jacobian (N, 2, 2) [px/mm]."""
        x, y = ((points_mm - self.middle_mm) / self.half_mm).T
        columns = [
            np.asarray(chebyshev.chebval2d(x, y, chebyshev.chebder(self.coefficients, axis=axis)))
            / self.half_mm[axis]
            for axis in (0, 1)
        ]
        return np.asarray(np.stack(columns, axis=-1).transpose(1, 0, 2), np.float64)


def map_of(grid: GridReading) -> PlateMap:
    """Make the map that a reading's grid stands for.

    Parameters
    ----------
    grid : GridReading

    Raises
    ------
    ValueError
        If it does not hold a photo point for each of its nodes.
    """
    x, y = np.array(grid.x_mm), np.array(grid.y_mm)
    places = np.array(grid.photo_px, np.float64)
    if places.shape != (len(x) * len(y), 2) or len(x) != len(y):
        raise ValueError("the grid does not hold a photo point for each node")
    ends = np.array([[x.min(), y.min()], [x.max(), y.max()]])
    middle, half = ends.mean(axis=0), np.ptp(ends, axis=0) / 2
    nodes = places.reshape(len(y), len(x), 2).transpose(1, 0, 2)
    basis = [
        chebyshev.chebvander((v - m) / h, len(v) - 1)
        for v, m, h in zip((x, y), middle, half, strict=True)
    ]
    coefficients = np.einsum(
        "ai,bj,ijk->abk", np.linalg.inv(basis[0]), np.linalg.inv(basis[1]), nodes
    )
    return PlateMap(middle, half, coefficients)


def grid_of(outline_mm: Points, photo_from_plate: Callable[[Points], Points]) -> GridReading:
    """Lay a grid over the plate and somewhat beyond.

    Parameters
    ----------
    outline_mm : ndarray, shape (K, 2), float64
        The plate's edge.
    photo_from_plate : callable
        Takes plate points (N, 2) [mm] to photo points (N, 2) [px].
    """
    low, high = outline_mm.min(axis=0), outline_mm.max(axis=0)
    # As far up and down as to the sides: the picture of a narrow plate shows more of the sheet.
    half = np.full(2, float((high - low).max()) * (0.5 + _BEYOND))
    nodes = -np.cos(np.pi * (np.arange(_NODES) + 0.5) / _NODES)
    nodes /= nodes.max()
    x, y = ((low + high)[:, None] / 2 + half[:, None] * nodes).round(3)
    columns, rows = np.meshgrid(x, y)
    places = photo_from_plate(np.column_stack([columns.ravel(), rows.ravel()]))
    return GridReading(
        x_mm=tuple(map(float, x)),
        y_mm=tuple(map(float, y)),
        photo_px=tuple((float(u), float(v)) for u, v in places),
    )
