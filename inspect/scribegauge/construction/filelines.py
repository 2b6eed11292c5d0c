"""Where in a construction file a step or a key stands."""

import re


def lines_of_steps(text: str) -> list[int]:
    """Find the line on which each step begins.

    Parameters
    ----------
    text : str
        The whole file; ``steps = [ {…}, {…} ]`` or ``[[steps]]``.

    Returns
    -------
    list of int
        Counted from 1, in order.
    """
    found: list[int] = []
    depth = 0
    for number, line in enumerate(text.split("\n"), 1):
        if re.match(r"\s*\[\[\s*steps\s*\]\]", line):
            found.append(number)
            continue
        if depth == 0 and not re.match(r"\s*steps\s*=", line):
            continue
        for letter in _bare(line.split("=", 1)[1] if depth == 0 else line):
            depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(letter, 0)
            if letter == "{" and depth == 2:  # noqa: PLR2004 - inside the outer list
                found.append(number)
    return found


def _bare(line: str) -> str:
    """Return a line without its texts in quotes and its remark."""
    return re.sub(r"\"[^\"]*\"|'[^']*'", "", line).split("#", 1)[0]
