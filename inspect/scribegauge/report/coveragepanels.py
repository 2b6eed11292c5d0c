"""The three drawings of a calibration's photos: where they saw, whereto they leant, what is left."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.report.canvas import Canvas, Point
from scribegauge.report.drawingstyle import (
    BLUE,
    INK,
    LIGHT_BLUE,
    LIGHT_ORANGE,
    ORANGE,
    PALE,
    WHITE,
    Colour,
)
from scribegauge.report.words import TIMES
from scribetarget.calibrate import Calibration
from scribetarget.coverage import LEANS_DEG, SIDES, leans_deg, residual_field

# Fields of the picture: as wide as high in the usual 4:3, several corners in each.
LONG_CELLS, SHORT_CELLS = 12, 9
# A mean of fewer corners is noise.
FEWEST = 3
# What the README asks for, and the outermost ring drawn.
GOOD_TILTS_DEG = (10.0, 35.0)
RINGS_DEG = (10, 20, 30, 40)
OUTER_DEG = 43.0
NUMBER_PX = 17
ARROW_HEAD_PX = 6.0
STEPS = (1.0, 2.0, 5.0, 10.0)

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PhotoBox:
    """The camera's picture made small: where on the canvas, and from what size."""

    left: float
    top: float
    width: float
    height: float
    size_px: tuple[int, int]

    def place(self, points_px: Array) -> list[Point]:
        """Take photo points (N, 2) to the canvas."""
        share = (points_px + 0.5) / np.array(self.size_px)
        spots = share * [self.width, self.height] + [self.left, self.top]
        return [(float(x), float(y)) for x, y in spots]

    @property
    def corners(self) -> tuple[Point, Point]:
        """Upper left and lower right."""
        return (self.left, self.top), (self.left + self.width, self.top + self.height)

    @property
    def cells(self) -> tuple[int, int]:
        """Columns and rows of its fields."""
        wide = self.size_px[0] >= self.size_px[1]
        return (LONG_CELLS, SHORT_CELLS) if wide else (SHORT_CELLS, LONG_CELLS)


def draw_corners(canvas: Canvas, box: PhotoBox, result: Calibration) -> list[str]:
    """Draw every corner where it fell in the picture, and fields that saw none; return the key."""
    canvas.box(*box.corners, WHITE)
    corners, residuals, kept = _all_corners(result)
    field = residual_field(corners[kept], residuals[kept], box.size_px, box.cells)
    columns, rows = box.cells
    for row, column in np.ndindex(rows, columns):
        if not field[row, column, 2]:
            low = (box.left + column * box.width / columns, box.top + row * box.height / rows)
            high = (low[0] + box.width / columns, low[1] + box.height / rows)
            canvas.box(low, high, LIGHT_ORANGE)
            canvas.line([(low[0], high[1]), (high[0], low[1])], ORANGE, 0.5)
    _grid(canvas, box)
    for at in box.place(corners[kept]):
        canvas.disc(at, 2.2, BLUE)
    for x, y in box.place(corners[~kept]):
        canvas.line([(x - 5, y - 5), (x + 5, y + 5)], ORANGE, 2)
        canvas.line([(x - 5, y + 5), (x + 5, y - 5)], ORANGE, 2)
    canvas.box(*box.corners, None, INK)
    key = [f"{kept.sum()} corners"]
    key += ["hatched: none fell there"] if (field[..., 2] == 0).any() else []
    return key + ([f"{TIMES} {(~kept).sum()} left out as wrong"] if (~kept).any() else [])


def draw_residuals(canvas: Canvas, box: PhotoBox, result: Calibration) -> float:
    """Draw what the lens leaves over, averaged over fields; return the length of the key's arrow.

    Returns
    -------
    float
        How many pixels of the photo the key's arrow stands for.
    """
    canvas.box(*box.corners, WHITE)
    _grid(canvas, box)
    corners, residuals, kept = _all_corners(result)
    field = residual_field(corners[kept], residuals[kept], box.size_px, box.cells)
    columns, rows = box.cells
    means = np.where(field[..., 2:] >= FEWEST, field[..., :2], np.nan)
    sizes = np.hypot(means[..., 0], means[..., 1])
    key_px = _round_step(float(np.nanmax(sizes, initial=0.01)))
    scale = box.width / columns / key_px
    for row, column in np.ndindex(rows, columns):
        if np.isfinite(sizes[row, column]):
            middle = np.array(
                [
                    box.left + (column + 0.5) * box.width / columns,
                    box.top + (row + 0.5) * box.height / rows,
                ]
            )
            arrow(canvas, middle, means[row, column] * scale, BLUE)
    canvas.box(*box.corners, None, INK)
    return key_px


def draw_rose(canvas: Canvas, middle: Point, radius: float, result: Calibration) -> None:
    """Draw each photo as its number, as far out as it was tilted, towards the side nearer the sheet."""
    x, y = middle
    low, high = (tilt / OUTER_DEG * radius for tilt in GOOD_TILTS_DEG)
    canvas.disc(middle, radius, WHITE)
    canvas.disc(middle, high, LIGHT_BLUE)
    canvas.disc(middle, low, WHITE)
    for ring in RINGS_DEG:
        canvas.disc(middle, ring / OUTER_DEG * radius, None, PALE)
    canvas.line([(x - radius, y), (x + radius, y)], PALE)
    canvas.line([(x, y - radius), (x, y + radius)], PALE)
    for ring in RINGS_DEG:
        near = ring / OUTER_DEG * radius * math.sqrt(0.5)
        canvas.words((x + near + 2, y + near + 2), f"{ring}°", "lt", (110, 112, 116), NUMBER_PX)
    leans = leans_deg(result.bundle.poses)
    for name, (axis, sign) in SIDES.items():
        reached = bool((leans[:, axis] * sign).max() >= LEANS_DEG)
        _side_word(canvas, middle, radius, (name, axis, sign), reached=reached)
    for number, lean in enumerate(leans, 1):
        at = (x + lean[0] / OUTER_DEG * radius, y + lean[1] / OUTER_DEG * radius)
        canvas.disc(at, 13, BLUE, WHITE)
        canvas.words(at, str(number), "mm", WHITE, NUMBER_PX)


def _side_word(
    canvas: Canvas, middle: Point, radius: float, side: tuple[str, int, int], *, reached: bool
) -> None:
    name, axis, sign = side
    away = np.zeros(2)
    away[axis] = sign * (radius + 12)
    anchor = ("lm" if sign > 0 else "rm") if axis == 0 else ("mt" if sign > 0 else "mb")
    at = (middle[0] + float(away[0]), middle[1] + float(away[1]))
    canvas.words(at, name if reached else f"{name}: none", anchor, INK if reached else ORANGE)


def arrow(canvas: Canvas, start: Array, along: Array, colour: Colour) -> None:
    """Draw an arrow from a point (2,) on the canvas."""
    length = float(np.hypot(*along))
    end = start + along
    canvas.disc((float(start[0]), float(start[1])), 1.5, colour)
    if length < 1:
        return
    canvas.line([(float(start[0]), float(start[1])), (float(end[0]), float(end[1]))], colour, 1.5)
    back = along / length * min(ARROW_HEAD_PX, length / 2)
    side = np.array([-back[1], back[0]]) * 0.5
    for one in (end - back + side, end - back - side):
        canvas.line([(float(end[0]), float(end[1])), (float(one[0]), float(one[1]))], colour, 1.5)


def _all_corners(result: Calibration) -> tuple[Array, Array, NDArray[np.bool_]]:
    corners = np.concatenate([each.corners_px for each in result.sightings])
    return corners, np.concatenate(result.bundle.residuals_px), np.concatenate(result.bundle.kept)


def _grid(canvas: Canvas, box: PhotoBox) -> None:
    (left, top), (right, bottom) = box.corners
    columns, rows = box.cells
    for k in range(1, columns):
        x = left + k * box.width / columns
        canvas.line([(x, top), (x, bottom)], PALE, 0.5)
    for k in range(1, rows):
        y = top + k * box.height / rows
        canvas.line([(left, y), (right, y)], PALE, 0.5)


def _round_step(size: float) -> float:
    """Return the next of 1, 2, 5 times a power of ten that is not smaller."""
    unit = 10.0 ** math.floor(math.log10(size))
    return next(step * unit for step in STEPS if step * unit >= size * (1 - 1e-9))
