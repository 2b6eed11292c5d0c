"""Dimension lines: beside a length, and from a centre to its circle."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.drawings.record import Arc, Item, Point, Segment, Words

_ASIDE_MM = 7.0
_BEYOND_MM = 1.5
_GAP_MM = 1.0
_TICK_MM = 1.1
_HEIGHT_MM = 2.2
_WORDS_ASIDE_MM = 2.0
_LEADER_MM = 4.0
_LAYER = "DIMENSIONS"

Vector = NDArray[np.float64]


def length_words(length_mm: float) -> str:
    """Return a length as on a drawing: to the hundredth, no zeros behind."""
    return f"{length_mm:.2f}".rstrip("0").rstrip(".")


def along(
    start_mm: Point, end_mm: Point, *, left: bool, scale: float = 1.0, share: float = 0.5
) -> list[Item]:
    """Return a dimension line beside a length, with the length in mm on it.

    Parameters
    ----------
    start_mm, end_mm : (float, float)
    left : bool
        On which side, to a person who goes from start to end and looks down on y running downwards.
    scale : float
        Of the drawing on paper; offsets are those on paper.
    share : float
        Where along it the number stands, 0 to 1.
    """
    start, end = np.array(start_mm), np.array(end_mm)
    way = (end - start) / np.hypot(*(end - start))
    across = np.array([way[1], -way[0]]) * (1 if left else -1)
    aside = across * _ASIDE_MM / scale
    items: list[Item] = []
    for point in (start, end):
        begin = point + across * _GAP_MM / scale
        stop = point + across * (_ASIDE_MM + _BEYOND_MM) / scale
        items += [_stroke(begin, stop), _tick(point + aside, way, across, scale)]
    items.append(_stroke(start + aside, end + aside))
    at = start + share * (end - start) + across * (_ASIDE_MM + _WORDS_ASIDE_MM) / scale
    words = length_words(float(np.hypot(*(end - start))))
    items.append(_upright(at, words, way))
    return items


def radius(circle: Arc, angle_deg: float, reach_mm: float, scale: float = 1.0) -> list[Item]:
    """Return a line from a circle outwards, with ``R`` and the radius at its end.

    Parameters
    ----------
    circle : Arc
    angle_deg : float
        Where on the circle it begins.
    reach_mm : float
        How far from the centre it ends, in the drawing.
    scale : float
        Of the drawing on paper.
    """
    begin, centre = np.array(circle.at(angle_deg)), np.array(circle.centre_mm)
    way = (begin - centre) / circle.radius_mm
    across = np.array([way[1], -way[0]])
    end = centre + way * (reach_mm + _LEADER_MM / scale)
    anchor = "start" if way[0] >= 0 else "end"
    at = end + np.array([1.0 if way[0] >= 0 else -1.0, 0.0]) / scale
    words = f"R {length_words(circle.radius_mm)}"
    label = Words(_pair(at), words, _HEIGHT_MM, "dimension", anchor, _LAYER)
    return [_stroke(begin, end), _tick(begin, way, across, scale), label]


def _stroke(start: Vector, end: Vector) -> Segment:
    return Segment(_pair(start), _pair(end), "dimension", _LAYER)


def _tick(at: Vector, way: Vector, across: Vector, scale: float) -> Segment:
    step = (way + across) * _TICK_MM / scale
    return _stroke(at - step, at + step)


def _upright(at: Vector, text: str, way: Vector) -> Words:
    angle = float(np.degrees(np.arctan2(way[1], way[0])))
    angle = (angle + 90.0) % 180.0 - 90.0  # never upside down, read from below or from the right
    return Words(
        _pair(at), text, _HEIGHT_MM, "dimension", layer=_LAYER, angle_deg=round(angle, 3) + 0.0
    )


def _pair(point: Vector) -> Point:
    return float(point[0]), float(point[1])
