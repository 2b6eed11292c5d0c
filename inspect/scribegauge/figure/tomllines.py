"""Where in a TOML text a key stands: tomllib does not say, and a person wants to know."""

import json
import re
from typing import Final

_HEADER: Final = re.compile(r"\s*\[{1,2}([^\[\]]+)\]{1,2}\s*(?:#.*)?$")


def line_of(text: str, key: str) -> int | None:
    """Find the line on which a key gets its value.

    Parameters
    ----------
    text : str
        The whole file.
    key : str
        Dotted, at most one table deep, e.g. ``polygon.vertices_mm``.

    Returns
    -------
    int or None
        Counted from 1; None when the key is written in a way that is not looked for.
    """
    table, _, name = key.rpartition(".")
    plain = re.compile(rf"""\s*["']?{re.escape(name)}["']?\s*=""")
    dotted = re.compile(rf"\s*{re.escape(table)}\s*\.\s*{re.escape(name)}\s*=")
    inline = re.compile(rf"\s*{re.escape(table)}\s*=\s*\{{.*\b{re.escape(name)}\s*=")
    inside = ""
    for number, line in enumerate(text.split("\n"), 1):
        if header := _HEADER.match(line):
            inside = header[1].strip()
            if not table and inside == name:
                return number
            continue
        here = plain.match(line) if inside == table else None
        if not here and table and not inside:
            here = dotted.match(line) or inline.match(line)
        if here:
            return number
    return None


def json_line_of(text: str, key: str) -> int | None:
    """Find the line of a JSON text on which a key stands.

    Parameters
    ----------
    text : str
    key : str
        Dotted; each part is looked for after the one before.

    Returns
    -------
    int or None
    """
    place = 0
    for part in key.split("."):
        place = text.find(json.dumps(part, ensure_ascii=False), place)
        if place < 0:
            return None
    return text.count("\n", 0, place) + 1


def line_of_item(text: str, key: str, index: int) -> int | None:
    """Find the line on which one list of a list of lists begins.

    Parameters
    ----------
    text : str
    key : str
        As in `line_of`.
    index : int
        Which inner list, from 0.

    Returns
    -------
    int or None
    """
    start = line_of(text, key)
    if start is None:
        return None
    depth, seen = 0, -1
    for number, line in enumerate(text.split("\n")[start - 1 :], start):
        value = line.split("=", 1)[-1] if number == start else line
        for letter in value.split("#", 1)[0]:
            depth += {"[": 1, "]": -1}.get(letter, 0)
            seen += letter == "[" and depth == 2  # noqa: PLR2004 - inside the outer list
            if seen == index:
                return number
    return start


def line_in_list(text: str, name: str, index: int, key: str) -> int | None:
    """Find the line on which a key stands in one table of a list, ``[[name]]``.

    Parameters
    ----------
    text : str
    name : str
        Of the list.
    index : int
        Which table of it, from 0.
    key : str
        Empty for the table itself.

    Returns
    -------
    int or None
        The table's own line where the key is not there; None when the list is written otherwise.
    """
    header = re.compile(rf"\s*\[\[\s*{re.escape(name)}\s*\]\]\s*(?:#.*)?$")
    wanted = re.compile(rf"""\s*["']?{re.escape(key)}["']?\s*=""")
    seen, start = -1, None
    for number, line in enumerate(text.split("\n"), 1):
        if _HEADER.match(line):
            if start is not None:
                return start
            seen += bool(header.match(line))
            start = number if header.match(line) and seen == index else None
        elif start is not None and key and wanted.match(line):
            return number
    return line_of(text, name) if start is None else start
