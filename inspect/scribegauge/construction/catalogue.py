"""The constructions that come with the program."""

from functools import cache
from importlib.resources import files

from scribegauge.construction.record import Construction
from scribegauge.construction.stepfile import read_construction
from scribegauge.errors import FileFormatError

_ENDING = ".toml"


@cache
def names() -> tuple[str, ...]:
    """Return the names of all shipped constructions, in alphabetical order."""
    folder = files("scribegauge.construction") / "data"
    found = (entry.name for entry in folder.iterdir() if entry.name.endswith(_ENDING))
    return tuple(sorted(name.removesuffix(_ENDING) for name in found))


def text_of(name: str) -> str:
    """Return the file of a shipped construction, to be printed or changed.

    Raises
    ------
    FileFormatError
        ``construction_unknown``.
    """
    if name not in names():
        raise FileFormatError(
            "construction_unknown",
            f"There is no construction called {name[:60]}.",
            "`scribegauge construction list` names them all.",
        )
    file = files("scribegauge.construction") / "data" / f"{name}{_ENDING}"
    return file.read_text(encoding="utf-8")


@cache
def shipped(name: str) -> Construction:
    """Return a shipped construction.

    Raises
    ------
    FileFormatError
        ``construction_unknown``.
    """
    return read_construction(text_of(name), f"{name}{_ENDING}")
