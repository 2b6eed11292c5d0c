"""Write down the lines found, sides first, each with its quality."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.figure.lines import offsets
from scribegauge.marks.record import LineMark, Marks
from scribegauge.plate.face import Face
from scribegauge.report.composemarks import quality_of, side_label
from scribegauge.report.reading import LineReading
from scribegauge.verdict.limits import limits_of

PATH_POINTS = 24
# A line this close to a side along all its length is the one the side was measured on.
SAME_LINE_MM = 0.3


def other_lines(marks: Marks, fit: FigureFit) -> tuple[LineMark, ...]:
    """Return the lines that are no side of the figure."""
    known = [line.ends_mm for line in fit.merged.lines if line is not None]
    return tuple(
        line
        for line in marks.lines
        if not any(np.abs(offsets(ends, line.ends_mm)).max() < SAME_LINE_MM for ends in known)
    )


def line_readings(face: Face, marks: Marks, fit: FigureFit) -> tuple[LineReading, ...]:
    """Write down every line.

    Parameters
    ----------
    face : Face
        Of the photo that the paths are for.
    marks : Marks
    fit : FigureFit
    """
    names, allowed = fit.layout.names, limits_of(fit.layout).side_mm
    sides = [
        _line(face, line, side_label(names, side), allowed[side])
        for side, line in enumerate(fit.merged.lines)
        if line is not None
    ]
    # What is no side has no tolerance of its own; the closest of the figure's is asked of it.
    closest = min((limit for limit in allowed if limit is not None), default=None)
    others = [_line(face, line, "", closest) for line in other_lines(marks, fit)]
    return (*sides, *others)


def _line(face: Face, line: LineMark, side: str, tolerance_mm: float | None) -> LineReading:
    share = np.linspace(0.0, 1.0, PATH_POINTS)[:, None]
    path = line.ends_mm[0] + share * (line.ends_mm[1] - line.ends_mm[0])
    start, end = _pairs(line.ends_mm)
    return LineReading(
        side=side,
        start_mm=start,
        end_mm=end,
        width_mm=line.width_mm,
        look=line.look,
        seen=line.seen,
        hinted=line.hinted,
        path_px=_pairs(face.photo_from_plate(path)),
        quality=quality_of(line, tolerance_mm),
    )


def _pairs(points: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in points)
