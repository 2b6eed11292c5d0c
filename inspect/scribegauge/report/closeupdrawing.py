"""A corner enlarged as a drawing, and what its strokes mean."""

from collections.abc import Iterator

import numpy as np

from scribegauge.report import closeupwords as said
from scribegauge.report.closeups import SPAN, SPAN_MM, CloseUp
from scribegauge.report.drawing import (
    Area,
    Drawing,
    Path,
    Photograph,
    Points,
    Shape,
    Words,
    circle,
)
from scribegauge.report.drawingstyle import (
    CROSS,
    DARK,
    MEANT,
    METAL,
    PASSING,
    RIM,
    TICK,
    WHITE,
)

_SCALE_WIDE, _SCALE_STRENGTH = 24.0, 0.72
_DIAMOND = 7.0
_KEY = 30.0


def close_up_drawing(close_up: CloseUp) -> Drawing:
    """Draw a corner, `SPAN` wide and high.

    Parameters
    ----------
    close_up : CloseUp
    """
    shapes = (
        Photograph(close_up.picture, (-0.5, -0.5), SPAN, SPAN),
        *_scales(),
        *(Path(path, PASSING) for path in close_up.passing),
        *_marks(close_up),
    )
    return Drawing(SPAN, SPAN, shapes)


def _marks(close_up: CloseUp) -> Iterator[Shape]:
    for ring in close_up.rings:
        yield Path(circle(np.array([ring.x, ring.y]), ring.radius), RIM)
    if close_up.intended is not None:
        yield Path(diamond(np.array(close_up.intended)), MEANT)
    for x1, y1, x2, y2 in close_up.arms:
        yield Path(np.array([[x1, y1], [x2, y2]]), CROSS)


def diamond(at: Points) -> Points:
    """Give the closed path round a point (2,) that marks an intended corner."""
    turns = _DIAMOND * np.array([[-1, 0], [0, -1], [1, 0], [0, 1], [-1, 0]])
    return np.asarray(at + turns, np.float64)


def _scales() -> Iterator[Shape]:
    """Draw the scales along the left and lower edge: a tick each 0.1 mm, longer each 0.5 and 1 mm."""
    wide = _SCALE_WIDE
    left = [[0, 0], [wide, 0], [wide, SPAN - wide], [SPAN, SPAN - wide], [SPAN, SPAN], [0, SPAN]]
    yield Area(np.array(left, np.float64) - 0.5, DARK, _SCALE_STRENGTH)
    for k in range(1, round(SPAN_MM * 10)):
        at = k * SPAN / (SPAN_MM * 10) - 0.5
        long = 12.0 if k % 10 == 0 else 9.0 if k % 5 == 0 else 5.0
        yield Path(np.array([[at, SPAN - 0.5], [at, SPAN - 0.5 - long]]), TICK)
        yield Path(np.array([[-0.5, at], [long - 0.5, at]]), TICK)
    for k in range(1, round(SPAN_MM)):
        at = k * SPAN / SPAN_MM
        yield Words(f"{k} mm", (at, SPAN - 13), 10.0, WHITE, anchor="m")
        yield Words(f"{k}", (18.0, at + 3.5), 10.0, WHITE, anchor="m")


def key_samples(*, pricked: bool, passed: bool) -> tuple[tuple[Drawing, str], ...]:
    """Give a small drawing and its meaning for each kind of stroke.

    Parameters
    ----------
    pricked, passed : bool
        Whether there are pricks, and other lines or arcs.
    """
    middle = np.array([_KEY / 2, _KEY / 2])
    arms = [[[3, 22], [10, 18]], [[20, 12], [27, 8]], [[7, 4], [11, 11]], [[19, 19], [23, 26]]]
    cross = tuple(Path(np.array(arm, np.float64), CROSS) for arm in arms)
    rows: list[tuple[tuple[Shape, ...], str]] = [
        (cross, said.CROSS),
        ((Path(diamond(middle), MEANT),), said.MEANT),
    ]
    if pricked:
        rows.append(((Path(circle(middle, 9.0), RIM),), said.RIM))
    if passed:
        line = np.array([[2.0, 24.0], [28.0, 6.0]])
        rows.append(((Path(line, PASSING),), said.PASSING))
    return tuple((Drawing(_KEY, _KEY, shapes, METAL), text) for shapes, text in rows)
