"""What each side and angle of a layout may be off: its own numbers or a class of the standard."""

from dataclasses import dataclass

import numpy as np

from scribegauge.figure.layout import Layout
from scribegauge.figure.polygon import side_lengths_mm
from scribegauge.verdict.iso2768 import angle_tolerance_deg, length_tolerance_mm


@dataclass(frozen=True, slots=True)
class Limits:
    """Allowed either way, one for each side and angle; None where nothing is to be judged."""

    side_mm: tuple[float | None, ...]
    angle_deg: tuple[float | None, ...]


def limits_of(layout: Layout) -> Limits:
    """Work out the tolerance of every side and angle.

    Parameters
    ----------
    layout : Layout
        Its own numbers go before the class of ISO 2768-1, where both are given.
    """
    own, lengths = layout.tolerance, side_lengths_mm(layout.vertices_mm)
    legs = np.minimum(lengths, np.roll(lengths, 1))
    sides = [own.side_mm] * len(lengths)
    angles = [own.angle_deg] * len(lengths)
    if own.iso2768 is not None:
        if own.side_mm is None:
            sides = [length_tolerance_mm(own.iso2768, float(length)) for length in lengths]
        if own.angle_deg is None:
            angles = [angle_tolerance_deg(own.iso2768, float(leg)) for leg in legs]
    return Limits(tuple(sides), tuple(angles))
