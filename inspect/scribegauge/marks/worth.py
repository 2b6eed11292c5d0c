"""What every mark on a plate is worth, judged once the marks are settled."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.arcworth import judge_arc
from scribegauge.marks.lineworth import judge_line
from scribegauge.marks.metal import Metal
from scribegauge.marks.optics import COATED_OFF_MIDDLE, SEEN_OFF_MIDDLE
from scribegauge.marks.record import ArcMark, LineMark, Marks
from scribegauge.plate.face import Face


def judge_marks(
    grey: NDArray[np.uint8], face: Face, metal: Metal, marks: Marks, sides: tuple[LineMark, ...]
) -> Marks:
    """Return marks with their lines' and arcs' worth.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    marks : Marks
    sides : tuple of LineMark
        The figure's own lines, cut out where they cross an arc.
    """
    known = (*sides, *marks.lines)
    return replace(
        marks,
        lines=tuple(judge_line(grey, face, line) for line in marks.lines),
        arcs=tuple(judge_arc(grey, face, metal, arc, known) for arc in marks.arcs),
    )


def arc_through_coat(arc: ArcMark) -> ArcMark:
    """Return an arc that was drawn through a coat: bare metal over the groove's whole width."""
    share = COATED_OFF_MIDDLE / SEEN_OFF_MIDDLE[arc.look]
    return replace(arc, u_optics_mm=arc.u_optics_mm * min(share, 1.0))
