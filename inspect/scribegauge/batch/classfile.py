"""Reads class files: who is in the class, what was to be scribed, and with what it is measured."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import Any, Final

from scribegauge.errors import FileFormatError
from scribegauge.figure.faults import Fault, refuse
from scribegauge.figure.layout import Layout
from scribegauge.figure.layoutfile import load_layout
from scribegauge.figure.ranges import BAR_RANGE_MM, ERROR_RANGE_MM, THICKNESS_RANGE_MM
from scribegauge.figure.request import THICKNESS_ERROR_MM, Request
from scribegauge.figure.tolerancefile import (
    grade_faults,
    grade_of,
    is_number,
    tolerance_faults,
    tolerance_of,
)
from scribegauge.figure.tomllines import line_of
from scribegauge.ledger.record import CODE
from scribegauge.photo.profilefile import load_profile
from scribegauge.sheets.shelf import take_sheet
from scribegauge.version import program
from scribetarget.printscale import CALIPER_ERROR_MM
from scribetarget.sheetrecord import sheet_text

VERSION: Final = 1
_LONGEST_FILE: Final = 2**20
#: What may be said for the whole class, and again for one pupil.
_OWN_KEYS: Final = (
    *("layout", "camera", "sheet", "bars_mm", "caliper_error_mm"),
    *("thickness_mm", "thickness_error_mm"),
)
_KEYS: Final = ("class", "title", "due", "tolerance", "grade", "pupils", *_OWN_KEYS)
_RANGES: Final = {
    "thickness_mm": THICKNESS_RANGE_MM,
    "thickness_error_mm": ERROR_RANGE_MM,
    "caliper_error_mm": ERROR_RANGE_MM,
}
_EXAMPLE: Final = (
    'E.g. class = 1, layout = "bracket.toml", thickness_mm = 0.8, sheet = "M-1" and '
    'pupils = ["A-01", "A-02"].'
)


@dataclass(frozen=True, slots=True)
class Setting:
    """How one pupil's plates are measured; `digest` changes with anything that they go by."""

    request: Request
    digest: str


@dataclass(frozen=True, slots=True)
class ClassFile:
    """One exercise of one class.

    Attributes
    ----------
    title : str
    due : date or None
    settings : mapping
        By the pupil's code, in the order of the file.
    """

    title: str
    due: date | None
    settings: Mapping[str, Setting]


def load_class(path: Path, sheet_folder: Path, today: date) -> ClassFile:
    """Read a class file and everything it names; names of files are looked up beside it.

    Parameters
    ----------
    path : Path
    sheet_folder : Path
        Where the records of sheets are.
    today : date

    Raises
    ------
    FileFormatError
        ``class_missing``, ``class_syntax``, ``class_version``, ``class_invalid`` with all faults at
        once, or as the layout says.
    UseError, CameraFileError, SheetError
        As the camera and the sheet say.
    """
    text = _text(path)
    values = _parsed(text, path.name)
    faults = list(_faults(values, text))
    if faults:
        raise refuse(path.name, faults, code="class_invalid")
    pupils = values["pupils"]
    own = pupils if isinstance(pupils, dict) else {code: {} for code in pupils}
    settings = {}
    for code, said in own.items():
        common: dict[str, Any] = {key: values[key] for key in _OWN_KEYS if key in values}
        settings[code] = _setting(_told(common, said), values, path.parent, sheet_folder, today)
    return ClassFile(
        values.get("title", "") or next(iter(settings.values())).request.layout.title,
        values.get("due"),
        settings,
    )


def _told(common: Mapping[str, Any], own: Mapping[str, Any]) -> dict[str, Any]:
    """Return what goes for one pupil; one's own bars go before the class's sheet and so on."""
    rivals = {"bars_mm": "sheet", "sheet": "bars_mm"}
    left = {key: value for key, value in common.items() if rivals.get(key, "") not in own}
    return {**left, **own}


def _text(path: Path) -> str:
    try:
        with path.open("rb") as stream:
            return stream.read(_LONGEST_FILE).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileFormatError(
            "class_syntax", f"{path.name} is not a text file in UTF-8.", _EXAMPLE
        ) from error
    except OSError as error:
        raise FileFormatError(
            "class_missing",
            f"There is no class file {str(path)!r} to read.",
            "Check its name and folder.",
        ) from error


def _parsed(text: str, name: str) -> dict[str, Any]:
    try:
        values = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        said = " ".join(str(error).split())[:200] or "too deeply nested"
        raise FileFormatError("class_syntax", f"{name} is not TOML: {said}.", _EXAMPLE) from error
    version = values.get("class")
    if type(version) is not int or version != VERSION:
        what = "is missing" if version is None else "is no version known here"
        cure = f"Begin the file with: class = {VERSION}."
        fault = Fault("class", what, cure, line_of(text, "class"))
        raise refuse(name, [fault], code="class_version")
    return values


def _faults(values: dict[str, Any], text: str) -> Iterator[Fault]:
    for key in values:
        if key not in _KEYS:
            yield Fault(key[:60], "is not known", f"Known: {', '.join(_KEYS)}.", line_of(text, key))
    if not isinstance(values.get("title", ""), str):
        yield Fault("title", "must be text", _EXAMPLE, line_of(text, "title"))
    if type(values.get("due", date(2000, 1, 1))) is not date:
        cure = "Write it without quotes, e.g. due = 2026-11-30."
        yield Fault("due", "must be a day", cure, line_of(text, "due"))
    yield from tolerance_faults(values.get("tolerance", {}), text)
    yield from grade_faults(values.get("grade"), text)
    yield from _own_faults(values, "", text)
    yield from _pupil_faults(values, text)


def _pupil_faults(values: dict[str, Any], text: str) -> Iterator[Fault]:
    pupils, line = values.get("pupils"), line_of(text, "pupils")
    if not isinstance(pupils, list | dict) or not pupils:
        yield Fault("pupils", "must be a list of codes, or tables [pupils.A-01]", _EXAMPLE, line)
        return
    for code in pupils:
        if not isinstance(code, str) or not CODE.fullmatch(code):
            what = f"{str(code)[:40]!r} is no code"
            yield Fault("pupils:", what, "Use letters, digits and hyphens, e.g. A-12.", line)
    folded = [str(code).casefold() for code in pupils]
    if len(set(folded)) < len(folded):
        yield Fault("pupils", "holds a code twice", "Give each pupil a code of their own.", line)
    if isinstance(pupils, list):
        if "layout" not in values:
            yield Fault("layout", "is missing", _EXAMPLE, line_of(text, "layout"))
        return
    for code, own in pupils.items():
        yield from _one_pupil_faults(str(code), own, values, text)


def _one_pupil_faults(code: str, own: object, values: dict[str, Any], text: str) -> Iterator[Fault]:
    where = f"pupils.{code}"
    if not isinstance(own, dict):
        cure = f'E.g. [pupils.{code}] and under it camera = "phone.json".'
        yield Fault(where, "must be a table", cure, line_of(text, where))
        return
    for key in own:
        if key not in _OWN_KEYS:
            cure = f"Known there: {', '.join(_OWN_KEYS)}."
            yield Fault(f"{where}.{str(key)[:60]}", "is not known", cure, line_of(text, where))
    yield from _own_faults(own, f"{where}.", text)
    if "layout" not in own and "layout" not in values:
        yield Fault(f"{where}.layout", "is missing, and for the class too", _EXAMPLE, None)


def _own_faults(told: Mapping[str, Any], where: str, text: str) -> Iterator[Fault]:
    for key in ("layout", "camera", "sheet"):
        if key in told and not (isinstance(told[key], str) and told[key].strip()):
            yield Fault(f"{where}{key}", "must be text in quotes", _EXAMPLE, line_of(text, key))
    for key, (least, most) in _RANGES.items():
        value = told.get(key, least)
        if not is_number(value) or not least <= value <= most:
            what = f"must be a number from {least:g} to {most:g}"
            yield Fault(f"{where}{key}", what, "Give millimetres.", line_of(text, key))
    if "bars_mm" in told and not _bars(told["bars_mm"]):
        cure = "E.g. bars_mm = [100.1, 99.9], or several such pairs in a list."
        what = "must be two lengths in mm as measured"
        yield Fault(f"{where}bars_mm", what, cure, line_of(text, "bars_mm"))
    if "bars_mm" in told and "sheet" in told:
        cure = "Give the sheet's name, or its bars."
        yield Fault(f"{where}sheet", "is given with bars_mm", cure, line_of(text, "sheet"))


def _bars(value: Any) -> tuple[tuple[float, float], ...]:
    """Return the readings of the bars; none when they cannot be any."""
    rows = value if isinstance(value, list) and value and isinstance(value[0], list) else [value]
    least, most = BAR_RANGE_MM
    for row in rows:
        pair = isinstance(row, list) and len(row) == 2  # noqa: PLR2004 - x and y
        if not pair or not all(is_number(x) and least <= x <= most for x in row):
            return ()
    return tuple((float(row[0]), float(row[1])) for row in rows)


def _setting(
    told: Mapping[str, Any], values: Mapping[str, Any], folder: Path, sheets: Path, today: date
) -> Setting:
    layout_file = folder / told["layout"]
    layout = _judged(load_layout(layout_file), values)
    camera_file = folder / told["camera"] if "camera" in told else None
    record = take_sheet(sheets, told["sheet"], today) if "sheet" in told else None
    request = Request(
        layout,
        _number(told.get("thickness_mm")),
        _bars(told["bars_mm"]) if "bars_mm" in told else (),
        load_profile(camera_file) if camera_file else None,
        record,
        _number(told.get("caliper_error_mm")) or CALIPER_ERROR_MM,
        _number(told.get("thickness_error_mm")) or THICKNESS_ERROR_MM,
        today,
    )
    parts = [program().encode(), repr(sorted(told.items())).encode()]
    parts += [repr((values.get("tolerance"), values.get("grade"))).encode()]
    parts += [layout_file.read_bytes(), camera_file.read_bytes() if camera_file else b""]
    choice = layout.construction
    parts += [choice.file.read_bytes() if choice is not None and choice.file is not None else b""]
    parts += [sheet_text(record).encode() if record is not None else b""]
    return Setting(request, sha256(b"\0".join(sha256(p).digest() for p in parts)).hexdigest())


def _judged(layout: Layout, values: Mapping[str, Any]) -> Layout:
    """Let the class's own tolerance and grades go before those of the layout."""
    if "tolerance" in values:
        layout = replace(layout, tolerance=tolerance_of(values["tolerance"]))
    if "grade" in values:
        layout = replace(layout, grade=grade_of(values["grade"]))
    return layout


def _number(value: Any) -> float | None:
    return None if value is None else float(value)
