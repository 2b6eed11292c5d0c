"""What can be wrong with the figure that a construction file names."""

import difflib
from collections.abc import Iterator, Mapping
from typing import Any, Final

from scribegauge.construction.plan import spread
from scribegauge.construction.stepfaults import kinds_of_marks
from scribegauge.figure.faults import Fault
from scribegauge.figure.tomllines import line_of

_KEYS: Final = ("vertices", "regular_on", "regular_about", "sides_drawn")
_CURE: Final = 'E.g. [figure] and vertices = ["A", "B", "C"], in order round the figure.'


def figure_faults(
    document: Mapping[str, Any], text: str, sizes: Mapping[str, float]
) -> list[Fault]:
    """Find what is wrong with the table ``[figure]``.

    Parameters
    ----------
    document : Mapping
        The whole file, parsed.
    text : str
        The whole file.
    sizes : Mapping of str to float
    """
    figure = document.get("figure", {})
    known = kinds_of_marks(document.get("steps"), sizes)
    if not isinstance(figure, dict):
        return [Fault("figure", "must be a table", _CURE, line_of(text, "figure"))]
    return [
        Fault(key, what, cure, line_of(text, key) or line_of(text, "figure"))
        for key, what, cure in (
            *_strays(figure),
            *_vertices(figure, known),
            *_regular(figure, known),
        )
    ]


def _strays(figure: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    for key in figure:
        if key not in _KEYS:
            like = difflib.get_close_matches(key, _KEYS, 1)
            cure = f"Did you mean {like[0]}?" if like else f"Known there: {', '.join(_KEYS)}."
            yield f"figure.{key}"[:60], "is not known", cure


def _vertices(
    figure: Mapping[str, Any], known: Mapping[str, str]
) -> Iterator[tuple[str, str, str]]:
    key, names = "figure.vertices", figure.get("vertices")
    if names is None:
        if figure:
            yield key, "is missing", _CURE
        return
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        yield key, "must be a list of points", _CURE
        return
    every = [mark for name in names for mark in spread(name, list(known))]
    for name in every:
        if known.get(name) != "point":
            yield key, f"speaks of {name[:12]}, which is no point of this construction", _CURE
    if len(set(every)) < len(every):
        yield key, "names one point twice", _CURE
    if len(every) < 3:  # noqa: PLR2004 - a triangle
        yield key, "has fewer than three points", _CURE


def _regular(figure: Mapping[str, Any], known: Mapping[str, str]) -> Iterator[tuple[str, str, str]]:
    on, about = figure.get("regular_on"), figure.get("regular_about")
    if on is not None and about is not None:
        cure = "Give one of them."
        yield "figure.regular_on", "and regular_about cannot both place the regular figure", cure
    names = figure.get("vertices", [])
    if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
        return
    vertices = [mark for name in names for mark in spread(name, list(known))]
    if on is not None and on != vertices[:2]:
        cure = "The regular figure shares the side between the first two vertices."
        yield "figure.regular_on", "must be the figure's first two vertices", cure
    if about is not None and known.get(str(about)) != "point":
        cure = "Name the point that the regular figure's circle is about."
        yield "figure.regular_about", "must be a point of this construction", cure
    if not isinstance(figure.get("sides_drawn", True), bool):
        cure = "Say false when the figure is its points only, as the holes of a hole circle are."
        yield "figure.sides_drawn", "must be true or false", cure
