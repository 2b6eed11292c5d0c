"""Where the names of marks stand in a drawing: near them, and clear of strokes and each other."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.drawings.record import Arc, Dot, Item, Point, Segment, Words

Points = NDArray[np.float64]

_TURNS = np.radians(np.arange(0.0, 360.0, 22.5))
_AWAY_MM = (2.4, 3.4, 4.6)
_EVERY_MM = 0.5
# Breadth of a letter by height of capitals, a little more than most are.
_BREADTH = 1.0
_CLEAR_MM = 0.35
# A stroke through a name is a nuisance, a name on a name cannot be read.
_ON_NAME, _ON_STROKE, _FAR, _INWARD = 60.0, 1.0, 0.6, 0.5


@dataclass(frozen=True, slots=True)
class Name:
    """A name and the places (K, 2) at any of which it may stand [mm]."""

    text: str
    spots: Points
    role: str
    layer: str = ""


def placed_names(
    names: Sequence[Name], strokes: Iterable[Item], scale: float, height_mm: float
) -> list[Words]:
    """Find room for names.

    Parameters
    ----------
    names : sequence of Name
        The first ones choose first.
    strokes : iterable of Item
        What the names should keep clear of.
    scale : float
        Of the drawing on paper.
    height_mm : float
        Of capitals on paper.

    Returns
    -------
    list of Words
    """
    ground = [sampled(item, _EVERY_MM / scale) for item in strokes if not isinstance(item, Words)]
    busy = np.concatenate([*ground, np.zeros((0, 2))]) * scale
    middle = busy.mean(axis=0) if len(busy) else np.zeros(2)
    boxes: list[tuple[Points, Points]] = []
    words = []
    for name in names:
        half = np.array([len(name.text) * height_mm * _BREADTH, height_mm]) / 2 + _CLEAR_MM
        tries = list(_tries(name.spots * scale, half))
        costs = [_cost(at, spot, half, busy, boxes, middle) for at, spot in tries]
        at = tries[int(np.argmin(costs))][0]
        boxes.append((at, half))
        place = (float(at[0] / scale), float(at[1] / scale))
        words.append(Words(place, name.text, height_mm, name.role, layer=name.layer))
    return words


def sampled(item: Item, every_mm: float) -> Points:
    """Return points along a stroke, shape (N, 2)."""
    match item:
        case Segment():
            start, end = item.path_mm()
            count = int(np.hypot(*(end - start)) / every_mm) + 2
            return np.asarray(start + np.linspace(0, 1, count)[:, None] * (end - start))
        case Arc():
            length = abs(np.radians(item.sweep_deg)) * item.radius_mm
            turn = np.radians(
                item.start_deg + np.linspace(0, item.sweep_deg, int(length / every_mm) + 2)
            )
            away = np.column_stack([np.cos(turn), np.sin(turn)])
            return np.asarray(item.radius_mm * away + item.centre_mm)
        case Dot():
            return np.repeat(item.path_mm(), 3, axis=0)
    return item.path_mm()


def _tries(spots: Points, half: Points) -> Iterable[tuple[Points, Points]]:
    for spot in spots:
        for away in _AWAY_MM:
            for turn in _TURNS:
                step = np.array([np.cos(turn), np.sin(turn)])
                # A broad name stands farther to the side than above or below.
                reach = away - 1.2 + float(np.abs(step) @ (half - _CLEAR_MM))
                yield spot + reach * step, spot


def _cost(
    at: Points,
    spot: Points,
    half: Points,
    busy: Points,
    boxes: list[tuple[Points, Points]],
    middle: Points,
) -> float:
    on_strokes = int((np.abs(busy - at) < half).all(axis=1).sum()) if len(busy) else 0
    on_names = sum(bool((np.abs(box - at) < half + other).all()) for box, other in boxes)
    step = at - spot
    outward = spot - middle
    length = float(np.hypot(*step) * np.hypot(*outward)) or 1.0
    inward = 1.0 - float(step @ outward) / length
    return (
        _ON_NAME * on_names
        + _ON_STROKE * on_strokes
        + _FAR * float(np.hypot(*step))
        + _INWARD * inward
    )


def middle_of(item: Item) -> Point:
    """Return the point in the middle of a stroke."""
    path = item.path_mm()
    x, y = path[len(path) // 2] if len(path) > 2 else path.mean(axis=0)  # noqa: PLR2004
    return float(x), float(y)
