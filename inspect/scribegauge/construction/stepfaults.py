"""What can be wrong with the steps of a construction file before it is run."""

import difflib
from collections.abc import Iterator, Mapping
from typing import Any, Final

from scribegauge.construction.expression import evaluate
from scribegauge.construction.filelines import lines_of_steps
from scribegauge.construction.plan import (
    MOST_STEPPED,
    RULES,
    VERBS,
    stepped_names,
    steps_of,
    verb_of,
)
from scribegauge.figure.faults import Fault
from scribegauge.figure.tomllines import line_of

#: Keys of each step besides its verb: those that it must have, and those that it may have.
_MUST: Final[Mapping[str, tuple[str, ...]]] = {
    "point": ("at_mm",),
    "line": ("through",),
    "set": (),
    "circle": ("about",),
    "meet": ("of",),
    "step": ("along", "from", "opening", "turn"),
    "extend": ("along", "beyond", "opening"),
    "divide": ("between", "share"),
}
_MAY: Final[Mapping[str, tuple[str, ...]]] = {
    "set": ("from", "to_mm"),
    "circle": ("through", "opening"),
    "meet": tuple(RULES),
    "step": ("times",),
}
#: Keys that name marks, with how many and of which kind.
_MARKS: Final[Mapping[tuple[str, str], tuple[int, str]]] = {
    ("line", "through"): (2, "point"),
    ("set", "from"): (2, "point"),
    ("circle", "about"): (1, "point"),
    ("circle", "through"): (1, "point"),
    ("circle", "opening"): (1, "opening"),
    ("meet", "of"): (2, "line or circle"),
    ("step", "along"): (1, "circle"),
    ("step", "from"): (1, "point"),
    ("step", "opening"): (1, "opening"),
    ("extend", "along"): (1, "line"),
    ("extend", "beyond"): (1, "point"),
    ("extend", "opening"): (1, "opening"),
    ("divide", "between"): (2, "point"),
    **{("meet", rule): (count, "point") for rule, count in RULES.items()},
}
_KINDS: Final = {"line": "line", "circle": "circle", "set": "opening"}
_MOST_STEPS: Final = 300
_LONGEST_NAME: Final = 12
#: Pairs of keys of which a step has exactly one.
_EITHER: Final = {"set": ("from", "to_mm"), "circle": ("through", "opening")}
EXAMPLE: Final = 'steps = [{ point = "A", at_mm = [0, 0] }, …]'


def step_faults(steps: object, text: str, sizes: Mapping[str, float]) -> list[Fault]:
    """Find what is wrong with a file's steps.

    Parameters
    ----------
    steps : object
        The value of the key ``steps``.
    text : str
        The whole file.
    sizes : Mapping of str to float
    """
    if not isinstance(steps, list) or not steps or len(steps) > _MOST_STEPS:
        what = "is missing" if steps is None else f"must be a list of 1 to {_MOST_STEPS} steps"
        return [Fault("steps", what, f"E.g. {EXAMPLE}.", line_of(text, "steps"))]
    lines = lines_of_steps(text)
    known: dict[str, str] = {}
    faults: list[Fault] = []
    for number, row in enumerate(steps, 1):
        line = lines[number - 1] if len(lines) == len(steps) else None
        if not isinstance(row, dict) or not verb_of(row):
            cure = f"A step has one of these keys: {', '.join(VERBS)}."
            faults.append(Fault(f"step {number}", "is none, or two in one", cure, line))
            continue
        faults += _row_faults(row, number, line, known, sizes)
        for mark in _names(row, sizes):
            known.setdefault(mark, _KINDS.get(verb_of(row), "point"))
    return faults


def kinds_of_marks(steps: object, sizes: Mapping[str, float]) -> dict[str, str]:
    """Return the marks that steps make, and of which kind; steps that are none are left out."""
    known: dict[str, str] = {}
    for row in steps if isinstance(steps, list) else ():
        if isinstance(row, dict) and verb_of(row):
            known |= {mark: _KINDS.get(verb_of(row), "point") for mark in _names(row, sizes)}
    return known


def _names(row: Mapping[str, Any], sizes: Mapping[str, float]) -> list[str]:
    """Return the marks that a step makes; the number of points to step off may be a sum."""
    verb = verb_of(row)
    mark = row[verb]
    if not isinstance(mark, str):
        return []
    if verb != "step":
        return [mark]
    try:
        times = int(evaluate(row.get("times", 1), sizes))
    except ValueError:
        times = 1  # said elsewhere
    return stepped_names(mark, min(max(times, 1), MOST_STEPPED))


def _row_faults(
    row: Mapping[str, Any],
    number: int,
    line: int | None,
    known: Mapping[str, str],
    sizes: Mapping[str, float],
) -> list[Fault]:
    verb = verb_of(row)
    faults = [
        Fault(f"step {number}, {key}", what, cure, line)
        for key, what, cure in (
            *_name_faults(row[verb], verb, known),
            *_key_faults(row, verb),
            *_mark_faults(row, verb, known),
            *_choice_faults(row, verb, known),
        )
    ]
    if faults:
        return faults
    try:
        list(steps_of(row, number, sizes))
    except ValueError as error:
        key, _, what = str(error).partition(": ")
        cure = f"Sizes of this file: {', '.join(sizes) or 'none'}."
        return [Fault(f"step {number}, {key}", what, cure, line)]
    return []


_Wrong = tuple[str, str, str]


def _name_faults(mark: object, verb: str, known: Mapping[str, str]) -> Iterator[_Wrong]:
    cure = f"A mark's name has 1 to {_LONGEST_NAME} letters or numbers, e.g. A or P1."
    if not isinstance(mark, str) or not 0 < len(mark) <= _LONGEST_NAME or not mark.isalnum():
        yield verb, "must be the name of the mark that the step makes", cure
    elif mark in known:
        yield verb, f"makes a second mark called {mark}", "Give each mark a name of its own."


def _key_faults(row: Mapping[str, Any], verb: str) -> Iterator[_Wrong]:
    must, may = _MUST[verb], _MAY.get(verb, ())
    for key in must:
        if key not in row:
            yield key, "is missing", f"A step `{verb}` has: {', '.join((*must, *may))}."
    for key in row:
        if key not in (verb, *must, *may):
            like = difflib.get_close_matches(key, (*must, *may), 1)
            cure = (
                f"Did you mean {like[0]}?" if like else f"Known there: {', '.join((*must, *may))}."
            )
            yield key[:30], "is not known", cure
    if verb in _EITHER and sum(key in row for key in _EITHER[verb]) != 1:
        first, second = _EITHER[verb]
        yield verb, f"needs either {first} or {second}", f"Give one of {first} and {second}."
    at = row.get("at_mm")
    if at is not None and (not isinstance(at, list) or len(at) != 2):  # noqa: PLR2004 - x and y
        yield "at_mm", "must be two numbers or sums", 'E.g. at_mm = [0, "radius_mm / 2"].'
    if row.get("turn", "clockwise") not in {"clockwise", "counterclockwise"}:
        cure = "Say which way round, as seen on the plate."
        yield "turn", "must be clockwise or counterclockwise", cure


def _mark_faults(row: Mapping[str, Any], verb: str, known: Mapping[str, str]) -> Iterator[_Wrong]:
    for key in row:
        if (verb, key) not in _MARKS:
            continue
        count, kind = _MARKS[verb, key]
        names = row[key] if count == 2 else [row[key]]  # noqa: PLR2004 - a pair
        if not isinstance(names, list) or len(names) != count:
            yield key, f"must name {count} marks", f'E.g. {key} = ["A", "B"].'
            continue
        if count == 2 and names[0] == names[1]:  # noqa: PLR2004 - a pair
            yield key, f"names {names[0]!s:.12} twice", "Name two different marks."
        for name in names:
            yield from _one_mark(key, name, kind, known)


def _one_mark(key: str, name: object, kind: str, known: Mapping[str, str]) -> Iterator[_Wrong]:
    if not isinstance(name, str) or name not in known:
        cure = (
            "A step uses marks that earlier steps have made: " + (", ".join(known) or "none") + "."
        )
        yield key, f"speaks of {name!s:.12}, which is not there yet", cure[:300]
    elif known[name] not in kind:
        wanted, found = _with_article(kind), _with_article(known[name])
        yield key, f"wants {wanted}, and {name} is {found}", f"Name {wanted}."


def _choice_faults(row: Mapping[str, Any], verb: str, known: Mapping[str, str]) -> Iterator[_Wrong]:
    """Find a meeting without a rule where two are possible, or with more than one."""
    of = row.get("of")
    if verb != "meet" or not isinstance(of, list):
        return
    rules = [key for key in RULES if key in row]
    lines = all(known.get(name) == "line" for name in of if isinstance(name, str))
    if len(rules) > 1:
        yield "meet", f"has {len(rules)} rules", "One rule tells which meeting is meant."
    elif not rules and not lines:
        cure = f"Say which: {', '.join(RULES)}."
        yield "meet", "does not say which of two meetings is meant", cure
    elif rules and lines:
        yield rules[0], "chooses between two meetings, and lines meet once", "Leave it out."


def _with_article(noun: str) -> str:
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"
