"""How a reading is put into words and digits; table and overlay say the same."""

import math
import re
from collections.abc import Sequence

from scribegauge.report.columns import KEEP, one_line, paragraph, tidy
from scribegauge.report.marksentence import mark_sentence
from scribegauge.report.reading import AngleReading, Reading, SideReading, Term
from scribetarget.wording import digits, later, plain, say

__all__ = [
    "DASH",
    "KEEP",
    "MINUS",
    "TIMES",
    "allowed",
    "angle_word",
    "class_name",
    "decimals_for",
    "headline",
    "largest_side",
    "line_seen",
    "named",
    "one_line",
    "paragraph",
    "plain_term",
    "share_of_angles",
    "share_of_sides",
    "shown_word",
    "side_name",
    "side_word",
    "signed",
    "tidy",
    "typographic",
    "with_uncertainty",
]

# Named, because ruff rightly takes them for hyphens and letters when they stand alone.
DASH = "\N{EN DASH}"
MINUS = "\N{MINUS SIGN}"
TIMES = "\N{MULTIPLICATION SIGN}"

_NAMED_AT_MOST = 4
_DECIMALS_AT_MOST = 6
_VERDICTS = ("within", "outside", "undecided")
# Verdicts, and what stands in their place where nothing could be judged.
_SHOWN = {
    "within": later("within"),
    "outside": later("outside"),
    "undecided": later("undecided"),
    "not seen": later("not seen"),
    "no corner": later("no corner"),
}
_AFTER_WITHIN = (
    ("outside", later("{names} outside")),
    ("undecided", later("{names} undecided")),
    ("not seen", later("{names} not seen")),
    ("no corner", later("{names} without a corner")),
)

# Terms as the uncertainty stage names them, for somebody who has never heard of a budget.
_PLAIN_TERMS = {
    "lens": later("the lens (a camera profile makes it smaller)"),
    "focal": later("the focal length (tilt the phone by 10 to 20 degrees)"),
    "bars": later("the check bars of the sheet (measure them with a caliper)"),
    "caliper": later("the error of the caliper that the check bars were measured with"),
    "climate": later("paper and metal growing with damp and warmth"),
    "corners": later("how well the target's corners were seen"),
    "sheet": later("the sheet not lying flat (tape its edges down)"),
    "thickness": later("the plate's thickness"),
    "flatness": later("the plate not lying flat on the paper"),
    "optics": later("which wall of the groove the light showed"),
    "line": later("how well the lines were seen"),
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
    return digits(round(deviation, places) + 0.0, places, "+")


def with_uncertainty(deviation: float, expanded: float, unit: str) -> str:
    """Write ``+0.31 ± 0.04 mm``: a deviation, its expanded uncertainty (k = 2) and the unit.

    Its spaces are no-break spaces, so that no line ends within it.
    """
    size = f"{signed(deviation, expanded)} ± {digits(expanded, decimals_for(expanded))}{unit}"
    return size.replace(" ", KEEP)


def side_name(side: SideReading) -> str:
    """Name a side by its ends with a dash between, as ``A-B`` is printed."""
    return f"{side.start}{DASH}{side.end}"


def plain_term(term: Term) -> str:
    """Say in plain words what a term of the budget stands for."""
    known = _PLAIN_TERMS.get(term.name)
    return term.name.replace("_", " ") if known is None else say(known)


def shown_word(word: str) -> str:
    """Say a verdict, or what stands in its place, in the language of the reader; empty stays empty."""
    return say(_SHOWN[word]) if word in _SHOWN else word


def typographic(text: str) -> str:
    """Set a true minus sign before digits, for places where every character can be shown."""
    return re.sub(r"(?<![\w.,])-(?=\d)", MINUS, text)


def named(names: Sequence[str]) -> str:
    """List names, the first four and how many more."""
    shown = ", ".join(names[:_NAMED_AT_MOST])
    rest = len(names) - _NAMED_AT_MOST
    return say("{names} and {rest} more", names=shown, rest=rest) if rest > 0 else shown


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
        reason = reading.reasons[0].text if reading.reasons else say("no reason given.")
        return say("Not judged: {reason}", reason=reason)
    verdicts = [*(s.verdict for s in reading.sides), *(a.verdict for a in reading.angles)]
    others = mark_sentence(reading, named)
    if not reading.sides and others:
        return others
    return f"{_judged(reading) if any(verdicts) else _measured(reading)} {others}".rstrip()


def _measured(reading: Reading) -> str:
    sides = share_of_sides([s.measured_mm is not None for s in reading.sides])
    angles = share_of_angles([a.measured_deg is not None for a in reading.angles])
    sentence = say("{sides} and {angles} measured", sides=sides, angles=angles)
    worst = largest_side(reading)
    if worst is not None and worst.deviation_mm is not None and worst.U_mm is not None:
        size = with_uncertainty(worst.deviation_mm, worst.U_mm, " mm")
        sentence += say("; largest deviation {side} {size}", side=side_name(worst), size=size)
    return sentence[0].upper() + sentence[1:] + "."


def largest_side(reading: Reading) -> SideReading | None:
    """Give the side that deviates most, None when no side was measured."""
    found = [s for s in reading.sides if s.deviation_mm is not None and s.U_mm is not None]
    return max(found, key=lambda s: abs(s.deviation_mm or 0.0), default=None)


def share_of_sides(flags: Sequence[bool]) -> str:
    """Say how many sides: ``all 5 sides``, ``3 of 5 sides``, ``no side``."""
    total, count = len(flags), sum(flags)
    if count == 0:
        return say("no side")
    if count == total:
        return say("all {total} sides", total=total)
    return say("{count} of {total} sides", count=count, total=total)


def share_of_angles(flags: Sequence[bool]) -> str:
    """Say how many angles, as `share_of_sides` does."""
    total, count = len(flags), sum(flags)
    if count == 0:
        return say("no angle")
    if count == total:
        return say("all {total} angles", total=total)
    return say("{count} of {total} angles", count=count, total=total)


def _judged(reading: Reading) -> str:
    sides = [(side_name(s), side_word(reading, s)) for s in reading.sides]
    angles = [(a.at, angle_word(a)) for a in reading.angles]
    of_sides = share_of_sides([word == "within" for _, word in sides])
    of_angles = share_of_angles([word == "within" for _, word in angles])
    parts = [
        _kind(sides, of_sides, allowed(reading, reading.tolerance_side_mm, " mm")),
        _kind(angles, of_angles, allowed(reading, reading.tolerance_angle_deg, "°")),
    ]
    return " ".join(part for part in parts if part)


def allowed(reading: Reading, tolerance: float | None, unit: str) -> str:
    """Say what was allowed: the number that all have in common, else the class of the standard."""
    if tolerance is not None:
        return f"{plain(tolerance)}{unit}"
    return class_name(reading) or say("tolerance")


def class_name(reading: Reading) -> str:
    """Name the class of general tolerances as drawings do, ``ISO 2768-m``; empty without one."""
    return f"ISO{KEEP}2768-{reading.tolerance_class}" if reading.tolerance_class else ""


def _kind(rows: list[tuple[str, str]], share: str, allowed: str) -> str:
    if not any(word in _VERDICTS for _, word in rows):
        return ""
    lead = say("{share} within {allowed}", share=share, allowed=allowed)
    parts = [f"{lead[0].upper()}{lead[1:]}"]
    for said, phrase in _AFTER_WITHIN:
        names = [name for name, word in rows if word == said]
        parts += [say(phrase, names=named(names))] if names else []
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
