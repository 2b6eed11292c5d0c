"""Reads hints files: where a person saw a side or a prick, in pixels of the photo.

TOML, or the same as JSON::

    hints = 1

    [photo1.sides]
    A-B = [[812, 1033], [2210, 1020]]

    [photo1.pricks]
    C = [2215, 1700]

``photo1`` is the first photo of the command. Pixels are counted in the picture turned upright, from
(0, 0) at the centre of the top-left one.
"""

import json
import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

import numpy as np

from scribegauge.errors import FileFormatError
from scribegauge.figure.faults import Fault, refuse
from scribegauge.figure.hints import Hints, Points
from scribegauge.figure.tomllines import json_line_of, line_of

VERSION: Final = 1
EXAMPLE: Final = "[photo1.sides] and below it A-B = [[812, 1033], [2210, 1020]]"
PRICK_EXAMPLE: Final = "[photo1.pricks] and below it A = [812, 1033]"
_KINDS: Final = ("sides", "pricks")
_PHOTO: Final = re.compile("photo([1-9][0-9]?)")
_LONGEST_FILE: Final = 2**20
_FARTHEST_PX: Final = 100_000


def load_hints(path: Path, names: tuple[str, ...], photos: int) -> tuple[Hints, ...]:
    """Read a hints file.

    Parameters
    ----------
    path : Path
    names : tuple of str
        Of the layout's vertices.
    photos : int
        Number of photos in the command.

    Returns
    -------
    tuple of Hints
        One for each photo, in px; empty ones where nothing was said.

    Raises
    ------
    FileFormatError
        ``hints_missing``, ``hints_unreadable``, or as `read_hints`.
    """
    try:
        with path.open("rb") as stream:
            data = stream.read(_LONGEST_FILE + 1)
        return read_hints(data.decode("utf-8-sig"), path.name, names, photos)
    except UnicodeDecodeError as error:
        text = f"{path.name} is not a text file in UTF-8."
        raise FileFormatError(
            "hints_unreadable", text, "Give a hints file with --hints."
        ) from error
    except (FileNotFoundError, NotADirectoryError) as error:
        raise FileFormatError(
            "hints_missing", f"There is no hints file {path}.", "Check its name and folder."
        ) from error
    except OSError as error:
        raise FileFormatError(
            "hints_unreadable", f"{path} cannot be read.", "Check that it is a file you may read."
        ) from error


def read_hints(text: str, name: str, names: tuple[str, ...], photos: int) -> tuple[Hints, ...]:
    """Read hints from their text.

    Parameters
    ----------
    text : str
        TOML, or JSON when it begins with a brace.
    name : str
        The file's name, for the sentences.
    names : tuple of str
        Of the layout's vertices.
    photos : int

    Returns
    -------
    tuple of Hints, length `photos`

    Raises
    ------
    FileFormatError
        ``hints_syntax``, ``hints_version``, or ``hints_invalid``, which names all faults at once.
    """
    values = _parsed(text, name)
    version = values.get("hints")
    if type(version) is not int or version != VERSION:
        what = "is missing" if version is None else "is no version known here"
        fault = Fault(
            "hints", what, f"Begin the file with: hints = {VERSION}.", _line(text, "hints")
        )
        raise refuse(name, [fault], code="hints_version")
    faults = list(_faults(values, text, names, photos))
    if faults:
        raise refuse(name, faults, code="hints_invalid")
    return tuple(_hints(values.get(f"photo{k + 1}", {}), names) for k in range(photos))


def _parsed(text: str, name: str) -> dict[str, Any]:
    cure = f"Correct that place; hints are TOML, e.g. hints = {VERSION}, then {EXAMPLE}."
    try:
        values = json.loads(text) if text.lstrip().startswith("{") else tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        said = re.sub(r"\s+", " ", str(error))[:200] or "too deeply nested"
        raise FileFormatError("hints_syntax", f"{name} is not TOML: {said}.", cure) from error
    return dict(values)


def _line(text: str, key: str) -> int | None:
    return json_line_of(text, key) if text.lstrip().startswith("{") else line_of(text, key)


def _line_of_photo(text: str, photo: str) -> int | None:
    """Find where a photo's first table begins."""
    header = re.search(rf"^\s*\[{re.escape(photo)}[.\]]", text, re.MULTILINE)
    return _line(text, photo) if header is None else text.count("\n", 0, header.end()) + 1


def _faults(
    values: dict[str, Any], text: str, names: tuple[str, ...], photos: int
) -> Iterator[Fault]:
    for key, told in values.items():
        if key == "hints":
            continue
        number = _PHOTO.fullmatch(key)
        line = _line_of_photo(text, key)
        if not number:
            yield Fault(key, "is not known", f"Known are photo1, photo2, …: {EXAMPLE}.", line)
        elif int(number[1]) > photos:
            what = f"is about a photo that is not there: the command names {photos}"
            yield Fault(key, what, "Number the photos as the command names them.", line)
        elif not isinstance(told, dict):
            yield Fault(key, "must be a table", f"Write {EXAMPLE}.", line)
        else:
            yield from _photo_faults(key, told, text, names)


def _photo_faults(
    photo: str, told: dict[str, Any], text: str, names: tuple[str, ...]
) -> Iterator[Fault]:
    for kind, places in told.items():
        key = f"{photo}.{kind}"
        if kind not in _KINDS or not isinstance(places, dict):
            what = "must be a table" if kind in _KINDS else "is not known"
            yield Fault(key, what, f"Write {EXAMPLE}; {PRICK_EXAMPLE}.", _line(text, key))
            continue
        for mark, place in places.items():
            fault = _side_fault(mark, place, names) if kind == "sides" else None
            fault = _prick_fault(mark, place, names) if kind == "pricks" else fault
            if fault:
                yield Fault(f"{key}.{mark}", *fault, _line(text, f"{key}.{mark}"))


def _side_fault(mark: str, place: object, names: tuple[str, ...]) -> tuple[str, str] | None:
    if _side(mark, names) is None:
        first = f"{names[0]}-{names[1]}"
        return "is no side of this figure", f"Name a side by its two corners, e.g. {first}."
    if not (isinstance(place, list) and len(place) == 2 and all(map(_is_place, place))):  # noqa: PLR2004
        return "must be two places, [[x, y], [x, y]], in pixels", f"E.g. {EXAMPLE}."
    if place[0] == place[1]:
        return "has both ends at one place", "Give the place of either end."
    return None


def _prick_fault(mark: str, place: object, names: tuple[str, ...]) -> tuple[str, str] | None:
    if mark not in names:
        return "is no corner of this figure", f"Its corners are {', '.join(names)}."
    if not _is_place(place):
        return "must be one place, [x, y], in pixels", f"E.g. {PRICK_EXAMPLE}."
    return None


def _is_place(place: object) -> bool:
    return (
        isinstance(place, list)
        and len(place) == 2  # noqa: PLR2004 - x and y
        and all(
            isinstance(v, int | float) and not isinstance(v, bool) and -1 <= v <= _FARTHEST_PX
            for v in place
        )
    )


def _side(mark: str, names: tuple[str, ...]) -> tuple[int, bool] | None:
    """Return a side's number and whether it was named backwards; None where there is none."""
    for side, name in enumerate(names):
        after = names[(side + 1) % len(names)]
        if mark == f"{name}-{after}":
            return side, False
        if mark == f"{after}-{name}":
            return side, True
    return None


def _hints(told: Mapping[str, Any], names: tuple[str, ...]) -> Hints:
    sides: dict[int, Points] = {}
    for mark, place in told.get("sides", {}).items():
        found = _side(mark, names)
        if found is not None:
            ends = np.array(place, np.float64)
            sides[found[0]] = ends[::-1] if found[1] else ends
    pricks = {
        names.index(mark): np.array(place, np.float64)
        for mark, place in told.get("pricks", {}).items()
    }
    return Hints(sides, pricks)
