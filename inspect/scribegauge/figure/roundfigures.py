"""Named figures of circles, arcs and pricks about (0, 0). Layout frame, millimetres."""

from itertools import pairwise

import numpy as np

from scribegauge.figure.intended import (
    FULL_TURN_DEG,
    IntendedCircle,
    IntendedLine,
    IntendedMarks,
    IntendedPrick,
)
from scribegauge.figure.outlines import on_circle

Pair = tuple[float, float]
_MIDDLE: Pair = (0.0, 0.0)
_PETALS = 6
_DECIMALS = 6  # nanometres: no "6.1e-16" in a file


def circle(radius_mm: float) -> IntendedMarks:
    """Return one circle."""
    return IntendedMarks(circles=(IntendedCircle("k", _MIDDLE, radius_mm),))


def concentric(radius_mm: float, inner_mm: float, rings: int) -> IntendedMarks:
    """Return circles about one point, evenly from the outer to the inner radius.

    Raises
    ------
    ValueError
        An inner radius that is not smaller than the outer one.
    """
    if inner_mm >= radius_mm:
        raise ValueError("the inner circle must be smaller than the outer one")
    radii = np.linspace(radius_mm, inner_mm, rings)
    rows = tuple(
        IntendedCircle(f"k{k}", _MIDDLE, round(float(radius), _DECIMALS))
        for k, radius in enumerate(radii)
    )
    return IntendedMarks(circles=rows, distances=tuple(("k0", row.name) for row in rows[1:]))


def hole_circle(pitch_circle_mm: float, n: int) -> IntendedMarks:
    """Return pricks on a pitch circle of that diameter, the first on top, clockwise."""
    places = on_circle(pitch_circle_mm / 2, n)[-np.arange(n)]
    pricks = tuple(IntendedPrick(f"P{k}", _pair(place)) for k, place in enumerate(places))
    names = [prick.name for prick in pricks]
    closing = [(names[-1], names[0])] if n > 2 else []  # noqa: PLR2004 - two have one distance
    pitch = IntendedCircle("k", _MIDDLE, pitch_circle_mm / 2)
    return IntendedMarks(circles=(pitch,), pricks=pricks, distances=(*pairwise(names), *closing))


def spoked_wheel(radius_mm: float, rim_mm: float, hub_mm: float, n: int) -> IntendedMarks:
    """Return rim, hub and spokes; each spoke is one line from hub to rim.

    Raises
    ------
    ValueError
        No room between hub and rim.
    """
    inside = radius_mm - rim_mm
    if hub_mm >= inside:
        raise ValueError("the hub must be smaller than the wheel less its rim")
    ends = zip(on_circle(hub_mm, n), on_circle(inside, n), strict=True)
    lines = tuple(IntendedLine(f"g{k}", _pair(a), _pair(b)) for k, (a, b) in enumerate(ends))
    radii = {"rim": radius_mm, "inside": inside, "hub": hub_mm}
    circles = tuple(IntendedCircle(name, _MIDDLE, radius) for name, radius in radii.items())
    return IntendedMarks(
        circles=circles, lines=lines, distances=(("rim", "inside"), ("rim", "hub"))
    )


def vesica(radius_mm: float) -> IntendedMarks:
    """Return two equal circles through each other's centres."""
    circles = (
        IntendedCircle("a", _MIDDLE, radius_mm),
        IntendedCircle("b", (radius_mm, 0.0), radius_mm),
    )
    return IntendedMarks(circles=circles, distances=(("a", "b"),))


def rosette(radius_mm: float) -> IntendedMarks:
    """Return a circle and the six arcs through its middle that make its petals."""
    points = on_circle(radius_mm, _PETALS)[-np.arange(_PETALS)]
    arcs = tuple(
        IntendedCircle(
            f"c{k}",
            _pair(point),
            radius_mm,
            # From one neighbour over the middle to the other: 60° to both sides of the way there.
            start_deg=round(float(np.degrees(np.arctan2(-point[1], -point[0]))) - 60.0, _DECIMALS),
            sweep_deg=FULL_TURN_DEG / 3,
        )
        for k, point in enumerate(points)
    )
    whole = IntendedCircle("k", _MIDDLE, radius_mm)
    return IntendedMarks(circles=(whole, *arcs), distances=tuple(("k", arc.name) for arc in arcs))


def rosette_grid(radius_mm: float, rings: int) -> IntendedMarks:
    """Return equal circles about the points of a grid of equilateral triangles, ring by ring."""
    places = [
        (radius_mm * (x + y / 2), radius_mm * y * np.sqrt(3) / 2)
        for y in range(-rings, rings + 1)
        for x in range(-rings, rings + 1)
        if abs(x + y) <= rings
    ]
    places.sort(key=lambda place: (round(float(np.hypot(*place)), 6), np.arctan2(*place)))
    circles = tuple(
        IntendedCircle(f"c{k}", _pair(np.array(place)), radius_mm) for k, place in enumerate(places)
    )
    return IntendedMarks(
        circles=circles, distances=tuple(("c0", each.name) for each in circles[1:])
    )


def _pair(point: np.typing.NDArray[np.float64]) -> Pair:
    x, y = np.round(point, _DECIMALS) + 0.0
    return float(x), float(y)
