"""The reading file: JSON, version 1, as scripts outside the project rely on it."""

import json
import math
from dataclasses import fields, is_dataclass
from typing import Any

import msgspec

from scribegauge.errors import FileFormatError
from scribegauge.report.reading import Reading

VERSION = 1

# "from" cannot be a field's name in Python.
_KEY_FROM_FIELD = {"start": "from", "end": "to"}
_FIELD_FROM_KEY = {key: field for field, key in _KEY_FROM_FIELD.items()}

# The order that the contract shows; what we add comes after.
_FIRST_KEYS = ("status", "reasons", "vertices", "sides", "angles", "pricks")

# Finer than any uncertainty we state, coarse enough for a person's eye: 10 nm, 0.04 arc seconds,
# a thousandth of a pixel. Standard uncertainties of single terms get two digits more.
_DECIMALS_PX = 3
_DECIMALS = 5
_DECIMALS_TERM = 7
# Covariances are products of two small numbers, and the angles of a figure depend on each other:
# digits that count from the first one that is not zero.
_DIGITS_COVARIANCE = 8


def to_json(reading: Reading) -> str:
    """Write a reading as one JSON document, one vertex, side, angle, … a line.

    Parameters
    ----------
    reading : Reading

    Returns
    -------
    str
        Plain ASCII, ends with a line end.

    Raises
    ------
    ValueError
        If a number is NaN or infinite: where nothing was measured the record holds None.
    """
    plain = {
        field.name: _plain(field.name, getattr(reading, field.name)) for field in fields(reading)
    }
    keys = (*_FIRST_KEYS, *(key for key in plain if key not in _FIRST_KEYS))
    rows = [f'"reading": {VERSION}', *(f'"{key}": {_dump(plain[key])}' for key in keys)]
    return "{" + ",\n ".join(rows) + "}\n"


def _dump(value: object) -> str:
    if isinstance(value, list) and value:
        return "[\n  " + ",\n  ".join(json.dumps(row, allow_nan=False) for row in value) + "]"
    return json.dumps(value, allow_nan=False)


def _plain(name: str, value: Any) -> Any:
    if is_dataclass(value):
        return {
            _side_key(name, field.name): _plain(field.name, getattr(value, field.name))
            for field in fields(value)
        }
    if isinstance(value, tuple):
        return [_plain(name, item) for item in value]
    if isinstance(value, float) and name.endswith("_mm_deg"):
        return float(f"{value:.{_DIGITS_COVARIANCE}g}")
    if isinstance(value, float):
        return round(float(value), _decimals(name)) + 0.0  # + 0.0: no "-0.0"
    return value


def _side_key(parent: str, field: str) -> str:
    return _KEY_FROM_FIELD.get(field, field) if parent == "sides" else field


def _decimals(name: str) -> int:
    if name.endswith("_px"):
        return _DECIMALS_PX
    return _DECIMALS_TERM if name == "u" else _DECIMALS


def from_json(text: str) -> Reading:
    """Read a reading file.

    Parameters
    ----------
    text : str
        What `to_json` wrote, perhaps with fields added by a later program.

    Returns
    -------
    Reading
        The same as was written, but for the rounding.

    Raises
    ------
    FileFormatError
        Not JSON, not a reading, of an unknown version, or with a field missing or of a wrong kind.
    """
    try:
        document = json.loads(text, parse_constant=_refuse_constant, parse_float=_finite)
    except (ValueError, RecursionError) as error:
        raise _bad(f"The reading file is not JSON ({error}).") from error
    _check_version(document)
    try:
        return msgspec.convert(_with_field_names(document), Reading)
    except msgspec.ValidationError as error:
        raise _bad(f"The reading file does not hold what a reading holds ({error}).") from error


def _refuse_constant(name: str) -> float:
    raise ValueError(f"{name} is no JSON number")


def _finite(digits: str) -> float:
    if not math.isfinite(number := float(digits)):
        raise ValueError(f"{digits} is larger than any number")
    return number


def _check_version(document: object) -> None:
    if not isinstance(document, dict) or "reading" not in document:
        raise _bad("This is not a reading file: it has no key `reading`.")
    version = document["reading"]
    if version is True or version != VERSION:
        raise FileFormatError(
            "reading_version",
            f"The reading file is of version {version!r}, and this program reads version {VERSION}.",
            "Read it with the program that wrote it, or bring this one up to date.",
        )


def _with_field_names(document: dict[str, Any]) -> dict[str, Any]:
    sides = document.get("sides")
    if not isinstance(sides, list):
        return document
    renamed = [
        {_FIELD_FROM_KEY.get(key, key): value for key, value in side.items()}
        if isinstance(side, dict)
        else side
        for side in sides
    ]
    return {**document, "sides": renamed}


def _bad(text: str) -> FileFormatError:
    return FileFormatError(
        "reading_file", text, "Give a file that `scribegauge check --json` wrote, unchanged."
    )
