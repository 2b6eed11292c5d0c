"""The table of a layout file that names its construction: ``[construction]``."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from scribegauge.figure.faults import Fault
from scribegauge.figure.layout import ConstructionChoice
from scribegauge.figure.tolerancefile import is_number
from scribegauge.figure.tomllines import line_of

CONSTRUCTION_KEYS: Final = ("name", "file", "sizes", "vertices")
_LARGEST_SIZE: Final = 10_000.0
_SIZE_NAME: Final = re.compile(r"[a-z][a-z0-9_]{0,30}$")
_CURE: Final = (
    'E.g. [construction] and under it name = "fixed-opening-pentagon", which '
    '`scribegauge construction list` shows, or file = "my-own.toml".'
)


def construction_faults(table: object, names: tuple[str, ...] | None, text: str) -> Iterator[Fault]:
    """Find what is wrong with ``[construction]``.

    Parameters
    ----------
    table : object
        What TOML made of it; None where there is none.
    names : tuple of str or None
        Of the layout's vertices; None where those are not known.
    text : str
        The whole file.

    Yields
    ------
    Fault
    """
    if table is None:
        return
    if not isinstance(table, dict):
        yield Fault("construction", "must be a table", _CURE, line_of(text, "construction"))
        return
    if ("name" in table) == ("file" in table):
        what = "needs either name or file"
        yield Fault("construction", what, _CURE, line_of(text, "construction"))
    for key in ("name", "file"):
        if key in table and (not isinstance(table[key], str) or not table[key].isprintable()):
            full = f"construction.{key}"
            yield Fault(full, "must be text in quotes", _CURE, line_of(text, full))
    yield from _size_faults(table.get("sizes", {}), text)
    vertices = table.get("vertices")
    wanted = None if names is None else sorted(names)
    given = sorted(map(str, vertices)) if isinstance(vertices, list) else []
    if vertices is not None and wanted is not None and given != wanted:
        full = "construction.vertices"
        cure = "Name all vertices of the layout once, in the order of the construction's figure."
        yield Fault(full, "must name the layout's vertices", cure, line_of(text, full))


def choice_of(table: dict[str, Any] | None) -> ConstructionChoice | None:
    """Return what a table without faults chooses; a file is as it is written there."""
    if table is None:
        return None
    vertices = table.get("vertices")
    return ConstructionChoice(
        name=table.get("name", ""),
        file=Path(table["file"]) if "file" in table else None,
        sizes={key: float(value) for key, value in table.get("sizes", {}).items()},
        vertices=None if vertices is None else tuple(vertices),
    )


def _size_faults(sizes: object, text: str) -> Iterator[Fault]:
    full = "construction.sizes"
    cure = "E.g. sizes = { side_mm = 40 }; left out, they follow from the layout's own size."
    if not isinstance(sizes, dict):
        yield Fault(full, "must be a table", cure, line_of(text, full))
        return
    for key, value in sizes.items():
        if not _SIZE_NAME.match(key) or not is_number(value) or not 0 < value <= _LARGEST_SIZE:
            what = f"must hold numbers above 0, at most {_LARGEST_SIZE:g}"
            yield Fault(full, what, cure, line_of(text, full))
            return
