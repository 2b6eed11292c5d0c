"""The tables of a layout file that say how a plate is judged: ``tolerance`` and ``[grade]``."""

import math
from collections.abc import Iterator
from itertools import pairwise
from typing import Any, Final

from scribegauge.figure.faults import Fault
from scribegauge.figure.layout import GradeBands, Tolerance
from scribegauge.figure.tomllines import line_of

#: Wider ones judge nothing.
WIDEST: Final = {"side_mm": 10.0, "angle_deg": 45.0, "radius_mm": 10.0, "place_mm": 10.0}
CLASSES: Final = ("f", "m", "c", "v")
TOLERANCE_KEYS: Final = (*WIDEST, "iso2768")
CRITERIA: Final = ("largest_mm", "rms_mm", "largest_deg", "rms_deg")
GRADE_KEYS: Final = (*CRITERIA, "beyond")

_LONGEST_GRADE: Final = 20
_TOLERANCE_CURE: Final = (
    "E.g. tolerance = { side_mm = 0.15, angle_deg = 0.5 } or tolerance = "
    '{ iso2768 = "m" }, or leave it out to measure only.'
)
_GRADE_CURE: Final = (
    "E.g. [grade] and under it largest_mm = { A = 0.1, B = 0.2, C = 0.4 } and "
    'beyond = "D": the best grade first, and beyond for a plate that reaches none of them.'
)


def tolerance_faults(tolerance: object, text: str) -> Iterator[Fault]:
    """Find what is wrong with ``tolerance``.

    Parameters
    ----------
    tolerance : object
        What TOML made of it; an empty table where it was left out.
    text : str
        The whole file.

    Yields
    ------
    Fault
    """
    if not isinstance(tolerance, dict):
        yield Fault("tolerance", "must be a table", _TOLERANCE_CURE, line_of(text, "tolerance"))
        return
    for key, most in WIDEST.items():
        value = tolerance.get(key, 1.0)
        if not is_number(value) or not 0 < value <= most:
            full = f"tolerance.{key}"
            what = f"must be a number above 0, at most {most:g}"
            yield Fault(full, what, _TOLERANCE_CURE, line_of(text, full))
    if tolerance.get("iso2768", "m") not in CLASSES:
        full = "tolerance.iso2768"
        what = 'must be one of the classes "f", "m", "c", "v" of ISO 2768-1'
        yield Fault(full, what, _TOLERANCE_CURE, line_of(text, full))


def tolerance_of(tolerance: dict[str, Any]) -> Tolerance:
    """Return what a table without faults allows."""
    own = {key: float(tolerance[key]) for key in WIDEST if key in tolerance}
    return Tolerance(
        own.get("side_mm"),
        own.get("angle_deg"),
        tolerance.get("iso2768"),
        own.get("radius_mm"),
        own.get("place_mm"),
    )


def grade_faults(grade: object, text: str) -> Iterator[Fault]:
    """Find what is wrong with ``[grade]``; None where there is none.

    Yields
    ------
    Fault
    """
    if grade is None:
        return
    if not isinstance(grade, dict):
        yield Fault("grade", "must be a table", _GRADE_CURE, line_of(text, "grade"))
        return
    given = [key for key in CRITERIA if key in grade]
    if not given:
        what = f"gives no bands ({', '.join(CRITERIA)})"
        yield Fault("[grade]", what, _GRADE_CURE, line_of(text, "grade"))
    names: list[str] = []
    for key in given:
        what = _bands_fault(grade[key]) or _names_fault(list(grade[key]), names)
        if what:
            yield Fault(f"grade.{key}", what, _GRADE_CURE, line_of(text, f"grade.{key}"))
        else:
            names = list(grade[key])
    what = _beyond_fault(grade.get("beyond"), names)
    if what:
        yield Fault("grade.beyond", what, _GRADE_CURE, line_of(text, "grade.beyond"))


def grade_of(grade: dict[str, Any] | None) -> GradeBands | None:
    """Return the bands of a table without faults."""
    if grade is None:
        return None
    given = {str(key): grade[key] for key in CRITERIA if key in grade}
    limits = {key: tuple(float(limit) for limit in bands.values()) for key, bands in given.items()}
    return GradeBands(tuple(next(iter(given.values()))), grade["beyond"], limits)


def is_number(value: object) -> bool:
    """Whether a TOML value is a finite number; true and false are none."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    return isinstance(value, int) or math.isfinite(value)


def _bands_fault(bands: object) -> str:
    if not isinstance(bands, dict) or not bands:
        return "must be a table of names with limits"
    if not all(_is_grade(name) for name in bands):
        return f"must have short names, at most {_LONGEST_GRADE} letters"
    limits = list(bands.values())
    if not all(is_number(limit) and limit > 0 for limit in limits):
        return "must have numbers above 0 as limits"
    if any(after <= before for before, after in pairwise(limits)):
        return "must have rising limits, the best grade first"
    return ""


def _names_fault(names: list[str], first: list[str]) -> str:
    if not first or names == first:
        return ""
    return f"must name the same grades in the same order: {', '.join(first)}"


def _beyond_fault(beyond: object, names: list[str]) -> str:
    if beyond is None:
        return "is missing: the grade of a plate beyond the last band"
    if not _is_grade(beyond):
        return f"must be a short text, at most {_LONGEST_GRADE} letters"
    return "is the name of a band already" if beyond in names else ""


def _is_grade(name: object) -> bool:
    return isinstance(name, str) and 0 < len(name) <= _LONGEST_GRADE and name.isprintable()
