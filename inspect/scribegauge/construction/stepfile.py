"""Reads construction files, and says everything that is wrong with one at once.

A file is TOML::

    construction = 1
    title = "Equilateral triangle on a side"
    exact = true
    source = ["Euclid, Elements I.1"]
    sizes = { side_mm = 40 }
    steps = [
      { point = "A", at_mm = [0, 0] },
      { point = "B", at_mm = ["side_mm", 0] },
      { set = "r", from = ["A", "B"] },
      { circle = "a", about = "A", opening = "r" },
      { circle = "b", about = "B", opening = "r" },
      { meet = "C", of = ["a", "b"], right_of = ["A", "B"] },
    ]
    [figure]
    vertices = ["A", "B", "C"]
"""

import difflib
import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from scribegauge.construction.engine import run_exactly
from scribegauge.construction.errors import StepError
from scribegauge.construction.expression import evaluate
from scribegauge.construction.figurefaults import figure_faults
from scribegauge.construction.filelines import lines_of_steps
from scribegauge.construction.plan import plan_from
from scribegauge.construction.record import Construction
from scribegauge.construction.stepfaults import step_faults
from scribegauge.errors import FileFormatError
from scribegauge.figure.faults import Fault, refuse
from scribegauge.figure.tomllines import line_of

VERSION: Final = 1
_LONGEST_FILE: Final = 2**20
_LONGEST_TEXT: Final = 300
_CONTROL: Final = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029]")  # would act on a terminal
_KEYS: Final = ("construction", "title", "exact", "source", "sizes", "steps", "figure")
_SIZE_NAME: Final = re.compile(r"[a-z][a-z0-9_]{0,30}$")
_LARGEST_SIZE: Final = 10_000.0


def load_construction(path: Path) -> Construction:
    """Read a construction file.

    Parameters
    ----------
    path : Path

    Raises
    ------
    FileFormatError
        ``construction_missing``, ``construction_unreadable``, ``construction_syntax`` or
        ``construction_invalid``, which names all faults at once.
    """
    return read_construction(read_text(path), path.name)


def read_text(path: Path) -> str:
    """Return a construction file's text.

    Raises
    ------
    FileFormatError
        ``construction_missing`` or ``construction_unreadable``.
    """
    cure = (
        "Give a construction as a text file in UTF-8; `scribegauge construction show` prints one."
    )
    try:
        with path.open("rb") as stream:
            data = stream.read(_LONGEST_FILE + 1)
        text = data.decode("utf-8-sig")
    except (FileNotFoundError, NotADirectoryError) as error:
        wrong = f"There is no construction file {path}."
        raise FileFormatError(
            "construction_missing", wrong, "Check its name and folder."
        ) from error
    except (OSError, UnicodeDecodeError) as error:
        wrong = f"{path} cannot be read as text."
        raise FileFormatError("construction_unreadable", wrong, cure) from error
    if len(data) > _LONGEST_FILE:
        wrong = f"{path.name} is too long for a construction."
        raise FileFormatError("construction_unreadable", wrong, cure)
    return text


def read_construction(text: str, name: str) -> Construction:
    """Read a construction from its text.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        The file's name; its stem is the construction's.

    Raises
    ------
    FileFormatError
        ``construction_syntax`` or ``construction_invalid``.
    """
    document = _parsed(text, name)
    faults = list(_faults(document, text))
    if faults:
        raise refuse(name, faults, code="construction_invalid")
    return Construction(
        name=Path(name).stem or name,
        title=document.get("title", "") or Path(name).stem,
        exact=document.get("exact", False),
        sources=tuple(document.get("source", ())),
        sizes=_sizes(document),
        document=document,
    )


def check_construction(text: str, name: str) -> tuple[Fault, ...]:
    """Find everything that is wrong with a construction file.

    Parameters
    ----------
    text : str
    name : str
        The file's name, for the message when it is no TOML.

    Returns
    -------
    tuple of Fault
        In the order of the file's parts; empty when the construction can be used.

    Raises
    ------
    FileFormatError
        ``construction_syntax``.
    """
    return tuple(_faults(_parsed(text, name), text))


def _parsed(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        said = re.sub(r"\s+", " ", str(error))[:200] or "too deeply nested"
        cure = "Correct that place; each step is a table in one line, e.g. " + (
            '{ circle = "a", about = "A", through = "B" }.'
        )
        raise FileFormatError(
            "construction_syntax", f"{name} is not TOML: {said}.", cure
        ) from error


def _faults(document: dict[str, Any], text: str) -> Iterator[Fault]:
    version = document.get("construction")
    if type(version) is not int or version != VERSION:
        what = "is missing" if version is None else "is no version known here"
        cure = f"Begin the file with: construction = {VERSION}."
        yield Fault("construction", what, cure, line_of(text, "construction"))
    faults = [
        *_stray(document, text),
        *_text_faults(document, text),
        *_size_faults(document, text),
    ]
    sizes = _sizes(document)
    faults += step_faults(document.get("steps"), text, sizes)
    faults += figure_faults(document, text, sizes)
    yield from faults
    if not faults:  # a step list that cannot be read cannot be run
        yield from _run_faults(document, text, sizes)


def _stray(document: dict[str, Any], text: str) -> Iterator[Fault]:
    for key in document:
        if key not in _KEYS:
            like = difflib.get_close_matches(key, _KEYS, 1)
            cure = f"Did you mean {like[0]}?" if like else f"Known: {', '.join(_KEYS)}."
            yield Fault(key[:60], "is not known", cure, line_of(text, key))


def _text_faults(document: dict[str, Any], text: str) -> Iterator[Fault]:
    if not _is_text(document.get("title", "")):
        cure = 'E.g. title = "Equilateral triangle on a side".'
        yield Fault("title", "must be one line of text", cure, line_of(text, "title"))
    if not isinstance(document.get("exact", False), bool):
        cure = "Say whether the method is exact when done perfectly."
        yield Fault("exact", "must be true or false", cure, line_of(text, "exact"))
    source = document.get("source", [])
    if not isinstance(source, list) or not all(_is_text(entry) for entry in source):
        cure = 'E.g. source = ["Euclid, Elements I.1"].'
        yield Fault("source", "must be a list of texts", cure, line_of(text, "source"))


def _is_text(value: object) -> bool:
    return isinstance(value, str) and len(value) <= _LONGEST_TEXT and not _CONTROL.search(value)


def _size_faults(document: dict[str, Any], text: str) -> Iterator[Fault]:
    sizes = document.get("sizes", {})
    cure = "E.g. sizes = { radius_mm = 40, n = 7 }."
    if not isinstance(sizes, dict):
        yield Fault("sizes", "must be a table", cure, line_of(text, "sizes"))
        return
    for key, value in sizes.items():
        full = f"sizes.{key}"
        if not _SIZE_NAME.match(key):
            what = "must have a name of small letters, numbers and _"
        elif isinstance(value, str) or not _is_size(value):
            what = f"must be a number above 0, at most {_LARGEST_SIZE:g}"
        else:
            continue
        yield Fault(full[:60], what, cure, line_of(text, full) or line_of(text, "sizes"))


def _is_size(value: object) -> bool:
    try:
        return 0 < evaluate(value, {}) <= _LARGEST_SIZE
    except ValueError:
        return False


def _sizes(document: Mapping[str, Any]) -> dict[str, float]:
    sizes = document.get("sizes", {})
    if not isinstance(sizes, dict):
        return {}
    return {str(key): float(value) for key, value in sizes.items() if _is_size(value)}


def _run_faults(document: dict[str, Any], text: str, sizes: Mapping[str, float]) -> Iterator[Fault]:
    """Find what comes out only when the construction is done."""
    lines = lines_of_steps(text)
    plan = plan_from(document, "", "", sizes)
    try:
        run_exactly(plan)
    except StepError as error:
        line = lines[error.number - 1] if error.number <= len(lines) else None
        cure = (
            "Look at the sizes, and at which marks the step uses."
            if error.reason != "rule_undecided"
            else "Choose another rule, or other points for it: "
            "nearest_to, farthest_from, left_of, right_of, first_along, last_along."
        )
        what = f"cannot be done at the file's own sizes: {error.text}"
        yield Fault(f"step {error.number} (mark {error.mark})", what, cure, line)
