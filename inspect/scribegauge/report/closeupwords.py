"""What stands beside a corner enlarged, in a few words."""

from typing import Final

from scribegauge.report.reading import Reading
from scribegauge.report.words import KEEP, decimals_for
from scribetarget.wording import digits, later, plain, say

# Said when they are asked for: each is looked up in the language spoken then.
CROSS: str
MEANT: str
RIM: str
PASSING: str
NOTE: str

_TEXTS: Final[dict[str, str]] = {
    "CROSS": later("corner as scribed: where the two sides meet"),
    "MEANT": later("corner as intended"),
    "RIM": later("rim of the prick"),
    "PASSING": later("other line or arc"),
    "NOTE": later(
        "Cut from the photo, twenty times as large when shown 60 mm wide. Prick: how far it is off its corner; marks: how far they miss one point at most. Light and dark are spread so that faint lines show."
    ),
}


def __getattr__(name: str) -> str:
    """Give a text in the language spoken (PEP 562)."""
    if name in _TEXTS:
        return say(_TEXTS[name])
    raise AttributeError(name)


def heading(span_mm: float) -> str:
    """Name the strip of corners."""
    return say(
        "Corners, {span} mm across, a tick each {tick} mm; misses in mm",
        span=plain(span_mm),
        tick=plain(0.1),
    )


def described(name: str, *, pricked: bool) -> str:
    """Describe a close-up for whoever does not see it."""
    if pricked:
        return say(
            "Corner {name} enlarged, with the crossing of its two sides marked, and the prick.",
            name=name,
        )
    return say("Corner {name} enlarged, with the crossing of its two sides marked.", name=name)


def corner_notes(reading: Reading, name: str) -> tuple[str, ...]:
    """Say how far [mm] a corner's prick misses it, and its marks miss one point at most."""
    notes = [
        say("prick {size}", size=_sized(p.off_corner_mm, p.U_mm))
        for p in reading.pricks
        if p.at == name and p.off_corner_mm is not None
    ]
    notes += [
        say("marks {size}", size=_sized(m.miss_mm, m.U_miss_mm))
        for m in reading.meetings
        if m.at == name
    ]
    return tuple(notes)


def _sized(value_mm: float, expanded_mm: float) -> str:
    places = decimals_for(expanded_mm)
    return f"{digits(value_mm, places)} ± {digits(expanded_mm, places)}".replace(" ", KEEP)
