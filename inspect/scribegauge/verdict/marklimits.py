"""What a radius and a distance of a layout may be off: its own number or a class of the standard."""

from scribegauge.figure.layout import Tolerance
from scribegauge.verdict.iso2768 import length_tolerance_mm


def distance_limit_mm(tolerance: Tolerance, length_mm: float) -> float | None:
    """Return what a distance may be off either way; None where nothing is to be judged."""
    if tolerance.side_mm is not None or tolerance.iso2768 is None:
        return tolerance.side_mm
    return length_tolerance_mm(tolerance.iso2768, length_mm)


def radius_limit_mm(tolerance: Tolerance, radius_mm: float) -> float | None:
    """Return what a radius may be off either way; None where nothing is to be judged.

    References
    ----------
    ISO 2768-1:1989, table 1, which goes by diameters: half of what the diameter may be off.
    """
    if tolerance.radius_mm is not None or tolerance.iso2768 is None:
        return tolerance.radius_mm
    limit = length_tolerance_mm(tolerance.iso2768, 2 * radius_mm)
    return None if limit is None else limit / 2
