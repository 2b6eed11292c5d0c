"""How a reading is put into words and digits; table and overlay say the same."""

import math
import re
import textwrap
import unicodedata
from collections.abc import Sequence

from scribegauge.report.reading import AngleReading, Reading, SideReading, Term

# Named, because ruff rightly takes them for hyphens and letters when they stand alone.
DASH = "\N{EN DASH}"
MINUS = "\N{MINUS SIGN}"
TIMES = "\N{MULTIPLICATION SIGN}"
KEEP = "\N{NO-BREAK SPACE}"

_NAMED_AT_MOST = 4
_DECIMALS_AT_MOST = 6
_LONGEST = 1000
_VERDICTS = ("within", "outside", "undecided")
_AFTER_WITHIN = (
    ("outside", "outside"),
    ("undecided", "undecided"),
    ("not seen", "not seen"),
    ("no corner", "without a corner"),
)

# Terms as the uncertainty stage names them, for somebody who has never heard of a budget.
_PLAIN_TERMS = {
    "lens": "the lens (a camera profile makes it smaller)",
    "focal": "the focal length (tilt the phone by 10 to 20 degrees)",
    "bars": "the check bars of the sheet (measure them with a caliper)",
    "caliper": "the error of the caliper that the check bars were measured with",
    "climate": "paper and metal growing with damp and warmth",
    "corners": "how well the target's corners were seen",
    "sheet": "the sheet not lying flat (tape its edges down)",
    "thickness": "the plate's thickness",
    "flatness": "the plate not lying flat on the paper",
    "optics": "which wall of the groove the light showed",
    "line": "how well the lines were seen",
}


def decimals_for(expanded: float) -> int:
    """Count the decimals that show two significant figures of an uncertainty (GUM 7.2.6)."""
    if not expanded > 0:
        return 3
    rounded = float(f"{expanded:.1e}")
    return min(max(1 - math.floor(math.log10(rounded)), 0), _DECIMALS_AT_MOST)


def signed(deviation: float, expanded: float) -> str:
    """Write a deviation with its sign, to the digits its uncertainty allows."""
    places = decimals_for(expanded)
    return f"{round(deviation, places) + 0.0:+.{places}f}"


def with_uncertainty(deviation: float, expanded: float, unit: str) -> str:
    """Write ``+0.31 ± 0.04 mm``: a deviation, its expanded uncertainty (k = 2) and the unit.

    Its spaces are no-break spaces, so that no line ends within it.
    """
    size = f"{signed(deviation, expanded)} ± {expanded:.{decimals_for(expanded)}f}{unit}"
    return size.replace(" ", KEEP)


def side_name(side: SideReading) -> str:
    """Name a side by its ends with a dash between, as ``A-B`` is printed."""
    return f"{side.start}{DASH}{side.end}"


def plain_term(term: Term) -> str:
    """Say in plain words what a term of the budget stands for."""
    return _PLAIN_TERMS.get(term.name, term.name.replace("_", " "))


def one_line(text: str, columns: int) -> str:
    """Bring somebody else's text to one printable line of at most `columns` columns.

    What a terminal or a picture could take for a command (control and direction characters) is
    dropped; what is too long ends in an ellipsis. Wide characters count as two columns.
    """
    printable = "".join(c if unicodedata.category(c)[0] not in "CZ" else " " for c in text)
    words = " ".join(printable.split())
    if _columns(words) <= columns:
        return words
    while words and _columns(words) > columns - 1:
        words = words[:-1]
    return words.rstrip() + "…"


def _columns(text: str) -> int:
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        for c in text
    )


def paragraph(text: str, columns: int, indent: str = "") -> list[str]:
    """Break text into lines of at most `columns` columns; later lines are indented."""
    rows = textwrap.wrap(tidy(text), columns, subsequent_indent=indent, break_on_hyphens=False)
    return [row.replace(KEEP, " ") for row in rows]


def tidy(text: str) -> str:
    """Drop what could be taken for a command, and keep words that belong together together."""
    return KEEP.join(one_line(part, _LONGEST) for part in text.split(KEEP))


def typographic(text: str) -> str:
    """Set a true minus sign before digits, for places where every character can be shown."""
    return re.sub(r"(?<![\w.])-(?=\d)", MINUS, text)


def named(names: Sequence[str]) -> str:
    """List names, the first four and how many more."""
    shown = ", ".join(names[:_NAMED_AT_MOST])
    rest = len(names) - _NAMED_AT_MOST
    return f"{shown} and {rest} more" if rest > 0 else shown


def headline(reading: Reading) -> str:
    """Say in one or two sentences what came out.

    Parameters
    ----------
    reading : Reading

    Returns
    -------
    str
        Refused: the first reason. Judged: how many are within, which are not. Else: how many were
        measured, and the largest deviation with its expanded uncertainty.
    """
    if reading.status == "refused":
        return "Not judged: " + (reading.reasons[0].text if reading.reasons else "no reason given.")
    verdicts = [*(s.verdict for s in reading.sides), *(a.verdict for a in reading.angles)]
    return _judged(reading) if any(verdicts) else _measured(reading)


def _measured(reading: Reading) -> str:
    sides = _share([s.measured_mm is not None for s in reading.sides], "side")
    angles = _share([a.measured_deg is not None for a in reading.angles], "angle")
    sentence = f"{sides} and {angles} measured"
    worst = largest_side(reading)
    if worst is not None and worst.deviation_mm is not None and worst.U_mm is not None:
        size = with_uncertainty(worst.deviation_mm, worst.U_mm, " mm")
        sentence += f"; largest deviation {side_name(worst)} {size}"
    return sentence[0].upper() + sentence[1:] + "."


def largest_side(reading: Reading) -> SideReading | None:
    """Give the side that deviates most, None when no side was measured."""
    found = [s for s in reading.sides if s.deviation_mm is not None and s.U_mm is not None]
    return max(found, key=lambda s: abs(s.deviation_mm or 0.0), default=None)


def _share(flags: Sequence[bool], noun: str) -> str:
    total, count = len(flags), sum(flags)
    if count == 0:
        return f"no {noun}"
    return f"all {total} {noun}s" if count == total else f"{count} of {total} {noun}s"


def _judged(reading: Reading) -> str:
    sides = [(side_name(s), side_word(reading, s)) for s in reading.sides]
    angles = [(a.at, angle_word(a)) for a in reading.angles]
    parts = [
        _kind(sides, "side", allowed(reading, reading.tolerance_side_mm, " mm")),
        _kind(angles, "angle", allowed(reading, reading.tolerance_angle_deg, "°")),
    ]
    return " ".join(part for part in parts if part)


def allowed(reading: Reading, tolerance: float | None, unit: str) -> str:
    """Say what was allowed: the number that all have in common, else the class of the standard."""
    if tolerance is not None:
        return f"{tolerance:g}{unit}"
    return class_name(reading) or "tolerance"


def class_name(reading: Reading) -> str:
    """Name the class of general tolerances as drawings do, ``ISO 2768-m``; empty without one."""
    return f"ISO{KEEP}2768-{reading.tolerance_class}" if reading.tolerance_class else ""


def _kind(rows: list[tuple[str, str]], noun: str, allowed: str) -> str:
    if not any(word in _VERDICTS for _, word in rows):
        return ""
    within = _share([word == "within" for _, word in rows], noun)
    parts = [f"{within[0].upper()}{within[1:]} within {allowed}"]
    for said, phrase in _AFTER_WITHIN:
        names = [name for name, word in rows if word == said]
        parts += [f"{named(names)} {phrase}"] if names else []
    return "; ".join(parts) + "."


def line_seen(reading: Reading, side: SideReading) -> bool:
    """Tell whether a side's line was found; without a corner it still has no length."""
    names = {f"{side.start}-{side.end}", f"{side.end}-{side.start}"}
    return side.measured_mm is not None or any(line.side in names for line in reading.lines)


def side_word(reading: Reading, side: SideReading) -> str:
    """Give a side's verdict; empty where nothing is judged."""
    if side.measured_mm is not None:
        return side.verdict or ""
    return "no corner" if line_seen(reading, side) else "not seen"


def angle_word(angle: AngleReading) -> str:
    """Give an angle's verdict; empty where nothing is judged."""
    return "no corner" if angle.measured_deg is None else angle.verdict or ""
