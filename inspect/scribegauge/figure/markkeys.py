"""The lists of a layout file beside its polygon: ``[[circle]]``, ``[[prick]]``, ``[[line]]`` and more."""

import difflib
from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise
from typing import Any, Final

from scribegauge.figure.faults import Fault
from scribegauge.figure.intended import (
    FULL_TURN_DEG,
    IntendedCircle,
    IntendedLine,
    IntendedMarks,
    IntendedPrick,
    IntendedText,
)
from scribegauge.figure.layoutshape import SHORTEST_SIDE_MM
from scribegauge.figure.tolerancefile import is_number
from scribegauge.figure.tomllines import line_in_list

#: Keys of each list: those that must be there, then those that may.
MARK_KEYS: Final[Mapping[str, tuple[tuple[str, ...], tuple[str, ...]]]] = {
    "circle": (("centre_mm", "radius_mm"), ("name", "start_deg", "sweep_deg")),
    "prick": (("at_mm",), ("name",)),
    "line": (("from_mm", "to_mm"), ("name",)),
    "text": (("at_mm", "says"), ()),
    "distance": (("between",), ()),
}
_EXAMPLES: Final = {
    "circle": "[[circle]] and under it centre_mm = [0, 0] and radius_mm = 30",
    "prick": "[[prick]] and under it at_mm = [12, 0]",
    "line": "[[line]] and under it from_mm = [0, 0] and to_mm = [40, 0]",
    "text": '[[text]] and under it at_mm = [0, 0] and says = "this side up"',
    "distance": '[[distance]] and under it between = ["P0", "P1"]',
}
_MOST: Final = 200
_FARTHEST_MM: Final = 10_000.0
_LONGEST_NAME: Final = 12
_LONGEST_TEXT: Final = 100
_LEAST_SWEEP_DEG: Final = 5.0  # of less, neither centre nor radius can be seen
# A circle and its neighbour nearer than that cannot be scribed apart.
_SMALLEST_RADIUS_MM: Final = SHORTEST_SIDE_MM
_STEMS: Final = {"circle": "k", "prick": "P", "line": "g"}

Row = Mapping[str, Any]


def mark_faults(
    values: Mapping[str, Any], vertices: tuple[str, ...] | None, text: str
) -> Iterator[Fault]:
    """Find what is wrong with the lists of circles, pricks, lines, texts and distances.

    Parameters
    ----------
    values : Mapping
        What TOML made of the file.
    vertices : tuple of str or None
        Names of the polygon's; None where those are not known.
    text : str
        The whole file.

    Yields
    ------
    Fault
    """
    good = True
    for kind in MARK_KEYS:
        for fault in _list_faults(kind, values.get(kind, []), text):
            good = False
            yield fault
    if good and vertices is not None:
        yield from _name_clashes(values, vertices, text)


def marks_of(values: Mapping[str, Any]) -> IntendedMarks:
    """Return the marks of lists without faults; distances left out are those of neighbours."""
    named = {kind: list(_named(kind, values.get(kind, []))) for kind in _STEMS}
    marks = IntendedMarks(
        circles=tuple(_circle(name, row) for name, row in named["circle"]),
        pricks=tuple(IntendedPrick(name, _pair(row["at_mm"])) for name, row in named["prick"]),
        lines=tuple(
            IntendedLine(name, _pair(row["from_mm"]), _pair(row["to_mm"]))
            for name, row in named["line"]
        ),
        texts=tuple(
            IntendedText(_pair(row["at_mm"]), row["says"]) for row in values.get("text", [])
        ),
    )
    given = values.get("distance")
    chosen = _usual_distances(marks) if given is None else [tuple(r["between"]) for r in given]
    return IntendedMarks(
        marks.circles, marks.pricks, marks.lines, marks.texts, tuple((a, b) for a, b in chosen)
    )


def _usual_distances(marks: IntendedMarks) -> list[tuple[str, str]]:
    """Return neighbouring pricks, round when there are three or more, and centres to the first."""
    names = [prick.name for prick in marks.pricks]
    pairs = list(pairwise(names))
    if len(names) > 2:  # noqa: PLR2004 - two have one distance
        pairs.append((names[-1], names[0]))
    circles = [circle.name for circle in marks.circles]
    return pairs + [(circles[0], other) for other in circles[1:]]


def _list_faults(kind: str, rows: object, text: str) -> Iterator[Fault]:
    cure = f"E.g. {_EXAMPLES[kind]}."
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        yield Fault(
            f"[[{kind}]]", "must be a list of tables", cure, line_in_list(text, kind, 0, "")
        )
        return
    if len(rows) > _MOST:
        what = f"is there {len(rows)} times; at most {_MOST}"
        yield Fault(f"[[{kind}]]", what, "Leave some out.", None)
        return
    for k, row in enumerate(rows):
        yield from _row_faults(kind, k, row, text)


def _row_faults(kind: str, k: int, row: Row, text: str) -> Iterator[Fault]:
    """Find what is wrong with one table of a list, the k-th from 0."""
    cure = f"E.g. {_EXAMPLES[kind]}."
    needed, others = MARK_KEYS[kind]
    for key in needed:
        if key not in row:
            line = line_in_list(text, kind, k, "")
            yield Fault(f"{kind} {k + 1}, {key}", "is missing", cure, line)
    for key, value in row.items():
        line = line_in_list(text, kind, k, key)
        if key not in (*needed, *others):
            like = difflib.get_close_matches(key, (*needed, *others), 1)
            hint = f"Did you mean {like[0]}?" if like else cure
            yield Fault(f"{kind} {k + 1}, {key[:60]}", "is not known", hint, line)
        elif what := _CHECKS[key](value):
            yield Fault(f"{kind} {k + 1}, {key}", what, cure, line)
    if kind == "line" and row.get("from_mm") == row.get("to_mm"):
        what = "begins and ends at the same place"
        yield Fault(f"line {k + 1}", what, cure, line_in_list(text, kind, k, "to_mm"))


def _name_clashes(
    values: Mapping[str, Any], vertices: tuple[str, ...], text: str
) -> Iterator[Fault]:
    taken = set(vertices)
    for kind in _STEMS:
        for k, (name, _) in enumerate(_named(kind, values.get(kind, []))):
            if name in taken:
                cure = "Give every circle, prick and line a name of its own."
                what = f"has the name {name}, which is taken"
                yield Fault(f"{kind} {k + 1}", what, cure, line_in_list(text, kind, k, "name"))
            taken.add(name)
    points = {
        name for kind in ("circle", "prick") for name, _ in _named(kind, values.get(kind, []))
    }
    for k, row in enumerate(values.get("distance", [])):
        stray = [name for name in row["between"] if name not in points | set(vertices)]
        if stray or row["between"][0] == row["between"][1]:
            what = f"names no point: {', '.join(stray)}" if stray else "names one point twice"
            cure = "Name two pricks, circles or vertices of this layout."
            line = line_in_list(text, "distance", k, "between")
            yield Fault(f"distance {k + 1}, between", what, cure, line)


def _named(kind: str, rows: list[Row]) -> Iterator[tuple[str, Row]]:
    for k, row in enumerate(rows):
        yield row.get("name", f"{_STEMS[kind]}{k}"), row


def _circle(name: str, row: Row) -> IntendedCircle:
    start, sweep = row.get("start_deg", 0.0), row.get("sweep_deg", FULL_TURN_DEG)
    centre = _pair(row["centre_mm"])
    return IntendedCircle(name, centre, float(row["radius_mm"]), float(start), float(sweep))


def _pair(values: Any) -> tuple[float, float]:
    x, y = values
    return float(x), float(y)


def _not_a_point(value: object) -> str:
    if not isinstance(value, list) or len(value) != 2 or not all(map(is_number, value)):  # noqa: PLR2004
        return "must be two numbers, [x, y]"
    return "is farther than 10 m away" if max(map(abs, value)) > _FARTHEST_MM else ""


def _not_a_radius(value: object) -> str:
    if is_number(value) and _SMALLEST_RADIUS_MM <= value <= _FARTHEST_MM:  # type: ignore[operator]
        return ""
    return f"must be a number of millimetres, at least {_SMALLEST_RADIUS_MM:g}"


def _not_an_angle(value: object) -> str:
    good = is_number(value) and abs(value) <= FULL_TURN_DEG  # type: ignore[arg-type]
    return "" if good else "must be degrees from -360 to 360"


def _not_a_sweep(value: object) -> str:
    good = is_number(value) and _LEAST_SWEEP_DEG <= value <= FULL_TURN_DEG  # type: ignore[operator]
    return "" if good else f"must be degrees from {_LEAST_SWEEP_DEG:g} to 360"


def _not_a_name(value: object) -> str:
    good = isinstance(value, str) and 0 < len(value) <= _LONGEST_NAME and value.isprintable()
    if good and not any(letter.isspace() or letter == "-" for letter in str(value)):
        return ""
    return f"must be a short text (1 to {_LONGEST_NAME} letters, no space, no hyphen)"


def _no_words(value: object) -> str:
    good = isinstance(value, str) and 0 < len(value) <= _LONGEST_TEXT and value.isprintable()
    return "" if good else f"must be one line of text, at most {_LONGEST_TEXT} letters"


def _no_two_names(value: object) -> str:
    good = isinstance(value, list) and len(value) == 2 and all(isinstance(v, str) for v in value)  # noqa: PLR2004
    return "" if good else "must be two names"


_CHECKS: Final[Mapping[str, Callable[[object], str]]] = {
    "centre_mm": _not_a_point,
    "at_mm": _not_a_point,
    "from_mm": _not_a_point,
    "to_mm": _not_a_point,
    "radius_mm": _not_a_radius,
    "start_deg": _not_an_angle,
    "sweep_deg": _not_a_sweep,
    "name": _not_a_name,
    "says": _no_words,
    "between": _no_two_names,
}
