"""Where the names of marks stand in a drawing: near them, and clear of strokes and each other."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.drawings.record import Arc, Dot, Item, Segment, Words

Points = NDArray[np.float64]

_TURNS = np.radians(np.arange(0.0, 360.0, 22.5))
_AWAY_MM = (2.4, 3.4, 4.6)
_NEARER_MM = 1.2
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
    boxes: list[tuple[Points, Points]] = []
    words = []
    for name in names:
        half = np.array([len(name.text) * height_mm * _BREADTH, height_mm]) / 2 + _CLEAR_MM
        tries, spots = _tries(name.spots * scale, half)
        at = tries[int(np.argmin(_costs(tries, spots, half, busy, boxes)))]
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


def _tries(spots: Points, half: Points) -> tuple[Points, Points]:
    """Return places (T, 2) about the spots where a name may stand, and the spot of each."""
    steps = np.column_stack([np.cos(_TURNS), np.sin(_TURNS)])
    # A broad name stands farther to the side than above or below.
    reach = np.abs(steps) @ (half - _CLEAR_MM) - _NEARER_MM
    ring = np.concatenate([(away + reach)[:, None] * steps for away in _AWAY_MM])
    tries = (spots[:, None] + ring[None]).reshape(-1, 2)
    return tries, np.repeat(spots, len(ring), axis=0)


def _costs(
    tries: Points, spots: Points, half: Points, busy: Points, boxes: list[tuple[Points, Points]]
) -> Points:
    """Return for each place (T,) how bad it is for a name."""
    near = busy[(np.abs(busy - tries.mean(axis=0)) < np.ptp(tries, axis=0) + 2 * half).all(axis=1)]
    on_strokes = (np.abs(near[None] - tries[:, None]) < half).all(axis=-1).sum(axis=1)
    on_names = np.zeros(len(tries))
    for box, other in boxes:
        on_names += (np.abs(box - tries) < half + other).all(axis=-1)
    step = tries - spots
    outward = spots - (busy.mean(axis=0) if len(busy) else np.zeros(2))
    lengths = np.hypot(*step.T)
    along = (step * outward).sum(axis=1) / np.maximum(lengths * np.hypot(*outward.T), 1e-9)
    return np.asarray(
        _ON_NAME * on_names + _ON_STROKE * on_strokes + _FAR * lengths + _INWARD * (1.0 - along)
    )
