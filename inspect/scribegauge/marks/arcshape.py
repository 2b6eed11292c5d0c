"""Where a known arc runs, and how to look past it."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.markpath import on_marks
from scribegauge.marks.metal import Metal
from scribegauge.marks.record import ArcMark

# A groove with its blur, and most of the halo that taking out the shading leaves beside it.
STROKE_REACH_MM = 0.3
# How far a straight piece may lie off an arc that it was taken from: over 10 mm an arc of 20 mm
# radius bows 0.6 mm, so its best straight piece lies up to 0.3 mm off.
PIECE_OFF_MM = 0.3
# Share of a piece that must lie on the arc.
MOST = 0.7


def points_on(arc: ArcMark, count: int) -> NDArray[np.float64]:
    """Return points (count, 2) [mm] spread evenly along an arc, ends included."""
    angle = np.radians(arc.start_deg + np.linspace(0.0, arc.sweep_deg, count))
    return arc.centre_mm + arc.radius_mm * np.column_stack([np.cos(angle), np.sin(angle)])


def on_arc(arc: ArcMark, points_mm: NDArray[np.float64], within_mm: float) -> NDArray[np.bool_]:
    """Tell which plate points (N, 2) lie within a distance of an arc."""
    return on_marks((arc,), points_mm, within_mm)


def lies_along(arc: ArcMark, piece_mm: NDArray[np.float64]) -> bool:
    """Tell whether a straight piece is a piece of a known arc.

    A long straight line that touches the arc is not.

    Parameters
    ----------
    arc : ArcMark
    piece_mm : ndarray, shape (2, 2), float64
        Its ends, plate frame.
    """
    share = np.linspace(0.0, 1.0, 21)[:, None]
    points = (1 - share) * piece_mm[0] + share * piece_mm[1]
    return bool(on_arc(arc, points, PIECE_OFF_MM).mean() > MOST)


def without_arcs(metal: Metal, arcs: tuple[ArcMark, ...]) -> Metal:
    """Return the face with known arcs levelled, as if there were bare even metal.

    A search for lines in it is not led astray by the hundreds of nearly straight pieces of every
    circle, and a line that touches a circle keeps all but the few millimetres where they are one.
    The mask stays: a line does not end where it crosses a circle.

    Parameters
    ----------
    metal : Metal
    arcs : tuple of ArcMark
    """
    if not arcs:
        return metal
    deviation = metal.deviation.copy()
    rows, columns = deviation.shape
    step = metal.grid.step_u_mm
    for arc in arcs:
        reach = arc.radius_mm + STROKE_REACH_MM
        low = np.floor((arc.centre_mm - reach - metal.grid.origin_mm) / step).astype(int)
        high = np.ceil((arc.centre_mm + reach - metal.grid.origin_mm) / step).astype(int) + 1
        x0, y0 = np.clip(low, 0, [columns, rows])
        x1, y1 = np.clip(high, 0, [columns, rows])
        y, x = np.mgrid[y0:y1, x0:x1]
        points = metal.plate_from_sample(np.column_stack([x.ravel(), y.ravel()]))
        hit = on_arc(arc, points, STROKE_REACH_MM).reshape(x.shape)
        deviation[y0:y1, x0:x1][hit] = 0.0
    return replace(metal, deviation=deviation)
