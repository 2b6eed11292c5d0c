"""A calibration's photos in one picture: what they cover, and which one to add."""

from collections.abc import Sequence

import numpy as np

from scribegauge.report.canvas import FINER, TEXT_PX, Canvas
from scribegauge.report.coveragepanels import (
    PhotoBox,
    arrow,
    draw_corners,
    draw_residuals,
    draw_rose,
)
from scribegauge.report.drawingstyle import BLUE, INK
from scribegauge.report.words import TIMES, one_line, tidy
from scribetarget.calibrate import Calibration

WIDTH_PX, EDGE_PX = 1600, 36
PANEL_PX = (WIDTH_PX - 3 * EDGE_PX) // 2
TALLEST_PX = 620
HEAD_PX = 110
ROSE_PX, ROSE_RADIUS_PX = 622, 235
ROW_PX = 32
MOST_ROWS = 16
COVERAGE = 2.0


def draw_coverage(result: Calibration, skipped: Sequence[tuple[str, str]]) -> bytes:
    """Draw where corners fell, how the phone was tilted and what the lens leaves over.

    Parameters
    ----------
    result : Calibration
    skipped : sequence of (name, reason)
        Photos that showed no usable target.

    Returns
    -------
    bytes
        A PNG 1600 px wide.
    """
    left, right = _boxes(result)
    below = left.top + left.height + 108
    canvas = Canvas(WIDTH_PX, round(below + ROSE_PX))
    _head(canvas, result)
    canvas.heading((left.left, left.top - 14), "Where the corners fell in the picture")
    key = draw_corners(canvas, left, result)
    canvas.words((left.left, left.top + left.height + 22), "     ".join(key), "lm")
    canvas.heading((right.left, right.top - 14), "What the lens leaves over")
    key_px = draw_residuals(canvas, right, result)
    _arrow_key(canvas, right, key_px)
    canvas.heading((EDGE_PX, below + 10), "Which side of the picture was nearer to the sheet")
    canvas.words(
        (EDGE_PX, below + 42), "each photo as far out as it was tilted; 10 to 35° is shaded"
    )
    middle = (EDGE_PX + PANEL_PX / 2, below + 96 + ROSE_RADIUS_PX)
    draw_rose(canvas, middle, ROSE_RADIUS_PX, result)
    _words(canvas, right.left, below + 10, result, skipped)
    return canvas.png()


def _boxes(result: Calibration) -> tuple[PhotoBox, PhotoBox]:
    """Lay out the picture's two small likenesses side by side."""
    size = (result.camera.width_px, result.camera.height_px)
    scale = min(PANEL_PX / size[0], TALLEST_PX / size[1])
    width, height = size[0] * scale, size[1] * scale
    top = HEAD_PX + 40.0
    return (
        PhotoBox(EDGE_PX, top, width, height, size),
        PhotoBox(2 * EDGE_PX + PANEL_PX, top, width, height, size),
    )


def _head(canvas: Canvas, result: Calibration) -> None:
    camera = result.camera
    name = one_line(camera.name, 60) or "camera without a name"
    canvas.heading((EDGE_PX, 52), f"Camera profile: {name}", 32)
    count = len(result.photos)
    size = f"{camera.width_px} {TIMES} {camera.height_px} px"
    held = f"lengths over 50 mm held back: {result.held_back_um:.0f} µm RMS"
    canvas.words((EDGE_PX, 90), f"{count} photos, {size}; {held}")


def _arrow_key(canvas: Canvas, box: PhotoBox, key_px: float) -> None:
    y = box.top + box.height + 22
    length = box.width / box.cells[0]
    arrow(canvas, np.array([box.left, y]), np.array([length, 0.0]), BLUE)
    canvas.words(
        (box.left + length + 12, y),
        f"{key_px:g} px of the photo; mean of each field, seen less expected",
        "lm",
    )
    canvas.words(
        (box.left, y + 32),
        "Every which way is well; neighbours that agree tell of a bent sheet.",
        "lm",
    )


def _words(
    canvas: Canvas, left: float, top: float, result: Calibration, skipped: Sequence[tuple[str, str]]
) -> None:
    """Set down which photo to add, and which were left out."""
    canvas.heading((left, top), "Which photo to add")
    advice = result.advice or ("None: these photos are enough.",)
    rows = [(row, INK) for text in advice for row in canvas.rows(tidy(text), PANEL_PX, 3)]
    y = top + ROW_PX + 6
    for row, colour in rows:
        canvas.words((left, y), row, colour=colour)
        y += ROW_PX
    _numbers(canvas, left, y + 24, result, skipped)


def _numbers(
    canvas: Canvas, left: float, top: float, result: Calibration, skipped: Sequence[tuple[str, str]]
) -> None:
    canvas.heading((left, top), "Photos")
    names = [f"{k} {one_line(each.name, 18)}" for k, each in enumerate(result.photos, 1)]
    names += [f"left out: {one_line(name, 18)}" for name, _ in (*skipped, *result.left_out)]
    y = top + ROW_PX + 6
    columns = 3
    for k, name in enumerate(names[: columns * (MOST_ROWS // 2)]):
        at = (left + (k % columns) * PANEL_PX / columns, y + (k // columns) * ROW_PX)
        canvas.words(at, name, size_px=TEXT_PX - FINER)
