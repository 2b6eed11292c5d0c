"""A printed sheet on record, so that its bars need not be typed each time: a TOML file, version 1.

The version comes first; an unknown one is refused, keys that are not known are passed over.
"""

import json
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

import numpy as np

from scribetarget.errors import BarsError, SheetError
from scribetarget.printscale import PrintScale, refuse_absurd, scale_from_bars
from scribetarget.spec import TargetSpec, load_specs

VERSION = 1
# What a name may be: it becomes part of a file's name on any system.
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,23}")
LONGEST_NOTE = 400
# From a good micrometer to a plastic caliper.
ERROR_RANGE_MM = (0.001, 0.5)
MOST_READINGS = 100
FULL_PERCENT = 100.0
WRITE_ANEW = "Put the file right, or write the sheet down anew with `scribegauge sheet add`."


@dataclass(frozen=True, slots=True)
class SheetRecord:
    """One printed sheet as somebody measured it.

    Attributes
    ----------
    name : str
        Letters, digits and hyphens; capitals make no difference.
    size : str
        ``"S"``, ``"M"`` or ``"L"``.
    bars_mm : tuple of (x, y)
        Readings of the two check bars.
    caliper_error_mm : float
        The caliper's largest error.
    measured : date
    paper, note : str
        Whatever helps to know the sheet again.
    humidity_percent : float or None
        Of the room when the bars were measured.
    """

    name: str
    size: str
    bars_mm: tuple[tuple[float, float], ...]
    caliper_error_mm: float
    measured: date
    paper: str = ""
    note: str = ""
    humidity_percent: float | None = None


def check_record(record: SheetRecord) -> None:
    """Raise unless a record makes sense.

    Raises
    ------
    SheetError
        ``sheet_name``, ``sheet_invalid``.
    BarsError
        ``bars_absurd``.
    """
    check_name(record.name)
    least, most = ERROR_RANGE_MM
    humidity = record.humidity_percent
    if record.size not in load_specs():
        raise _invalid(f"there is no size {record.size!r}; a sheet is S, M or L")
    if not 1 <= len(record.bars_mm) <= MOST_READINGS:
        raise _invalid(f"it needs 1 to {MOST_READINGS} readings of the bars")
    if not least <= record.caliper_error_mm <= most:
        raise _invalid(f"a caliper's error is between {least:g} and {most:g} mm")
    if humidity is not None and not 0 <= humidity <= FULL_PERCENT:
        raise _invalid("a humidity is between 0 and 100 %")
    if any(not text.isprintable() or len(text) > LONGEST_NOTE for text in _words(record)):
        raise _invalid(f"paper and note are one line of at most {LONGEST_NOTE} letters")
    refuse_absurd(load_specs()[record.size], np.asarray(record.bars_mm, np.float64))


def check_name(name: str) -> None:
    """Raise ``sheet_name`` unless a sheet can be called so."""
    if not NAME.fullmatch(name):
        raise SheetError(
            "sheet_name",
            f"A sheet cannot be called {name[:60]!r}.",
            "Use up to 24 letters a to z, digits and hyphens, such as M-1 or evening-class.",
        )


def sheet_scale(record: SheetRecord, spec: TargetSpec, day: date) -> PrintScale:
    """Work out the print scale of a sheet on record on some day.

    Parameters
    ----------
    record : SheetRecord
    spec : TargetSpec
        Of the sheet in the photo.
    day : date
        When the photo was taken.

    Raises
    ------
    SheetError
        ``sheet_other_size`` when the photo shows another size of sheet.
    """
    if record.size != spec.size:
        raise SheetError(
            "sheet_other_size",
            f"The photo shows a size {spec.size} sheet, and sheet {record.name} is of size "
            f"{record.size}.",
            "Name the sheet that is in the photo; `scribegauge sheet list` shows all.",
        )
    age = (day - record.measured).days
    scale = scale_from_bars(spec, record.bars_mm, record.caliper_error_mm, age)
    return replace(scale, sheet=record.name, measured=record.measured)


def sheet_text(record: SheetRecord) -> str:
    """Write a record as a TOML document.

    Parameters
    ----------
    record : SheetRecord
        As `check_record` takes it.

    Returns
    -------
    str
        Ends with a line end.
    """
    bars = ", ".join(f"[{x!r}, {y!r}]" for x, y in record.bars_mm)
    rows = [
        f"sheet = {VERSION}",
        f"name = {_quoted(record.name)}",
        f"size = {_quoted(record.size)}",
        f"bars_mm = [{bars}]",
        f"caliper_error_mm = {record.caliper_error_mm!r}",
        f"measured = {record.measured.isoformat()}",
    ]
    if record.humidity_percent is not None:
        rows.append(f"humidity_percent = {record.humidity_percent!r}")
    rows += [f"paper = {_quoted(record.paper)}"] if record.paper else []
    rows += [f"note = {_quoted(record.note)}"] if record.note else []
    return "\n".join(rows) + "\n"


def read_sheet(text: str, file: str) -> SheetRecord:
    """Read a record.

    Parameters
    ----------
    text : str
        The file's content.
    file : str
        What to call it in a message.

    Raises
    ------
    SheetError
        ``sheet_file_broken``, ``sheet_version``.
    """
    try:
        raw = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise _broken(file, f"it is not TOML ({error})") from error
    version = raw.get("sheet")
    if version is None:
        raise _broken(file, "it has no `sheet = 1`")
    if version is True or version != VERSION:
        raise SheetError(
            "sheet_version",
            f"The sheet file {file} has version {str(version)[:20]}; this program reads version "
            f"{VERSION}.",
            "Read it with the program that wrote it, or bring this one up to date.",
        )
    try:
        record = _record(raw)
        check_record(record)
    except (SheetError, BarsError) as error:
        raise _broken(file, error.text.rstrip(".")) from error
    except (KeyError, TypeError, ValueError, OverflowError) as error:
        what = f"{error} is missing" if isinstance(error, KeyError) else str(error)
        raise _broken(file, what) from error
    return record


def _record(raw: Mapping[str, Any]) -> SheetRecord:
    """Put the record together; any error of Python's says what is wrong."""
    measured = raw["measured"]
    if not isinstance(measured, date) or isinstance(measured, datetime):
        raise TypeError("`measured` is no date such as 2026-10-05")
    if not isinstance(raw["bars_mm"], list):
        raise TypeError("`bars_mm` is no list of pairs such as [[100.1, 99.9]]")
    humidity = raw.get("humidity_percent")
    return SheetRecord(
        name=_text(raw["name"], "name"),
        size=_text(raw["size"], "size"),
        bars_mm=tuple(_pair(each) for each in raw["bars_mm"]),
        caliper_error_mm=_number(raw["caliper_error_mm"], "caliper_error_mm"),
        measured=measured,
        paper=_text(raw.get("paper", ""), "paper"),
        note=_text(raw.get("note", ""), "note"),
        humidity_percent=None if humidity is None else _number(humidity, "humidity_percent"),
    )


def _pair(value: Any) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:  # noqa: PLR2004 - x and y
        raise TypeError("`bars_mm` is no list of pairs such as [[100.1, 99.9]]")
    return _number(value[0], "bars_mm"), _number(value[1], "bars_mm")


def _number(value: Any, key: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise TypeError(f"`{key}` is no number")
    return float(value)


def _text(value: Any, key: str) -> str:
    if not isinstance(value, str):
        raise TypeError(f"`{key}` is no text in quotes")
    return value


def _words(record: SheetRecord) -> tuple[str, str]:
    return record.paper, record.note


def _quoted(text: str) -> str:
    """Quote printable text: JSON's way is TOML's as well."""
    return json.dumps(text, ensure_ascii=False)


def _invalid(what: str) -> SheetError:
    return SheetError(
        "sheet_invalid",
        f"The sheet cannot be written down: {what}.",
        "Give what was measured and written on the sheet.",
    )


def _broken(file: str, what: str) -> SheetError:
    return SheetError("sheet_file_broken", f"{file} is no whole sheet file: {what}.", WRITE_ANEW)
