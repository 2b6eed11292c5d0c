"""The table of a layout file that says how the figure is laid over the scribed one: ``[fit]``."""

from collections.abc import Iterator
from typing import Any, Final

from scribegauge.figure.faults import Fault
from scribegauge.figure.intended import FitChoice
from scribegauge.figure.tomllines import line_of

FIT_KEYS: Final = ("from", "size", "hand", "nearest_edge")
_CHOICES: Final = {"size": ("fixed", "free"), "hand": ("given", "mirrored", "either")}
_CURE: Final = (
    'E.g. [fit] and under it from = "A-B", size = "free", hand = "either" or '
    'nearest_edge = "A-B"; left out, the best fit at the size and hand of the file.'
)


def fit_faults(table: object, names: tuple[str, ...] | None, text: str) -> Iterator[Fault]:
    """Find what is wrong with ``[fit]``.

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
        yield Fault("fit", "must be a table", _CURE, line_of(text, "fit"))
        return
    for key, known in _CHOICES.items():
        if table.get(key, known[0]) not in known:
            what = "must be " + " or ".join(f'"{word}"' for word in known)
            yield Fault(f"fit.{key}", what, _CURE, line_of(text, f"fit.{key}"))
    if names is None:
        return
    sides = side_names(names)
    for key, known in (("from", sides), ("nearest_edge", (*sides, *names))):
        if key in table and table[key] not in known:
            kind = "a side" if key == "from" else "a side or a vertex"
            cure = f"Known there: {', '.join(known)}." if known else "It needs a [polygon]."
            what = f"must name {kind} of the polygon"
            yield Fault(f"fit.{key}", what, cure, line_of(text, f"fit.{key}"))


def fit_of(table: dict[str, Any] | None) -> FitChoice:
    """Return what a table without faults chooses."""
    if table is None:
        return FitChoice()
    return FitChoice(
        side=table.get("from", ""),
        size_free=table.get("size") == "free",
        hand=table.get("hand", "given"),
        edge=table.get("nearest_edge", ""),
    )


def side_names(names: tuple[str, ...]) -> tuple[str, ...]:
    """Return the names of a polygon's sides, ``A-B`` and so on."""
    return tuple(f"{a}-{b}" for a, b in zip(names, (*names[1:], *names[:1]), strict=True))
