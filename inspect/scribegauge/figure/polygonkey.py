"""The table of a layout file that gives the polygon: ``[polygon]``."""

from collections.abc import Callable, Iterator
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.faults import Fault
from scribegauge.figure.layoutshape import shape_faults
from scribegauge.figure.tolerancefile import is_number
from scribegauge.figure.tomllines import line_of, line_of_item

POLYGON_KEYS: Final = ("vertices_mm", "names", "may_cross")
EXAMPLE: Final = "vertices_mm = [[0, 0], [40, 0], [40, 26], [0, 26]]"

_LONGEST_NAME: Final = 12
_MOST_VERTICES: Final = 100  # a regular figure of more has corners of less than 4°
_FARTHEST_MM: Final = 10_000.0


def vertex_names(count: int) -> tuple[str, ...]:
    """Give names to vertices that have none: A, B, … Z, then A1, B1 and so on.

    Parameters
    ----------
    count : int

    Returns
    -------
    tuple of str
    """
    return tuple(chr(ord("A") + i % 26) + (str(i // 26) if i >= 26 else "") for i in range(count))  # noqa: PLR2004 - letters


def polygon_faults(polygon: object, text: str, *, alone: bool) -> Iterator[Fault]:
    """Find what is wrong with ``[polygon]``.

    Parameters
    ----------
    polygon : object
        What TOML made of it; None where there is none.
    text : str
        The whole file.
    alone : bool
        Whether the file holds nothing else that could be measured.

    Yields
    ------
    Fault
    """
    if polygon is None and not alone:
        return
    cure = f"Give the corners in order round the figure, e.g. [polygon] and {EXAMPLE}."
    if not isinstance(polygon, dict):
        what = "is missing" if polygon is None else "must be a table"
        yield Fault("[polygon]", what, cure, line_of(text, "polygon"))
        return
    key = "polygon.vertices_mm"
    vertices = polygon.get("vertices_mm")
    if not isinstance(vertices, list):
        what = "is missing" if vertices is None else "must be a list of points"
        yield Fault(key, what, cure, line_of(text, key))
        return
    names = list(_name_faults(polygon, len(vertices), text))
    yield from names
    yield from _crossing_faults(polygon, text)
    if not 3 <= len(vertices) <= _MOST_VERTICES:  # noqa: PLR2004 - a triangle
        what = f"has {len(vertices)} points; a figure has 3 to {_MOST_VERTICES}"
        yield Fault(key, what, cure, line_of(text, key))
        return

    def line_of_vertex(i: int) -> int | None:
        return line_of_item(text, key, i)

    bad = list(_point_faults(vertices, line_of_vertex))
    yield from bad
    if not bad:
        shown = vertex_names(len(vertices)) if names else names_of(polygon)
        may_cross = polygon.get("may_cross") is True
        points = np.array(vertices, dtype=np.float64)
        yield from shape_faults(points, shown, line_of_vertex, may_cross=may_cross)


def vertices_of(polygon: dict[str, Any] | None) -> NDArray[np.float64]:
    """Return the vertices (n, 2) of a table without faults, read-only; none where there is none."""
    rows = [] if polygon is None else polygon["vertices_mm"]
    vertices = np.array(rows, dtype=np.float64).reshape(-1, 2)
    vertices.flags.writeable = False
    return vertices


def _crossing_faults(polygon: dict[str, Any], text: str) -> Iterator[Fault]:
    if not isinstance(polygon.get("may_cross", False), bool):
        key = "polygon.may_cross"
        cure = "Say may_cross = true for a star whose sides cross; else leave it out."
        yield Fault(key, "must be true or false", cure, line_of(text, key))


def _point_faults(
    vertices: list[Any], line_of_vertex: Callable[[int], int | None]
) -> Iterator[Fault]:
    for i, point in enumerate(vertices):
        if not isinstance(point, list) or len(point) != 2:  # noqa: PLR2004 - x and y
            what = "must be two numbers, [x, y]"
        elif not all(is_number(value) for value in point):
            what = "must be two finite numbers without quotes"
        elif max(abs(value) for value in point) > _FARTHEST_MM:
            what = f"is farther than {_FARTHEST_MM / 1000:.0f} m from the origin"
        else:
            continue
        cure = "Give each vertex as [x, y] in millimetres, with decimal points."
        yield Fault(f"polygon.vertices_mm, point {i + 1},", what, cure, line_of_vertex(i))


def _name_faults(polygon: dict[str, Any], count: int, text: str) -> Iterator[Fault]:
    names = polygon.get("names")
    if names is None:
        return
    if not isinstance(names, list) or len(names) != count:
        what = f"must be a list of {count} names, one for each vertex"
    elif not all(_is_name(name) for name in names):
        what = f"must be short texts (1 to {_LONGEST_NAME} letters, no space, no hyphen)"
    elif len(set(names)) < count:
        what = "has one name twice"
    else:
        return
    cure = 'E.g. names = ["A", "B", "C"]; left out, the vertices are A, B, C, …'
    yield Fault("polygon.names", what, cure, line_of(text, "polygon.names"))


def names_of(polygon: dict[str, Any] | None) -> tuple[str, ...]:
    """Return the names of a table's vertices; none where there is no table."""
    if polygon is None:
        return ()
    return tuple(polygon.get("names") or vertex_names(len(polygon["vertices_mm"])))


def _is_name(name: object) -> bool:
    # A side is written A-B, so a name with a hyphen could not be told from a side.
    if not isinstance(name, str) or not 0 < len(name) <= _LONGEST_NAME:
        return False
    return name.isprintable() and not any(letter.isspace() or letter == "-" for letter in name)
