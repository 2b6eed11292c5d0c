"""Turns a construction file's step list into steps at given sizes."""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

from scribegauge.construction.expression import evaluate
from scribegauge.construction.record import (
    Construction,
    Divide,
    DrawCircle,
    DrawLine,
    Extend,
    GivenPoint,
    Intended,
    Meet,
    Plan,
    Rule,
    SetDividers,
    Step,
    StepOff,
)

#: The key that says what a step does; its value is the name of the mark that the step makes.
VERBS: Final = ("point", "line", "set", "circle", "meet", "step", "extend", "divide")
#: Rules that tell two meetings apart, with the number of points they want.
RULES: Final[Mapping[str, int]] = {
    "nearest_to": 1,
    "farthest_from": 1,
    "left_of": 2,
    "right_of": 2,
    "first_along": 2,
    "last_along": 2,
}
MOST_STEPPED: Final = 100

Row = Mapping[str, Any]
Sizes = Mapping[str, float]
_NUMBERED: Final = re.compile(r"(.*?)(\d+)$")


def plan_of(construction: Construction, sizes: Mapping[str, float] | None = None) -> Plan:
    """Return a construction's steps at given sizes.

    Parameters
    ----------
    construction : Construction
    sizes : Mapping of str to float, optional
        Those left out have the file's own value.

    Raises
    ------
    ValueError
        An unknown size, or a sum that cannot be worked out at these sizes.
    """
    stray = set(sizes or {}) - set(construction.sizes)
    if stray:
        raise ValueError(f"{construction.name} has no size {', '.join(sorted(stray))}")
    known = {**construction.sizes, **(sizes or {})}
    document: Mapping[str, Any] = construction.document
    return plan_from(document, construction.name, construction.title, known)


def plan_from(
    document: Mapping[str, Any], name: str, title: str, sizes: Mapping[str, float]
) -> Plan:
    """Return the steps of a checked document; a fault that only sizes bring out is a ValueError."""
    steps = [
        step
        for number, row in enumerate(document["steps"], 1)
        for step in steps_of(row, number, sizes)
    ]
    figure = document.get("figure", {})
    marks = [step.mark for step in steps]
    vertices = tuple(
        vertex for text in figure.get("vertices", ()) for vertex in spread(text, marks)
    )
    drawn_too = figure.get("sides_drawn", True)
    sides = tuple(_sides(steps, vertices)) if drawn_too else ()
    steps += _closing(sides, vertices, marks, len(document["steps"]))
    return Plan(name, title, tuple(steps), vertices, sides, _intended(figure), dict(sizes))


def _closing(
    sides: tuple[str, ...], vertices: tuple[str, ...], marks: list[str], last: int
) -> Iterator[Step]:
    """Return the steps that draw the sides that no step of the file draws."""
    ends = zip(vertices, (*vertices[1:], *vertices[:1]), strict=True)
    missing = [(mark, pair) for mark, pair in zip(sides, ends, strict=False) if mark not in marks]
    for number, (mark, pair) in enumerate(missing, last + 1):
        yield DrawLine(mark, number, pair)


def spread(text: str, marks: list[str]) -> tuple[str, ...]:
    """Return the marks that a vertex entry means: ``P*`` is P0, P1, … in order of their numbers."""
    if not text.endswith("*"):
        return (text,)
    stem = text[:-1]
    numbered = [_NUMBERED.fullmatch(mark) for mark in marks]
    found = [(int(m[2]), m[0]) for m in numbered if m and m[1] == stem]
    return tuple(mark for _, mark in sorted(found))


def verb_of(row: Mapping[str, Any]) -> str:
    """Return which step a row of the file is; empty when it is none, or more than one."""
    verbs = [verb for verb in VERBS if verb in row]
    return verbs[0] if len(verbs) == 1 else ""


def steps_of(row: Mapping[str, Any], number: int, sizes: Mapping[str, float]) -> Iterator[Step]:
    """Return the steps that one row of the file stands for.

    Raises
    ------
    ValueError
        A sum that cannot be worked out: ``key: what is wrong``.
    """
    verb = verb_of(row)
    if verb == "step":
        yield from _stepping(row, number, sizes)
    else:
        yield _MAKERS[verb](row, number, sizes)


def _given(row: Row, number: int, sizes: Sizes) -> Step:
    x, y = (_sum(row["at_mm"][k], "at_mm", sizes) for k in (0, 1))
    return GivenPoint(row["point"], number, complex(x, y))


def _set(row: Row, number: int, sizes: Sizes) -> Step:
    if "from" in row:
        return SetDividers(row["set"], number, _two(row["from"]), None)
    length = _sum(row["to_mm"], "to_mm", sizes)
    if length <= 0:
        raise ValueError("to_mm: must come to more than 0")
    return SetDividers(row["set"], number, None, length)


def _circle(row: Row, number: int, _: Sizes) -> Step:
    return DrawCircle(row["circle"], number, row["about"], row.get("through"), row.get("opening"))


def _divide(row: Row, number: int, sizes: Sizes) -> Step:
    return Divide(row["divide"], number, _two(row["between"]), _sum(row["share"], "share", sizes))


_MAKERS: Final[Mapping[str, Callable[[Row, int, Sizes], Step]]] = {
    "point": _given,
    "line": lambda row, number, _: DrawLine(row["line"], number, _two(row["through"])),
    "set": _set,
    "circle": _circle,
    "meet": lambda row, number, _: Meet(row["meet"], number, _two(row["of"]), _rule(row)),
    "extend": lambda row, number, _: Extend(
        row["extend"], number, row["along"], row["beyond"], row["opening"]
    ),
    "divide": _divide,
}


def _stepping(row: Mapping[str, Any], number: int, sizes: Mapping[str, float]) -> Iterator[Step]:
    times = _sum(row.get("times", 1), "times", sizes)
    if times != int(times) or not 1 <= times <= MOST_STEPPED:
        raise ValueError(f"times: must come to a whole number, 1 to {MOST_STEPPED}")
    start, clockwise = row["from"], row["turn"] == "clockwise"
    for mark in stepped_names(row["step"], int(times)):
        yield StepOff(mark, number, row["along"], start, row["opening"], clockwise)
        start = mark


def stepped_names(first: str, times: int) -> list[str]:
    """Return the names of points stepped off: P1, P2, … from ``P1``; one point keeps its name."""
    numbered = _NUMBERED.fullmatch(first)
    if numbered is None:
        return [first] if times == 1 else [f"{first}{k}" for k in range(1, times + 1)]
    stem, begin = numbered[1], int(numbered[2])
    return [f"{stem}{k}" for k in range(begin, begin + times)]


def _sum(text: object, key: str, sizes: Mapping[str, float]) -> float:
    try:
        return evaluate(text, sizes)
    except ValueError as error:
        raise ValueError(f"{key}: {error}") from None


def _rule(row: Mapping[str, Any]) -> Rule:
    for kind, count in RULES.items():
        if kind in row:
            points = (row[kind],) if count == 1 else tuple(row[kind])
            return Rule(kind, points)
    return Rule("", ())


def _two(pair: Any) -> tuple[str, str]:
    first, second = pair
    return (first, second)


def _sides(steps: list[Step], vertices: tuple[str, ...]) -> Iterator[str]:
    """Return the line of each side: one drawn earlier that both its ends lie on, or one of its own."""
    on = {step.mark: set(step.through) for step in steps if isinstance(step, DrawLine)}
    for step in steps:
        lines = (
            step.of if isinstance(step, Meet) else (step.line,) if isinstance(step, Extend) else ()
        )
        for line in lines:
            if line in on:
                on[line].add(step.mark)
    for first, second in zip(vertices, (*vertices[1:], *vertices[:1]), strict=True):
        drawn = (line for line, points in on.items() if {first, second} <= points)
        yield next(drawn, f"{first}–{second}")


def _intended(figure: Mapping[str, Any]) -> Intended | None:
    on = figure.get("regular_on")
    about = figure.get("regular_about")
    if on is None and about is None:
        return None
    return Intended(None if on is None else _two(on), about)
