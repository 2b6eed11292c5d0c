"""Words on the picture: the ground they take, and the shapes they are drawn with."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.report import typeface
from scribegauge.report.drawing import Area, Points, Shape, Words
from scribegauge.report.drawingstyle import DARK, FRAME, WHITE

# 1/40 of the picture's width: 9 px on a phone 360 px wide.
TEXT_PX = 42
LETTER_PX = 62

# The map of what is taken is coarser than the picture: 4 px are finer than any gap between words.
_CELL_PX = 4
_FEW = 37
_PAD_PX = 12
_ROW_PX = 52
_INK_EDGE_PX = 5
# From the middle of a row down to its base line, as a share of the letters' size.
_BELOW_MIDDLE = 0.35
_GROUND_STRENGTH = 0.92


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of words: centre [px], size [px], turned by `angle_rad` (clockwise seen)."""

    centre: tuple[float, float]
    width_px: float
    height_px: float
    angle_rad: float

    def corners(self) -> Points:
        """Give the four corners, shape (4, 2) [px]."""
        cos, sin = np.cos(self.angle_rad), np.sin(self.angle_rad)
        half = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) / 2
        local = half * np.array([self.width_px, self.height_px])
        turned = local @ np.array([[cos, sin], [-sin, cos]])
        return np.asarray(turned + np.array(self.centre), dtype=np.float64)


class Taken:
    """A coarse map of where words must not stand."""

    def __init__(self, width_px: int, height_px: int) -> None:
        self._size = (width_px, height_px)
        # Two cells more: a point on the far edge rounds up to one past the last whole cell.
        self._map = np.zeros((height_px // _CELL_PX + 2, width_px // _CELL_PX + 2), np.uint8)

    def add_path(self, points: Points, width_px: float) -> None:
        """Take the ground of a path (N, 2)."""
        width = max(round(width_px / _CELL_PX), 1)
        cv2.polylines(self._map, [self._cells(points)], False, (1,), width)  # noqa: FBT003

    def add_area(self, polygon: Points) -> None:
        """Take the ground of a polygon (N, 2)."""
        cv2.fillPoly(self._map, [self._cells(polygon)], (1,))

    def add_disc(self, centre: Points, radius_px: float) -> None:
        """Take the ground of a disc."""
        x, y = self._cells(centre.reshape(1, 2)).ravel()
        cv2.circle(self._map, (int(x), int(y)), round(radius_px / _CELL_PX), (1,), -1)

    def is_free(self, box: Box) -> bool:
        """Tell whether a box lies inside the picture and on free ground."""
        ground, reach = _ground(box.width_px, box.height_px, box.angle_rad)
        for at, half, size in zip(box.centre, reach, self._size, strict=True):
            if at < half or at > size - half:
                return False
        # Where the ground is taken a few points mostly tell.
        return self._none_at(ground[::_FEW], box) and self._none_at(ground, box)

    def _none_at(self, ground: Points, box: Box) -> bool:
        columns, rows = ((ground + box.centre) / _CELL_PX + 0.5).astype(np.int32).T
        return not self._map[rows, columns].any()

    def _cells(self, points: Points) -> NDArray[np.int32]:
        limit = 4 * max(self._size)
        return np.round(np.clip(points, -limit, limit) / _CELL_PX).astype(np.int32)


@lru_cache(maxsize=64)  # one label is tried in a hundred places
def _ground(
    width_px: float, height_px: float, angle_rad: float
) -> tuple[Points, tuple[float, float]]:
    """Spread points over a box about (0, 0), one a cell; also give its reach along x and y."""
    columns = np.linspace(-0.5, 0.5, int(width_px / _CELL_PX) + 2)
    rows = np.linspace(-0.5, 0.5, int(height_px / _CELL_PX) + 2)
    shares = np.stack(np.meshgrid(columns, rows), axis=-1).reshape(-1, 2)
    turn = np.array(
        [[np.cos(angle_rad), np.sin(angle_rad)], [-np.sin(angle_rad), np.cos(angle_rad)]]
    )
    points = np.asarray(shares * np.array([width_px, height_px]) @ turn, dtype=np.float64)
    reach = points.max(axis=0)
    return points, (float(reach[0]), float(reach[1]))


def first_free(taken: Taken, boxes: Iterable[Box]) -> Box | None:
    """Take the first box that fits and take its ground; None when none fits."""
    for box in boxes:
        if taken.is_free(box):
            taken.add_area(box.corners())
            return box
    return None


def size_of(rows: list[str]) -> tuple[float, float]:
    """Width and height [px] of a label of these rows, its ground included."""
    font = typeface.bold(TEXT_PX)
    width = max(font.getlength(row) for row in rows) + 2 * _PAD_PX
    return width, _ROW_PX * len(rows) + 4


def label_shapes(rows: list[str], box: Box, *, loud: bool) -> Iterator[Shape]:
    """Draw rows of words on a plain ground: light on dark, or dark on light where `loud`."""
    ground, ink = (WHITE, DARK) if loud else (DARK, WHITE)
    yield Area(box.corners(), ground, _GROUND_STRENGTH, FRAME if loud else None)
    down = np.array([-np.sin(box.angle_rad), np.cos(box.angle_rad)])
    for k, row in enumerate(rows):
        foot = (k + 0.5) * _ROW_PX + 2 - box.height_px / 2 + _BELOW_MIDDLE * TEXT_PX
        x, y = box.centre + foot * down
        room = box.width_px - 2 * _PAD_PX
        yield Words(
            text=row,
            at=(float(x), float(y)),
            size_px=TEXT_PX,
            colour=ink,
            anchor="m",
            bold=True,
            turn_rad=box.angle_rad,
            room_px=room,
        )


def letter_words(text: str, centre: tuple[float, float]) -> Words:
    """Give a corner's name, white with a dark edge."""
    return on_photo(text, (centre[0], centre[1] + _BELOW_MIDDLE * LETTER_PX), LETTER_PX)


def on_photo(text: str, at: tuple[float, float], size_px: float) -> Words:
    """Give words straight on the photo, white with a dark edge, their foot's middle at a point."""
    return Words(text, at, size_px, WHITE, anchor="m", bold=True, edge=DARK)


def letter_box(text: str, centre: tuple[float, float]) -> Box:
    """Ground of a corner's name."""
    width = typeface.bold(LETTER_PX).getlength(text) + 2 * _INK_EDGE_PX
    return Box(centre, width, LETTER_PX * 0.9, 0.0)
