"""The table of named figures: their sizes, and how their shapes follow from them."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import gcd
from typing import Final

import numpy as np

from scribegauge.figure import outlines, roundfigures
from scribegauge.figure.intended import IntendedCircle, IntendedMarks
from scribegauge.figure.outlines import Points

Sizes = Mapping[str, float]
Shape = tuple[Points, IntendedMarks]

_FEWEST_SIDES, _MOST_SIDES = 3, 24
_FEWEST_POINTS = 5  # of a star
_NOTHING: Final = np.zeros((0, 2))
#: More circles than that on one plate cannot be told apart.
_MOST_RINGS = 3
_MOST_HOLES = 60
_MOST_SPOKES = 24


@dataclass(frozen=True, slots=True)
class NamedFigure:
    """A figure that can be asked for by name.

    Attributes
    ----------
    name, title : str
    sizes : Mapping[str, float]
        Names of its sizes in their order, with what they are when nobody gives others.
    shape : callable
        Makes polygon and other marks of sizes; a ValueError says what is wrong with them.
    construction : str
        Name of a construction with the same sizes that draws it; empty where none does.
    may_cross : bool
        Whether its sides are meant to cross.
    """

    name: str
    title: str
    sizes: Sizes
    shape: Callable[[Sizes], Shape]
    construction: str = ""
    may_cross: bool = False


def _count(value: float, fewest: int, most: int, what: str) -> int:
    if not fewest <= value <= most:
        raise ValueError(f"it has {fewest} to {most} {what}")
    return int(value)


def _plain(vertices: Points) -> Shape:
    return vertices, IntendedMarks()


def _regular(sizes: Sizes) -> Shape:
    count = _count(sizes["n"], _FEWEST_SIDES, _MOST_SIDES, "sides")
    radius = sizes["side_mm"] * outlines.radius_over_side(count)
    return _plain(outlines.on_circle(radius, count, flat_below=True))


def _in_circle(sizes: Sizes) -> Shape:
    count = _count(sizes.get("n", 4), _FEWEST_SIDES, _MOST_SIDES, "sides")
    vertices = outlines.on_circle(sizes["radius_mm"], count, flat_below=count == 4)  # noqa: PLR2004
    circle = IntendedCircle("k", (0.0, 0.0), sizes["radius_mm"])
    return vertices, IntendedMarks(circles=(circle,))


def _star(sizes: Sizes) -> Shape:
    count = _count(sizes["n"], _FEWEST_POINTS, _MOST_SIDES, "points")
    step = int(sizes["step"])
    if not 1 < step < count / 2:
        raise ValueError(f"a star of {count} points has steps of 2 to {(count - 1) // 2}")
    if gcd(count, step) > 1:
        raise ValueError(
            f"steps of {step} over {count} points close before all points are met; its parts are "
            "figures of their own"
        )
    points = outlines.on_circle(sizes["radius_mm"], count)
    return _plain(points[step * np.arange(count) % count])


def _trapezium(sizes: Sizes) -> Shape:
    return _plain(
        outlines.trapezium(sizes["base_mm"], sizes["top_mm"], sizes["height_mm"], sizes["inset_mm"])
    )


def _hexagon(sizes: Sizes) -> Shape:
    return _in_circle({**sizes, "n": 6})


def _round(
    make: Callable[..., IntendedMarks], **most: tuple[int, int, str]
) -> Callable[[Sizes], Shape]:
    """Make a figure without a polygon from a function of its sizes."""

    def shape(sizes: Sizes) -> Shape:
        whole = {key: _count(sizes[key], *most[key]) for key in most}
        return _NOTHING, make(**{**sizes, **whole})

    return shape


#: In the order in which they are shown.
FIGURES: Final[tuple[NamedFigure, ...]] = (
    NamedFigure(
        "triangle",
        "Triangle",
        {"a_mm": 36, "b_mm": 32, "c_mm": 40},
        lambda s: _plain(outlines.triangle(s["a_mm"], s["b_mm"], s["c_mm"])),
    ),
    NamedFigure(
        "right-triangle",
        "Right triangle",
        {"width_mm": 40, "height_mm": 30},
        lambda s: _plain(outlines.right_triangle(s["width_mm"], s["height_mm"])),
    ),
    NamedFigure(
        "square",
        "Square",
        {"side_mm": 40},
        lambda s: _plain(outlines.rectangle(s["side_mm"], s["side_mm"])),
        "square-on-side",
    ),
    NamedFigure(
        "rectangle",
        "Rectangle",
        {"width_mm": 40, "height_mm": 26},
        lambda s: _plain(outlines.rectangle(s["width_mm"], s["height_mm"])),
    ),
    NamedFigure(
        "rhombus",
        "Rhombus",
        {"side_mm": 32, "angle_deg": 60},
        lambda s: _plain(outlines.parallelogram(s["side_mm"], s["side_mm"], s["angle_deg"])),
    ),
    NamedFigure(
        "parallelogram",
        "Parallelogram",
        {"width_mm": 36, "side_mm": 24, "angle_deg": 65},
        lambda s: _plain(outlines.parallelogram(s["width_mm"], s["side_mm"], s["angle_deg"])),
    ),
    NamedFigure(
        "trapezium",
        "Trapezium",
        {"base_mm": 44, "top_mm": 26, "height_mm": 24, "inset_mm": 9},
        _trapezium,
    ),
    NamedFigure(
        "bracket",
        "Bracket",
        {"width_mm": 42, "height_mm": 32, "leg_mm": 14},
        lambda s: _plain(outlines.bracket(s["width_mm"], s["height_mm"], s["leg_mm"])),
    ),
    NamedFigure("polygon", "Regular polygon", {"side_mm": 20, "n": 7}, _regular),
    NamedFigure("star", "Star", {"radius_mm": 22, "n": 5, "step": 2}, _star, may_cross=True),
    NamedFigure(
        "polygon-in-circle",
        "Regular polygon in a circle",
        {"radius_mm": 22, "n": 8},
        _in_circle,
    ),
    NamedFigure(
        "square-in-circle",
        "Square in a circle",
        {"radius_mm": 22},
        _in_circle,
        "square-in-circle",
    ),
    NamedFigure(
        "hexagon-by-stepping",
        "Hexagon by stepping the radius",
        {"radius_mm": 22},
        _hexagon,
        "hexagon-by-stepping",
    ),
    NamedFigure("circle", "Circle", {"radius_mm": 22}, _round(roundfigures.circle)),
    NamedFigure(
        "concentric-circles",
        "Concentric circles",
        {"radius_mm": 22, "inner_mm": 8, "rings": 3},
        _round(roundfigures.concentric, rings=(2, 12, "rings")),
    ),
    NamedFigure(
        "hole-circle",
        "Hole circle",
        {"pitch_circle_mm": 44, "n": 8},
        _round(roundfigures.hole_circle, n=(2, _MOST_HOLES, "holes")),
        "hole-circle",
    ),
    NamedFigure(
        "spoked-wheel",
        "Spoked wheel",
        {"radius_mm": 23, "rim_mm": 3, "hub_mm": 5, "n": 6},
        _round(roundfigures.spoked_wheel, n=(3, _MOST_SPOKES, "spokes")),
    ),
    NamedFigure("vesica", "Vesica", {"radius_mm": 16}, _round(roundfigures.vesica), "vesica"),
    NamedFigure(
        "rosette",
        "Rosette of six petals",
        {"radius_mm": 20},
        _round(roundfigures.rosette),
        "six-petal-rosette",
    ),
    NamedFigure(
        "rosette-grid",
        "Grid of rosettes",
        {"radius_mm": 9, "rings": 2},
        _round(roundfigures.rosette_grid, rings=(1, _MOST_RINGS, "rings")),
    ),
)
