"""What a layout can hold beside its polygon: circles, pricks, lines, texts, distances, and the fit.

Layout frame: millimetres, y downwards; angles are atan2(y, x), so they grow clockwise to the viewer.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Pair = tuple[float, float]
FULL_TURN_DEG = 360.0
_PATH_STEP_DEG = 3.0


@dataclass(frozen=True, slots=True)
class IntendedCircle:
    """A circle, or the arc from `start_deg` on when it sweeps less than 360."""

    name: str
    centre_mm: Pair
    radius_mm: float
    start_deg: float = 0.0
    sweep_deg: float = FULL_TURN_DEG

    def path_mm(self) -> NDArray[np.float64]:
        """Return points along it, shape (N, 2)."""
        count = max(round(self.sweep_deg / _PATH_STEP_DEG), 2) + 1
        angle = np.radians(self.start_deg + np.linspace(0.0, self.sweep_deg, count))
        away = np.column_stack([np.cos(angle), np.sin(angle)])
        return np.asarray(self.radius_mm * away + self.centre_mm)


@dataclass(frozen=True, slots=True)
class IntendedPrick:
    """A prick that is no vertex of the polygon."""

    name: str
    at_mm: Pair


@dataclass(frozen=True, slots=True)
class IntendedLine:
    """A line that is no side of the polygon."""

    name: str
    from_mm: Pair
    to_mm: Pair


@dataclass(frozen=True, slots=True)
class IntendedText:
    """Words on the drawing; nothing to be measured."""

    at_mm: Pair
    says: str


@dataclass(frozen=True, slots=True)
class IntendedMarks:
    """Everything a layout holds beside its polygon.

    `distances` are pairs of names of pricks, circles (their centres) and vertices.
    """

    circles: tuple[IntendedCircle, ...] = ()
    pricks: tuple[IntendedPrick, ...] = ()
    lines: tuple[IntendedLine, ...] = ()
    texts: tuple[IntendedText, ...] = ()
    distances: tuple[tuple[str, str], ...] = ()

    @property
    def measured(self) -> bool:
        """Whether there is anything to look for on a plate."""
        return bool(self.circles or self.pricks or self.lines)

    def reach_mm(self) -> NDArray[np.float64]:
        """Return points that the marks reach to, shape (N, 2)."""
        rows = [prick.at_mm for prick in self.pricks]
        rows += [end for line in self.lines for end in (line.from_mm, line.to_mm)]
        paths = [circle.path_mm() for circle in self.circles]
        return np.concatenate([np.array(rows, np.float64).reshape(-1, 2), *paths])


@dataclass(frozen=True, slots=True)
class FitChoice:
    """How the intended figure is laid over the scribed one.

    Attributes
    ----------
    side : str
        Name of the side from which it is laid, e.g. ``A-B``; empty for the best fit.
    size_free : bool
        Whether it may be made larger or smaller.
    hand : str
        ``given``, ``mirrored`` or ``either``.
    edge : str
        Name of the side or vertex that lies nearest to the plate's edge; empty where the plate is
        not to tell.
    """

    side: str = ""
    size_free: bool = False
    hand: str = "given"
    edge: str = ""

    @property
    def asked(self) -> bool:
        """Whether anything is other than when nobody says anything."""
        return self != FitChoice()
