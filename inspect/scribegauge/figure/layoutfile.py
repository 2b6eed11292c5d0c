"""Reads layout files: the figure that was intended, in TOML.

Known keys: ``layout``, ``title``, ``tolerance`` and ``[grade]`` (see `tolerancefile`),
``[construction]`` (see `constructionkey`) and ``[polygon]`` (``vertices_mm``, ``names``). Any other key is refused: a tolerance that is misspelt would
otherwise mean that nothing is judged, and nobody would notice.
"""

import difflib
import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import numpy as np

from scribegauge.errors import FileFormatError
from scribegauge.figure.constructionkey import CONSTRUCTION_KEYS, choice_of, construction_faults
from scribegauge.figure.faults import Fault, refuse
from scribegauge.figure.layout import Layout
from scribegauge.figure.layoutshape import shape_faults
from scribegauge.figure.polygon import least_square_mm
from scribegauge.figure.tolerancefile import (
    GRADE_KEYS,
    TOLERANCE_KEYS,
    grade_faults,
    grade_of,
    is_number,
    tolerance_faults,
    tolerance_of,
)
from scribegauge.figure.tomllines import line_of, line_of_item

VERSION: Final = 1
EXAMPLE: Final = "vertices_mm = [[0, 0], [40, 0], [40, 26], [0, 26]]"

_LONGEST_FILE: Final = 2**20
_LONGEST_TITLE: Final = 200
_CONTROL: Final = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")  # would act on a terminal
_LONGEST_NAME: Final = 12
_MOST_VERTICES: Final = 100  # a regular figure of more has corners of less than 4°
_FARTHEST_MM: Final = 10_000.0
_KEYS: Final = {
    "": ("layout", "title", "tolerance", "grade", "construction", "polygon"),
    "tolerance": TOLERANCE_KEYS,
    "grade": GRADE_KEYS,
    "construction": CONSTRUCTION_KEYS,
    "polygon": ("vertices_mm", "names"),
}


def load_layout(path: Path) -> Layout:
    """Read a layout file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    Layout

    Raises
    ------
    FileFormatError
        ``layout_missing``, ``layout_unreadable``, or as `read_layout`.
    """
    try:
        with path.open("rb") as stream:
            data = stream.read(_LONGEST_FILE + 1)
        layout = read_layout(data.decode("utf-8-sig"), path.name)
    except UnicodeDecodeError as error:
        text = f"{path.name} is not a text file in UTF-8."
        cure = "Give the layout file with --layout, and the photos without."
        raise FileFormatError("layout_unreadable", text, cure) from error
    except (FileNotFoundError, NotADirectoryError) as error:
        raise FileFormatError(
            "layout_missing", f"There is no layout file {path}.", "Check its name and folder."
        ) from error
    except OSError as error:
        raise FileFormatError(
            "layout_unreadable", f"{path} cannot be read.", "Check that it is a file you may read."
        ) from error
    choice = layout.construction
    if choice is None or choice.file is None:
        return layout
    return replace(layout, construction=replace(choice, file=path.parent / choice.file))


def read_layout(text: str, name: str) -> Layout:
    """Read a layout from its text.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        The file's name, for the sentences; its stem is the title where none is given.

    Returns
    -------
    Layout
        Vertices in the order and the position of the file, read-only.

    Raises
    ------
    FileFormatError
        ``layout_syntax``, ``layout_version``, ``layout_unreadable`` (longer than 1 MB) or
        ``layout_invalid``, which names all faults at once.
    """
    values = _parsed(text, name)
    polygon: Any = values.get("polygon")
    tolerance: Any = values.get("tolerance", {})
    faults = [*_stray_keys(values, text), *_title_faults(values, text)]
    faults += [*tolerance_faults(tolerance, text), *grade_faults(values.get("grade"), text)]
    shape = list(_polygon_faults(polygon, text))
    names = None if shape else _names(polygon)
    faults += [*shape, *construction_faults(values.get("construction"), names, text)]
    if faults:
        raise refuse(name, faults)
    vertices_mm = np.array(polygon["vertices_mm"], dtype=np.float64)
    vertices_mm.flags.writeable = False
    return Layout(
        title=values.get("title", "").strip() or Path(name).stem or name,
        vertices_mm=vertices_mm,
        names=_names(polygon),
        tolerance=tolerance_of(tolerance),
        grade=grade_of(values.get("grade")),
        construction=choice_of(values.get("construction")),
    )


def fits_window(layout: Layout, window_mm: float) -> bool:
    """Tell whether a figure can lie in a target's square window, turned any way.

    Parameters
    ----------
    layout : Layout
    window_mm : float
        Side of the window [mm].

    Returns
    -------
    bool
    """
    return least_square_mm(layout.vertices_mm) <= window_mm


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


def _parsed(text: str, name: str) -> dict[str, Any]:
    """Parse TOML and make sure that it is a layout of a version known here."""
    if len(text) > _LONGEST_FILE:
        cure = "Give the layout file with --layout."
        raise FileFormatError("layout_unreadable", f"{name} is too long for a layout.", cure)
    try:
        values = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        said = re.sub(r"\s+", " ", str(error))[:200] or "too deeply nested"
        cure = f"Correct that place; a layout is TOML, e.g. {EXAMPLE}."
        raise FileFormatError("layout_syntax", f"{name} is not TOML: {said}.", cure) from error
    version, line = values.get("layout"), line_of(text, "layout")
    if version is None:
        fault = Fault("layout", "is missing", f"Begin the file with: layout = {VERSION}.", line)
        raise refuse(name, [fault, *_stray_keys(values, text)], code="layout_version")
    if type(version) is not int or version != VERSION:
        cure = f"This program reads layout = {VERSION}; a newer file needs a newer program."
        raise refuse(
            name, [Fault("layout", "is no version known here", cure, line)], code="layout_version"
        )
    return values


def _stray_keys(values: dict[str, Any], text: str) -> Iterator[Fault]:
    for table, known in _KEYS.items():
        inner = values.get(table) if table else values
        if not isinstance(inner, dict):
            continue
        for key in inner:
            if key in known:
                continue
            full = f"{table}.{key}" if table else key
            like = difflib.get_close_matches(key, known, 1)
            cure = f"Did you mean {like[0]}?" if like else f"Known there: {', '.join(known)}."
            yield Fault(_shown(full), "is not known", cure, line_of(text, full))


def _title_faults(values: dict[str, Any], text: str) -> Iterator[Fault]:
    title = values.get("title", "")
    if not isinstance(title, str):
        what = 'must be text in quotes, e.g. title = "Bracket blank"'
    elif len(title) > _LONGEST_TITLE or _CONTROL.search(title):
        what = f"must be one line of at most {_LONGEST_TITLE} letters"
    else:
        return
    yield Fault("title", what, "Correct the title or leave it out.", line_of(text, "title"))


def _polygon_faults(polygon: object, text: str) -> Iterator[Fault]:
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
    if not 3 <= len(vertices) <= _MOST_VERTICES:  # noqa: PLR2004 - a triangle
        what = f"has {len(vertices)} points; a figure has 3 to {_MOST_VERTICES}"
        yield Fault(key, what, cure, line_of(text, key))
        return

    def line_of_vertex(i: int) -> int | None:
        return line_of_item(text, key, i)

    bad = list(_point_faults(vertices, line_of_vertex))
    yield from bad
    if not bad:
        shown = vertex_names(len(vertices)) if names else _names(polygon)
        yield from shape_faults(np.array(vertices, dtype=np.float64), shown, line_of_vertex)


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


def _names(polygon: dict[str, Any]) -> tuple[str, ...]:
    return tuple(polygon.get("names") or vertex_names(len(polygon["vertices_mm"])))


def _is_name(name: object) -> bool:
    # A side is written A-B, so a name with a hyphen could not be told from a side.
    if not isinstance(name, str) or not 0 < len(name) <= _LONGEST_NAME:
        return False
    return name.isprintable() and not any(letter.isspace() or letter == "-" for letter in name)


def _shown(key: str) -> str:
    return "".join(letter if letter.isprintable() else "?" for letter in key)[:60]
