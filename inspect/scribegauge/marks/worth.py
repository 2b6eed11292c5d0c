"""What every mark on a plate is worth, judged once the marks are settled."""

from collections.abc import Sequence
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


def judge_sides(
    sides: Sequence[LineMark | None], photos: Sequence[tuple[NDArray[np.uint8], Face]]
) -> tuple[LineMark | None, ...]:
    """Return a figure's lines with their worth.

    Parameters
    ----------
    sides : sequence of LineMark or None
    photos : sequence of (grey, Face)
        For each side the photo that has most to say of it.
    """
    pairs = zip(sides, photos, strict=True)
    return tuple(line and judge_line(*photo, line) for line, photo in pairs)


def arc_through_coat(arc: ArcMark) -> ArcMark:
    """Return an arc that was drawn through a coat: bare metal over the groove's whole width."""
    share = COATED_OFF_MIDDLE / SEEN_OFF_MIDDLE[arc.look]
    return replace(arc, u_optics_mm=arc.u_optics_mm * min(share, 1.0))
