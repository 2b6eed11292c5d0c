"""Where lines and arcs cross each other, and which marks pass a point."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.lines import directions, meeting
from scribegauge.marks.markpath import beside
from scribegauge.marks.record import ArcMark, LineMark, PrickMark

Point = NDArray[np.float64]
Stroke = LineMark | ArcMark


def passes(mark: Stroke | PrickMark, place_mm: Point, within_mm: float) -> bool:
    """Tell whether a mark passes a point (2,) this closely, its ends this much lengthened."""
    if isinstance(mark, PrickMark):
        return bool(np.hypot(*(mark.centre_mm - place_mm)) < within_mm)
    across, inside = beside(mark, place_mm[None], within_mm)
    return bool(inside[0] and abs(across[0]) < within_mm)


def crossings(first: Stroke, second: Stroke) -> list[Point]:
    """Return where two strokes cross, lengthened as need be; two touching arcs give one point.

    Parameters
    ----------
    first, second : LineMark or ArcMark

    Returns
    -------
    list of ndarray, shape (2,), float64
        Plate frame; empty where they do not cross.
    """
    if isinstance(first, ArcMark):
        if isinstance(second, ArcMark):
            return _of_circles(first, second)
        return _of_line_and_circle(second, first)
    if isinstance(second, ArcMark):
        return _of_line_and_circle(first, second)
    place = meeting(first.ends_mm, second.ends_mm)
    return [place] if np.isfinite(place).all() else []


def _of_line_and_circle(line: LineMark, arc: ArcMark) -> list[Point]:
    along = directions(line.ends_mm)
    foot = line.ends_mm[0] + ((arc.centre_mm - line.ends_mm[0]) @ along) * along
    square = arc.radius_mm**2 - float(((foot - arc.centre_mm) ** 2).sum())
    if square < 0:
        return []
    reach = np.sqrt(square) * along
    return [foot - reach, foot + reach]


def _of_circles(first: ArcMark, second: ArcMark) -> list[Point]:
    away = second.centre_mm - first.centre_mm
    apart = float(np.hypot(*away))
    if apart < 1e-9:  # noqa: PLR2004 - concentric
        return []
    along = (apart**2 + first.radius_mm**2 - second.radius_mm**2) / (2 * apart)
    square = first.radius_mm**2 - along**2
    if square < 0:
        return []
    unit = away / apart
    foot = first.centre_mm + along * unit
    reach = np.sqrt(square) * np.array([-unit[1], unit[0]])
    return [foot - reach, foot + reach]
