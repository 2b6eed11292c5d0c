"""The scribed figure: its side lines, where they meet, its sides and angles."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.assign import Placement
from scribegauge.figure.layout import Layout
from scribegauge.figure.lines import directions, meeting, normals
from scribegauge.figure.merge import Merged, join_ends
from scribegauge.figure.polygon import signed_area_mm2
from scribegauge.marks.record import PrickMark

# A prick this far from a corner is somebody else's: half the shortest side worth scribing.
PRICK_REACH_MM = 1.0


@dataclass(frozen=True, slots=True)
class FigureFit:
    """A layout's figure as scribed. Plate frame, millimetres.

    Attributes
    ----------
    layout : Layout
    placement : Placement
        The intended figure laid over the scribed one by best fit.
    merged : Merged
        The line of each side and what each photo gave to it; side i runs from vertex i to i + 1.
    corners_mm : ndarray, shape (n, 2), float64
        Where the lines of the two sides at each vertex meet; NaN where one was not found.
    pricks : tuple of PrickMark or None, length n
        The prick at each vertex.
    """

    layout: Layout
    placement: Placement
    merged: Merged
    corners_mm: NDArray[np.float64]
    pricks: tuple[PrickMark | None, ...]

    @property
    def lines_mm(self) -> NDArray[np.float64]:
        """Ends of each side's line, shape (n, 2, 2), turned the way the layout goes; NaN unseen."""
        return self.join(self.anchors_mm)

    def join(self, anchors_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the side lines (..., n, 2, 2) that follow from other anchors (P, ..., n, 2, 2)."""
        lift = self.merged.lift
        if lift is None:
            return join_anchors(anchors_mm, self.merged.weights)
        lines = lift.follow(_swapped(anchors_mm, self._against))
        return _swapped(lines, self._against)

    @property
    def places_mm(self) -> NDArray[np.float64]:
        """Corners (n, 2), and where one was not found the place that the others give it."""
        expected = self.placement.plate_from_layout(self.layout.vertices_mm)
        return np.where(np.isfinite(self.corners_mm), self.corners_mm, expected)

    @property
    def aside_mm(self) -> NDArray[np.float64]:
        """How far each side's line lies from where the others put that side, (n,); NaN unseen.

        The larger of the distances at the side's two ends; the placement is a fit by least absolute
        distances, so a wrong line does not pull the figure towards itself.
        """
        expected = self.placement.plate_from_layout(self.layout.vertices_mm)
        lines = self.lines_mm
        away = [
            np.abs(((ends - lines[:, 0]) * normals(lines)).sum(axis=1))
            for ends in (expected, np.roll(expected, -1, axis=0))
        ]
        return np.asarray(np.maximum(*away))

    @property
    def anchors_mm(self) -> NDArray[np.float64]:
        """Each photo's side lines, shape (P, n, 2, 2), turned the way the layout goes."""
        return _swapped(self.merged.anchors_mm, self._against)

    @property
    def _against(self) -> NDArray[np.bool_]:
        """Which joined lines (n,) run against the layout's sides."""
        vertices = self.placement.plate_from_layout(self.layout.vertices_mm)
        wanted = np.roll(vertices, -1, axis=0) - vertices
        # All photos' anchors of a side run the same way.
        anchors = self.merged.anchors_mm
        along = ((anchors[:, :, 1] - anchors[:, :, 0]) * wanted).sum(axis=-1)
        return np.asarray((along < 0).any(axis=0), np.bool_)


def fit_figure(
    layout: Layout,
    placement: Placement,
    merged: Merged,
    pricks: tuple[PrickMark, ...],
) -> FigureFit:
    """Put side lines, corners and pricks together.

    Parameters
    ----------
    layout : Layout
    placement : Placement
    merged : Merged
    pricks : tuple of PrickMark
        All pricks found; the nearest to each corner is taken.
    """
    n = len(merged.lines)
    bare = FigureFit(layout, placement, merged, np.full((n, 2), np.nan), (None,) * n)
    corners = corners_of(bare.lines_mm)
    fit = replace(bare, corners_mm=corners)
    return replace(fit, pricks=_nearest(fit.places_mm, pricks))


def join_anchors(
    anchors_mm: NDArray[np.float64], weights: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return joined lines (..., n, 2, 2) from each photo's (P, ..., n, 2, 2), weights (P, n, 2).

    NaN where no photo shows the line.
    """
    trials = (1,) * (anchors_mm.ndim - weights.ndim - 1)
    each = weights.reshape(len(weights), *trials, *weights.shape[1:])
    joined = join_ends(np.nan_to_num(anchors_mm), each)
    joined[..., weights.sum(axis=(0, 2)) == 0, :, :] = np.nan
    return joined


def _swapped(lines_mm: NDArray[np.float64], against: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Return lines (..., n, 2, 2) with the ends of some (n,) in the other order."""
    return np.where(against[:, None, None], lines_mm[..., ::-1, :], lines_mm)


def corners_of(lines_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return where each side's line meets the one before it, (..., n, 2) from (..., n, 2, 2)."""
    return meeting(np.roll(lines_mm, 1, axis=-3), lines_mm)


def sides_of(lines_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return side lengths (..., n) [mm] of the figure that the lines (..., n, 2, 2) enclose."""
    corners = corners_of(lines_mm)
    return np.asarray(np.linalg.norm(np.roll(corners, -1, axis=-2) - corners, axis=-1))


def angles_of(lines_mm: NDArray[np.float64], clockwise: float) -> NDArray[np.float64]:
    """Return inside angles (..., n) [rad], 0 to 2π, between each side's line and the one before.

    Parameters
    ----------
    lines_mm : ndarray, shape (..., n, 2, 2)
        Turned the way the figure is walked.
    clockwise : float
        Sign of the figure's area in the plate frame (y down: positive is clockwise to the viewer).
    """
    along = directions(lines_mm)
    before = np.roll(along, 1, axis=-2)
    cross = before[..., 0] * along[..., 1] - before[..., 1] * along[..., 0]
    dot = (before * along).sum(axis=-1)
    return np.asarray((np.pi - clockwise * np.arctan2(cross, dot)) % (2 * np.pi))


def area_sign(vertices_mm: NDArray[np.float64]) -> float:
    """Return +1 when the vertices (n, 2) run from x towards y, -1 the other way, 0 without any."""
    return float(np.sign(signed_area_mm2(vertices_mm)))


def _nearest(
    places_mm: NDArray[np.float64], pricks: tuple[PrickMark, ...]
) -> tuple[PrickMark | None, ...]:
    """Return the nearest prick to each place, each prick at most once."""
    chosen: list[PrickMark | None] = [None] * len(places_mm)
    if not pricks:
        return tuple(chosen)
    taken: set[np.intp] = set()
    centres = np.array([prick.centre_mm for prick in pricks])
    gaps = np.linalg.norm(places_mm[:, None] - centres[None], axis=-1)
    for vertex, prick in zip(
        *np.unravel_index(np.argsort(gaps, axis=None), gaps.shape), strict=True
    ):
        if gaps[vertex, prick] > PRICK_REACH_MM:
            break
        if chosen[vertex] is None and prick not in taken:
            chosen[vertex] = pricks[prick]
            taken.add(prick)
    return tuple(chosen)
