"""Figures by name and dimension, so that common ones need no layout file."""

import difflib
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from scribegauge.errors import UseError
from scribegauge.figure.figuretable import FIGURES, NamedFigure, Sizes
from scribegauge.figure.intended import IntendedMarks
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.layoutshape import LARGEST_WINDOW_MM, shape_faults
from scribegauge.figure.outlines import Points
from scribegauge.figure.polygon import least_square_mm
from scribegauge.figure.polygonkey import vertex_names

#: Sizes that are numbers of things.
COUNTS: Final = ("n", "step", "rings")
_LARGEST: Final = 10_000.0
_FIGURES: Final[Mapping[str, NamedFigure]] = {figure.name: figure for figure in FIGURES}


def figure_names() -> tuple[str, ...]:
    """Return the names of all figures, in the order in which they are shown."""
    return tuple(_FIGURES)


def named_figure(name: str) -> NamedFigure:
    """Return a figure by its name.

    Raises
    ------
    UseError
        ``figure_unknown``.
    """
    if name in _FIGURES:
        return _FIGURES[name]
    like = difflib.get_close_matches(name, _FIGURES, 1)
    cure = f"Did you mean {like[0]}? " if like else ""
    raise UseError(
        "figure_unknown",
        f"There is no figure called {name[:60]}.",
        f"{cure}`scribegauge figures` shows them all.",
    )


def figure_layout(
    name: str, sizes: Sizes | None = None, tolerance: Tolerance | None = None
) -> Layout:
    """Return the layout of a named figure.

    Parameters
    ----------
    name : str
    sizes : Mapping of str to float, optional
        Those left out have the figure's own value.
    tolerance : Tolerance, optional

    Raises
    ------
    UseError
        ``figure_unknown``, or ``figure_size`` when it cannot be made at these sizes.
    """
    figure = named_figure(name)
    known = {**figure.sizes, **(sizes or {})}
    try:
        for key, value in known.items():
            _see_size(figure, key, value)
        vertices, marks = figure.shape(known)
    except ValueError as error:
        raise _impossible(name, str(error), _example(figure)) from error
    title = titled(figure, known)
    return _checked(figure.name, title, vertices, marks, tolerance, may_cross=figure.may_cross)


def outline_layout(
    vertices_mm: Sequence[tuple[float, float]], tolerance: Tolerance | None = None
) -> Layout:
    """Return the layout of an outline by its vertices, in order round the figure.

    Raises
    ------
    UseError
        ``figure_size``.
    """
    title = f"Outline of {len(vertices_mm)} sides"
    return _checked("by its corners", title, np.array(vertices_mm), IntendedMarks(), tolerance)


def _checked(
    name: str,
    title: str,
    vertices_mm: Points,
    marks: IntendedMarks,
    tolerance: Tolerance | None,
    *,
    may_cross: bool = False,
) -> Layout:
    """Return a layout, or raise with the first fault of its shape."""
    vertices = np.round(vertices_mm, 6) + 0.0
    names = vertex_names(len(vertices))
    if len(vertices):
        for fault in shape_faults(vertices, names, lambda _: None, may_cross=may_cross):
            raise _impossible(name, f"it {fault.text}", fault.cure)
    square_mm = least_square_mm(np.concatenate([vertices, marks.reach_mm()]))
    if square_mm > LARGEST_WINDOW_MM:
        why = f"it needs a window of {square_mm:.0f} mm; the largest target has {LARGEST_WINDOW_MM:.0f}"
        raise _impossible(name, why, "Choose a smaller figure.")
    vertices.flags.writeable = False
    return Layout(title, vertices, names, tolerance or Tolerance(None, None), marks=marks)


def titled(figure: NamedFigure, sizes: Sizes) -> str:
    """Return a title with the sizes, ``Rectangle, width 40 mm, height 26 mm``."""
    return ", ".join([figure.title, *(size_words(key, value) for key, value in sizes.items())])


def size_words(key: str, value: float) -> str:
    """Return a size in words: ``width 40 mm``, ``n 7``."""
    stem, _, unit = key.rpartition("_") if key.endswith(("_mm", "_deg")) else (key, "", "")
    shown = {"mm": " mm", "deg": "°"}.get(unit, "")
    return f"{stem.replace('_', ' ')} {value:g}{shown}"


def _see_size(figure: NamedFigure, key: str, value: float) -> None:
    if key not in figure.sizes:
        raise ValueError(f"it has no size {key[:30]}; it has {', '.join(figure.sizes)}")
    least = 0 if key == "inset_mm" else 1e-9
    if not least <= value <= _LARGEST:
        raise ValueError(f"{size_words(key, value)} is no size")
    if key in COUNTS and value != int(value):
        raise ValueError(f"{key} must be a whole number")


def _impossible(name: str, why: str, cure: str) -> UseError:
    return UseError("figure_size", f"The figure {name} cannot be made so: {why}.", cure)


def _example(figure: NamedFigure) -> str:
    sizes = ", ".join(size_words(key, value) for key, value in figure.sizes.items())
    return f"Give other sizes, e.g. {sizes}."
