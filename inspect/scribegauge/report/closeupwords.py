"""What stands beside a corner enlarged, in a few words."""

from scribegauge.report.reading import Reading
from scribegauge.report.words import KEEP, decimals_for

CROSS = "corner as scribed: where the two sides meet"
MEANT = "corner as intended"
RIM = "rim of the prick"
PASSING = "other line or arc"
NOTE = (
    "Cut from the photo, twenty times as large when shown 60 mm wide. Prick: how far it is off its "
    "corner; marks: how far they miss one point at most. Light and dark are spread so that faint "
    "lines show."
)


def heading(span_mm: float) -> str:
    """Name the strip of corners."""
    return f"Corners, {span_mm:g} mm across, a tick each 0.1 mm; misses in mm"


def described(name: str, *, pricked: bool) -> str:
    """Describe a close-up for whoever does not see it."""
    prick = ", and the prick" if pricked else ""
    return f"Corner {name} enlarged, with the crossing of its two sides marked{prick}."


def corner_notes(reading: Reading, name: str) -> tuple[str, ...]:
    """Say how far [mm] a corner's prick misses it, and its marks miss one point at most."""
    notes = [
        f"prick {_sized(p.off_corner_mm, p.U_mm)}"
        for p in reading.pricks
        if p.at == name and p.off_corner_mm is not None
    ]
    notes += [f"marks {_sized(m.miss_mm, m.U_miss_mm)}" for m in reading.meetings if m.at == name]
    return tuple(notes)


def _sized(value_mm: float, expanded_mm: float) -> str:
    places = decimals_for(expanded_mm)
    return f"{value_mm:.{places}f} ± {expanded_mm:.{places}f}".replace(" ", KEEP)
