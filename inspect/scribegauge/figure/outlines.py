"""Vertices of common outlines by their dimensions.

Layout frame, millimetres: A at the lower left as a person sees it (y runs downwards), B at the
lower right, and so on counter-clockwise.
"""

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


def triangle(a_mm: float, b_mm: float, c_mm: float) -> Points:
    """Return the triangle with side a opposite A, b opposite B and c from A to B, shape (3, 2).

    Raises
    ------
    ValueError
        One side is as long as the others together, or longer.
    """
    if 2 * max(a_mm, b_mm, c_mm) >= a_mm + b_mm + c_mm:
        raise ValueError("the longest side must be shorter than the other two together")
    x = (b_mm**2 + c_mm**2 - a_mm**2) / (2 * c_mm)  # law of cosines
    height = np.sqrt(b_mm**2 - x**2)
    return np.array([[0.0, 0.0], [c_mm, 0.0], [x, -height]])


def right_triangle(width_mm: float, height_mm: float) -> Points:
    """Return a triangle with the right angle at A, shape (3, 2)."""
    return np.array([[0.0, 0.0], [width_mm, 0.0], [0.0, -height_mm]])


def rectangle(width_mm: float, height_mm: float) -> Points:
    """Return a rectangle, shape (4, 2)."""
    return parallelogram(width_mm, height_mm, 90.0)


def parallelogram(width_mm: float, side_mm: float, angle_deg: float) -> Points:
    """Return a parallelogram with an angle at A, shape (4, 2).

    Raises
    ------
    ValueError
        An angle that is not between 0 and 180°.
    """
    if not 0 < angle_deg < 180:  # noqa: PLR2004 - a straight line
        raise ValueError("the angle must lie between 0 and 180°")
    angle = np.radians(angle_deg)
    up = side_mm * np.array([np.cos(angle), -np.sin(angle)])
    if angle_deg == 90:  # noqa: PLR2004 - no digits left over from the cosine
        up = np.array([0.0, -side_mm])
    along = np.array([width_mm, 0.0])
    return np.array([np.zeros(2), along, along + up, up])


def trapezium(base_mm: float, top_mm: float, height_mm: float, inset_mm: float) -> Points:
    """Return a trapezium whose top begins `inset_mm` to the right of A, shape (4, 2)."""
    right = inset_mm + top_mm
    return np.array([[0.0, 0.0], [base_mm, 0.0], [right, -height_mm], [inset_mm, -height_mm]])


def bracket(width_mm: float, height_mm: float, leg_mm: float) -> Points:
    """Return an L of two legs of one breadth, shape (6, 2).

    Raises
    ------
    ValueError
        Legs that are broader than the bracket.
    """
    if leg_mm >= min(width_mm, height_mm):
        raise ValueError("the leg must be narrower than width and height")
    w, h, t = width_mm, height_mm, leg_mm
    return np.array([[0, 0], [w, 0], [w, -t], [t, -t], [t, -h], [0, -h]], np.float64)


def on_circle(radius_mm: float, count: int, *, flat_below: bool = False) -> Points:
    """Return points spread evenly over a circle about (0, 0), shape (count, 2).

    Parameters
    ----------
    radius_mm : float
    count : int
    flat_below : bool
        Whether the first two lie level with each other at the bottom; else the first lies on top.
    """
    start = 90.0 + 180.0 / count if flat_below else -90.0
    angle = np.radians(start - 360.0 * np.arange(count) / count)
    return np.asarray(radius_mm * np.column_stack([np.cos(angle), np.sin(angle)]))


def radius_over_side(count: int) -> float:
    """Return radius by side of a regular polygon: side = 2 r sin(180° / n)."""
    return float(0.5 / np.sin(np.pi / count))
