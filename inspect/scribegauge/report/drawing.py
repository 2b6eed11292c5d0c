"""A drawing as a list of shapes, painted alike as pixels, as SVG and into a PDF.

All points are (x, y) with x right and y down; (0, 0) is the centre of the top-left pixel. Words
stand on their base line.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from scribegauge.report.drawingstyle import Colour, Stroke

Picture: TypeAlias = NDArray[np.uint8]
Points: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Path:
    """An open path (N, 2)."""

    points: Points
    stroke: Stroke


@dataclass(frozen=True, slots=True)
class Ring:
    """A ring about a point (2,)."""

    centre: Points
    radius_px: float
    stroke: Stroke


@dataclass(frozen=True, slots=True)
class Area:
    """A polygon (N, 2) filled with a colour; `strength` from 0 (nothing) to 1 (covers)."""

    polygon: Points
    colour: Colour
    strength: float = 1.0
    edge: Stroke | None = None


@dataclass(frozen=True, slots=True)
class Words:
    """One row of words; `anchor` is l, m or r, `turn_rad` clockwise as seen about `at`.

    `edge` is drawn round the letters, None without; `room_px` is what the row may be wide.
    """

    text: str
    at: tuple[float, float]
    size_px: float
    colour: Colour
    anchor: str = "l"
    bold: bool = False
    edge: Colour | None = None
    turn_rad: float = 0.0
    room_px: float | None = None


@dataclass(frozen=True, slots=True)
class Photograph:
    """A picture laid into a rectangle of the drawing, given by its outer corner and size."""

    picture: Picture
    corner: tuple[float, float]
    width_px: float
    height_px: float


Shape: TypeAlias = Path | Ring | Area | Words | Photograph


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes on a ground, the first below the others; `ground` None leaves it bare."""

    width_px: float
    height_px: float
    shapes: tuple[Shape, ...]
    ground: Colour | None = None


def shifted(shapes: tuple[Shape, ...], by: tuple[float, float]) -> tuple[Shape, ...]:
    """Move shapes."""
    return tuple(placed(shapes, by, 1.0))


def grounded(drawing: Drawing) -> tuple[Shape, ...]:
    """Give a drawing's shapes with its ground as the first of them."""
    if drawing.ground is None:
        return drawing.shapes
    wide, high = drawing.width_px, drawing.height_px
    sheet = np.array([[0, 0], [wide, 0], [wide, high], [0, high]], np.float64) - 0.5
    return (Area(sheet, drawing.ground), *drawing.shapes)


def placed(shapes: tuple[Shape, ...], corner: tuple[float, float], scale: float) -> Iterator[Shape]:
    """Lay shapes into another drawing, their (0, 0) to `corner`, lengths and strokes scaled."""
    x, y = corner
    at = np.array(corner)
    for shape in shapes:
        match shape:
            case Path(points, stroke):
                yield Path(points * scale + at, _scaled(stroke, scale))
            case Ring(centre, radius, stroke):
                yield Ring(centre * scale + at, radius * scale, _scaled(stroke, scale))
            case Area(polygon, _, _, edge):
                edge = None if edge is None else _scaled(edge, scale)
                yield replace(shape, polygon=polygon * scale + at, edge=edge)
            case Words():
                yield replace(
                    shape,
                    at=(shape.at[0] * scale + x, shape.at[1] * scale + y),
                    size_px=shape.size_px * scale,
                    room_px=None if shape.room_px is None else shape.room_px * scale,
                )
            case Photograph():
                yield replace(
                    shape,
                    corner=(shape.corner[0] * scale + x, shape.corner[1] * scale + y),
                    width_px=shape.width_px * scale,
                    height_px=shape.height_px * scale,
                )


def _scaled(stroke: Stroke, scale: float) -> Stroke:
    if scale == 1.0:
        return stroke
    return replace(
        stroke,
        width_px=stroke.width_px * scale,
        halo_px=stroke.halo_px * scale,
        dash_px=stroke.dash_px * scale,
        gap_px=stroke.gap_px * scale,
    )


def pieces(points: Points, stroke: Stroke) -> list[Points]:
    """Cut a path (N, 2) into the dashes of its stroke; a solid one stays whole."""
    if not stroke.dash_px or len(points) < 2:  # noqa: PLR2004
        return [points]
    lengths = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    return [_between(points, along, *ends) for ends in _dashes(float(along[-1]), stroke)]


def _dashes(length: float, stroke: Stroke) -> Iterator[tuple[float, float]]:
    """Begin and end with half a gap, so that dashes never meet in a corner."""
    period = stroke.dash_px + stroke.gap_px
    count = max(round(length / period), 1)
    step = length / count
    dash = step * stroke.dash_px / period
    for k in range(count):
        middle = (k + 0.5) * step
        yield middle - dash / 2, middle + dash / 2


def _between(points: Points, along: NDArray[np.float64], start: float, end: float) -> Points:
    inner = points[(along > start) & (along < end)]
    ends = [
        [np.interp(at, along, points[:, 0]), np.interp(at, along, points[:, 1])]
        for at in (start, end)
    ]
    return np.vstack([ends[0], *inner, ends[1]])


def circle(centre: Points, radius_px: float) -> Points:
    """Give a closed path round a point (2,), for dashed rings."""
    turns = np.linspace(0.0, 2 * np.pi, 65)
    return np.asarray(centre + radius_px * np.column_stack([np.cos(turns), np.sin(turns)]))


def arrow_head(tip: Points, along: Points, length_px: float) -> Points:
    """Give the head (3, 2) of an arrow that ends at a point and goes along a unit vector (2,)."""
    across = np.array([-along[1], along[0]])
    foot = tip - length_px * along
    return np.array([tip, foot + 0.45 * length_px * across, foot - 0.45 * length_px * across])
