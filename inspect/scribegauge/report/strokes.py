"""Lines, rings and washes on a picture, each told from the others without colour.

All points are picture (x, y), the centre of the top-left pixel is (0, 0) [px].
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

Picture: TypeAlias = NDArray[np.uint8]
Points: TypeAlias = NDArray[np.float64]
Colour: TypeAlias = tuple[int, int, int]

DARK: Colour = (16, 20, 24)
WHITE: Colour = (255, 255, 255)
CYAN: Colour = (64, 224, 255)
RED: Colour = (200, 30, 0)

# cv2 takes points as whole numbers of 1/16 px.
_SHIFT = 4
# Beyond this cv2's whole numbers overflow; nothing that far is in the picture.
_FAR_PX = 1e5


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line style; `dash_px` and `gap_px` of 0 draw it solid.

    `halo_px` is the width of its edge in `halo`: light strokes get a dark one and dark strokes a
    light one, so that each shows on any metal and is told from the others in grey.
    """

    colour: Colour
    halo: Colour
    width_px: int
    halo_px: int
    dash_px: float = 0.0
    gap_px: float = 0.0


FOUND = Stroke(CYAN, DARK, width_px=2, halo_px=1)
OTHER = Stroke(WHITE, DARK, width_px=1, halo_px=1)
INTENDED = Stroke(WHITE, DARK, width_px=10, halo_px=1, dash_px=26.0, gap_px=22.0)
UNSEEN = Stroke(WHITE, DARK, width_px=8, halo_px=3, dash_px=4.0, gap_px=30.0)
ENLARGED = Stroke(RED, WHITE, width_px=6, halo_px=3)
RING = Stroke(WHITE, DARK, width_px=4, halo_px=2)


def _fixed(points: Points) -> NDArray[np.int32]:
    near = np.clip(points, -_FAR_PX, _FAR_PX)
    return np.round(near * (1 << _SHIFT)).astype(np.int32).reshape(-1, 1, 2)


def draw_path(picture: Picture, points: Points, stroke: Stroke) -> None:
    """Draw an open path (N, 2) onto the picture, its edge first."""
    pieces = [_fixed(piece) for piece in _pieces(points, stroke)]
    for colour, width in _passes(stroke):
        cv2.polylines(picture, pieces, False, colour, width, cv2.LINE_AA, _SHIFT)  # noqa: FBT003


def _passes(stroke: Stroke) -> tuple[tuple[Colour, int], tuple[Colour, int]]:
    return (stroke.halo, stroke.width_px + 2 * stroke.halo_px), (stroke.colour, stroke.width_px)


def _pieces(points: Points, stroke: Stroke) -> list[Points]:
    if not stroke.dash_px or len(points) < 2:  # noqa: PLR2004
        return [points]
    lengths = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    return [_between(points, along, *ends) for ends in _dashes(float(along[-1]), stroke)]


def _dashes(length: float, stroke: Stroke) -> Iterator[tuple[float, float]]:
    """Begin and end with half a gap, so that dashes never meet in a corner."""
    period = stroke.dash_px + stroke.gap_px
    count = max(round(length / period), 1)
    step = length / count
    dash = step * stroke.dash_px / period
    for k in range(count):
        middle = (k + 0.5) * step
        yield middle - dash / 2, middle + dash / 2


def _between(points: Points, along: NDArray[np.float64], start: float, end: float) -> Points:
    inner = points[(along > start) & (along < end)]
    ends = [
        [np.interp(at, along, points[:, 0]), np.interp(at, along, points[:, 1])]
        for at in (start, end)
    ]
    return np.vstack([ends[0], *inner, ends[1]])


def draw_ring(picture: Picture, centre: Points, radius_px: float, stroke: Stroke) -> None:
    """Draw a ring about a point (2,); its inside is left as it is."""
    point = _fixed(centre.reshape(1, 2)).ravel()
    fixed_radius = round(radius_px * (1 << _SHIFT))
    for colour, width in _passes(stroke):
        at = (int(point[0]), int(point[1]))
        cv2.circle(picture, at, fixed_radius, colour, width, cv2.LINE_AA, _SHIFT)


def wash(picture: Picture, polygon: Points, colour: Colour, strength: float) -> None:
    """Tint the inside of a polygon (N, 2); `strength` from 0 to 1."""
    height, width = picture.shape[:2]
    low = np.clip(np.floor(polygon.min(axis=0)).astype(int) - 1, 0, [width, height])
    high = np.clip(np.ceil(polygon.max(axis=0)).astype(int) + 2, 0, [width, height])
    if (high <= low).any():
        return
    part = picture[low[1] : high[1], low[0] : high[0]]
    mask = np.zeros(part.shape[:2], np.uint8)
    cv2.fillPoly(mask, [_fixed(polygon - low)], (255,), cv2.LINE_AA, _SHIFT)
    rows, columns = np.nonzero(mask)  # a long thin wash fills little of its rectangle
    old = part[rows, columns].astype(np.float32)
    alpha = mask[rows, columns, None] * np.float32(strength / 255.0)
    mixed = old + alpha * (np.array(colour, np.float32) - old)
    part[rows, columns] = np.round(mixed).astype(np.uint8)
