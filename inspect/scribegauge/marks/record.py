"""What the marks stage returns. Plate frame, millimetres."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


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
