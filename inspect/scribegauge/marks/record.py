"""What the marks stage returns. Plate frame, millimetres."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Doubled:
    """A stretch of a line that shows two strokes.

    Attributes
    ----------
    first_mm, last_mm : float
        From where to where, from the line's start.
    apart_mm, u_apart_mm : float
        How far the two lie apart on average, and its standard uncertainty.
    """

    first_mm: float
    last_mm: float
    apart_mm: float
    u_apart_mm: float


@dataclass(frozen=True, slots=True)
class LineWorth:
    """How well a line was scribed, as far as one photo shows it.

    Attributes
    ----------
    u_width_mm : float
        Standard uncertainty of the line's width.
    wander_mm : float
        Root-mean-square distance from the straight line, noise taken off.
    U_wander_mm : float
        What noise and light alone seldom exceed (one time in twenty): a smaller wander is none.
    gaps_mm : tuple of (first, last)
        Stretches where nothing of the line is seen, from its start.
    faded_mm : (float, float) or None
        How long the line is faint (under half of its usual contrast) at its start and its end;
        None where it is too faint all along to tell.
    doubled : tuple of Doubled
    U_ends_mm : (float, float)
        Expanded uncertainty of where it begins and ends.
    """

    u_width_mm: float
    wander_mm: float
    U_wander_mm: float
    gaps_mm: tuple[tuple[float, float], ...]
    faded_mm: tuple[float, float] | None
    doubled: tuple[Doubled, ...]
    U_ends_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class ArcWorth:
    """How well an arc was drawn, as far as one photo shows it.

    Each U is what noise and light alone seldom exceed (one time in a hundred): what is smaller is
    nothing.

    Attributes
    ----------
    roundness_mm, U_roundness_mm : float or None
        Root-mean-square distance from the fitted circle, noise taken off.
    mismatch_mm, U_mismatch_mm : float or None
        How far the end of a full circle misses its start across (the divider slipped or was
        pressed open); None for an arc.
    centre_wander_mm, U_centre_wander_mm : float or None
        How far the centres of a full circle's two halves lie apart; None for an arc.
    """

    roundness_mm: float | None
    U_roundness_mm: float | None
    mismatch_mm: float | None
    U_mismatch_mm: float | None
    centre_wander_mm: float | None
    U_centre_wander_mm: float | None


@dataclass(frozen=True, slots=True)
class LineMark:
    """One straight scribed line.

    Attributes
    ----------
    ends_mm : ndarray, shape (2, 2), float64
        Where the seen line begins and ends, on the fitted centre line.
    covariance : ndarray, shape (2, 2), float64
        Of (offset across the line at its middle [mm], direction [rad]) from the fit alone.
    u_optics_mm : float
        Standard uncertainty of the offset of what is seen from the groove's middle.
    u_optics_turn_mm : float
        The same for what differs between the line's two ends, as an offset at either end.
    width_mm : float
        Width of the groove as seen.
    contrast : float
        Mean signed deviation from the metal beside it, in units of that metal's noise.
    look : str
        ``"dark"``, ``"bright"`` or ``"double"`` (bright and dark side by side).
    seen : float
        Share of the length between the ends that stands out, 0 to 1.
    log10_nfa : float
        Decimal logarithm of the expected number of false lines at least as clear as this.
    hinted : bool
        True when a person said where to look.
    worth : LineWorth or None
        None where nobody judged it.
    """

    ends_mm: NDArray[np.float64]
    covariance: NDArray[np.float64]
    u_optics_mm: float
    u_optics_turn_mm: float
    width_mm: float
    contrast: float
    look: str
    seen: float
    log10_nfa: float
    hinted: bool
    worth: LineWorth | None = None


@dataclass(frozen=True, slots=True)
class ArcMark:
    """One divider circle or arc; angles counter to nothing: atan2(y, x) in the plate frame.

    ``covariance`` is of (centre x, centre y, radius) [mm].
    """

    centre_mm: NDArray[np.float64]
    radius_mm: float
    start_deg: float
    sweep_deg: float
    covariance: NDArray[np.float64]
    u_optics_mm: float
    width_mm: float
    look: str
    seen: float
    worth: ArcWorth | None = None


@dataclass(frozen=True, slots=True)
class PrickMark:
    """One prick: centre, rim diameter, standard uncertainty of the centre per axis."""

    centre_mm: NDArray[np.float64]
    u_mm: float
    diameter_mm: float
    contrast: float
    hinted: bool


@dataclass(frozen=True, slots=True)
class Marks:
    """All marks found on one plate."""

    lines: tuple[LineMark, ...]
    arcs: tuple[ArcMark, ...]
    pricks: tuple[PrickMark, ...]
