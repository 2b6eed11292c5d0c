"""How far places lie from a known line or arc, and which of them lie beside its length."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.record import ArcMark, LineMark

Mark = LineMark | ArcMark


def beside(
    mark: Mark, points_mm: NDArray[np.float64], past_end_mm: float
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Measure places from a mark.

    Parameters
    ----------
    mark : LineMark or ArcMark
    points_mm : ndarray, shape (N, 2), float64
        Plate frame.
    past_end_mm : float
        Places this far past an end still count as beside it.

    Returns
    -------
    ndarray, shape (N,), float64
        Distance across, signed.
    ndarray, shape (N,), bool
        True beside the mark's length.
    """
    if isinstance(mark, ArcMark):
        away = points_mm - mark.centre_mm
        across = np.hypot(away[:, 0], away[:, 1]) - mark.radius_mm
        turn = np.degrees(np.arctan2(away[:, 1], away[:, 0])) - mark.start_deg
        spare = np.degrees(past_end_mm / mark.radius_mm)
        return across, np.asarray(np.mod(turn + spare, 360.0) < mark.sweep_deg + 2 * spare)
    step = mark.ends_mm[1] - mark.ends_mm[0]
    length = float(np.hypot(*step))
    along = step / length
    away = points_mm - mark.ends_mm[0]
    place = away @ along
    inside = (place > -past_end_mm) & (place < length + past_end_mm)
    return np.asarray(away @ np.array([-along[1], along[0]])), np.asarray(inside)


def on_marks(
    marks: tuple[Mark, ...], points_mm: NDArray[np.float64], within_mm: float
) -> NDArray[np.bool_]:
    """Tell which plate points (N, 2) lie on any of the marks."""
    hit = np.zeros(len(points_mm), bool)
    for mark in marks:
        across, inside = beside(mark, points_mm, within_mm)
        hit |= inside & (np.abs(across) < within_mm)
    return hit
