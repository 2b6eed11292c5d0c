"""Reads layout files: the figure that was intended, in TOML.

Known keys: ``layout``, ``title``, ``tolerance`` and ``[grade]`` (see `tolerancefile`),
``[construction]`` (see `constructionkey`), ``[polygon]`` (see `polygonkey`), lists of other marks
(see `markkeys`) and ``[fit]`` (see `fitkey`). Any other key is refused: a tolerance that is misspelt
would otherwise mean that nothing is judged, and nobody would notice.
"""

import difflib
import re
import tomllib
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

import numpy as np

from scribegauge.errors import FileFormatError
from scribegauge.figure.constructionkey import CONSTRUCTION_KEYS, choice_of, construction_faults
from scribegauge.figure.faults import Fault, refuse
from scribegauge.figure.fitkey import FIT_KEYS, fit_faults, fit_of
from scribegauge.figure.layout import Layout
from scribegauge.figure.layoutshape import LARGEST_WINDOW_MM
from scribegauge.figure.markkeys import MARK_KEYS, mark_faults, marks_of
from scribegauge.figure.polygon import least_square_mm
from scribegauge.figure.polygonkey import (
    EXAMPLE,
    POLYGON_KEYS,
    names_of,
    polygon_faults,
    vertices_of,
)
from scribegauge.figure.tolerancefile import (
    GRADE_KEYS,
    TOLERANCE_KEYS,
    grade_faults,
    grade_of,
    tolerance_faults,
    tolerance_of,
)
from scribegauge.figure.tomllines import line_of

VERSION: Final = 1

_LONGEST_FILE: Final = 2**20
_LONGEST_TITLE: Final = 200
_CONTROL: Final = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")  # would act on a terminal
# A list of these alone is a layout, too.
_MEASURED: Final = ("circle", "prick")
_KEYS: Final = {
    "": ("layout", "title", "tolerance", "grade", "construction", "polygon", "fit", *MARK_KEYS),
    "tolerance": TOLERANCE_KEYS,
    "grade": GRADE_KEYS,
    "construction": CONSTRUCTION_KEYS,
    "polygon": POLYGON_KEYS,
    "fit": FIT_KEYS,
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
    alone = not any(values.get(kind) for kind in _MEASURED)
    shape = list(polygon_faults(polygon, text, alone=alone))
    names = None if shape else names_of(polygon)
    faults += [*shape, *construction_faults(values.get("construction"), names, text)]
    marks = list(mark_faults(values, names, text))
    faults += [*marks, *fit_faults(values.get("fit"), names, text)]
    if faults:
        raise refuse(name, faults)
    layout = Layout(
        title=values.get("title", "").strip() or Path(name).stem or name,
        vertices_mm=vertices_of(polygon),
        names=names_of(polygon),
        tolerance=tolerance_of(tolerance),
        grade=grade_of(values.get("grade")),
        construction=choice_of(values.get("construction")),
        marks=marks_of(values),
        fit=fit_of(values.get("fit")),
    )
    if not fits_window(layout, LARGEST_WINDOW_MM):
        raise refuse(name, [_too_large(layout, text)])
    return layout


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
    points = np.concatenate([layout.vertices_mm, layout.marks.reach_mm()])
    return least_square_mm(points) <= window_mm


def _too_large(layout: Layout, text: str) -> Fault:
    points = np.concatenate([layout.vertices_mm, layout.marks.reach_mm()])
    what = (
        f"needs a window of {least_square_mm(points):.0f} mm with all its marks; the largest target "
        f"has {LARGEST_WINDOW_MM:.0f}"
    )
    cure = "Give millimetres, or choose a smaller figure."
    return Fault("the figure", what, cure, line_of(text, "polygon"))


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


def _shown(key: str) -> str:
    return "".join(letter if letter.isprintable() else "?" for letter in key)[:60]
