"""What a line shows, and how far the seen line may lie from the groove's middle."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.doubled import NONE
from scribegauge.marks.groove import MIDDLE_REACH_MM, GrooveFit, follow
from scribegauge.marks.record import LineMark
from scribegauge.marks.strip import GROOVE_REACH_MM, Strip
from scribegauge.marks.walls import Middle

# RMS distance between the middle of what is seen and the middle of the groove, in parts of the
# groove's width, by what is seen: 320 grooves in computed photos.
SEEN_OFF_MIDDLE = {"dark": 0.21, "double": 0.32, "bright": 0.42}
# Bare metal in a groove through lacquer shows the whole width, both walls.
COATED_OFF_MIDDLE = 0.12
# and its look changes less along it: 10 of them turned by 0.034 widths at their ends, RMS.
COATED_TURN = 0.5
# What the offset changes from one end to the other of a line that looks the same all along.
STEADY_TURN = 0.08
DOUBLE_SHARE = 0.3
# A hand's groove: 0.05 to 0.15 mm wide (common practice, no source).
USUAL_WIDTH_MM, U_USUAL_WIDTH_MM = 0.085, 0.03
NARROWEST_MM, WIDEST_MM = 0.04, 0.15


def describe(
    strip: Strip,
    fit: GrooveFit,
    ends_mm: NDArray[np.float64],
    log10_nfa: float,
    seen: float,
    blur_mm: float,
) -> LineMark:
    """Put a fitted line into words and numbers.

    Parameters
    ----------
    strip : Strip
    fit : GrooveFit
    ends_mm : ndarray, shape (2, 2), float64
    log10_nfa, seen : float
        As in `LineMark`.
    blur_mm : float
        Standard deviation of the photo's blur on the plate.
    """
    profile = grey_profile(strip, fit)
    near = np.abs(strip.v_mm) < WIDEST_MM
    high = float(max(profile[near].max(), 0.0))
    low = float(max(-profile[near].min(), 0.0))
    if min(high, low) > DOUBLE_SHARE * max(high, low):
        look = "double"
    else:
        look = "bright" if high > low else "dark"
    width = groove_width_mm(profile, strip.v_mm, blur_mm)
    share = SEEN_OFF_MIDDLE[look]
    length = float(np.hypot(*(ends_mm[1] - ends_mm[0])))
    doubt = _turn_doubt(fit, length)
    doubled = NONE if look == "double" else fit.widening
    return LineMark(
        ends_mm=ends_mm,
        covariance=fit.covariance,
        u_optics_mm=float(np.hypot(share * width, doubled.middle_mm)),
        u_optics_turn_mm=float(np.sqrt((STEADY_TURN * width) ** 2 + doubt**2 + doubled.turn_mm**2)),
        width_mm=width,
        contrast=(high if high > low else -low) / strip.noise,
        look=look,
        seen=seen,
        log10_nfa=log10_nfa,
        hinted=False,
    )


def at_middle(line: LineMark, fit: GrooveFit, middle: Middle) -> LineMark:
    """Return a line's description once its place is that of the groove's middle.

    Parameters
    ----------
    line : LineMark
        As described from what is seen.
    fit : GrooveFit
        Of what is seen.
    middle : Middle
    """
    doubled = NONE if line.look == "double" else fit.widening
    steady = STEADY_TURN * line.width_mm
    length = float(np.hypot(*(line.ends_mm[1] - line.ends_mm[0])))
    doubt = 0.0 if middle.u_turn_mm else _turn_doubt(fit, length)
    return replace(
        line,
        u_optics_mm=float(np.hypot(middle.u_mm, doubled.middle_mm)),
        u_optics_turn_mm=float(np.linalg.norm([steady, middle.u_turn_mm, doubt, doubled.turn_mm])),
    )


def _turn_doubt(fit: GrooveFit, length_mm: float) -> float:
    """Return how far a line's ends are in doubt where its look changes [mm]."""
    return abs(fit.other_slope - fit.slope) * length_mm / 2 / 2


def through_coat(line: LineMark) -> LineMark:
    """Return a line that was scribed through a coat: bare metal over the groove's whole width."""
    share = COATED_OFF_MIDDLE / SEEN_OFF_MIDDLE[line.look]
    return replace(
        line,
        u_optics_mm=line.u_optics_mm * min(share, 1.0),
        u_optics_turn_mm=line.u_optics_turn_mm * COATED_TURN,
    )


def grey_profile(strip: Strip, fit: GrooveFit) -> NDArray[np.float64]:
    """Return the line's mean profile (V,) in grey levels, glints and crossings left out."""
    straight = follow(strip.grey, strip, fit.across_mm(strip.u_mm))
    inside = (strip.u_mm >= fit.blocks_mm[0]) & (strip.u_mm <= fit.blocks_mm[-1])
    columns = straight[:, inside].astype(np.float64)
    low, high = np.percentile(columns, [10, 90], axis=1)
    profile = np.clip(columns, low[:, None], high[:, None]).mean(axis=1)
    return np.asarray(profile - np.median(profile[np.abs(strip.v_mm) > GROOVE_REACH_MM]))


def groove_width_mm(
    profile: NDArray[np.float64], v_mm: NDArray[np.float64], blur_mm: float
) -> float:
    """Return the groove's width from the profile's width at half height, blur taken out.

    A box of width w seen through a Gaussian blur of standard deviation s has about the half-height
    width of ``hypot(w, 2.355 s)``. Where the blur hides the width, the usual one of the trade is
    taken: both are weighed by their uncertainties.

    Parameters
    ----------
    profile : ndarray, shape (V,), float64
        Brightness across against the metal's, any unit.
    v_mm : ndarray, shape (V,), float64
        Distance across.
    blur_mm : float
        Standard deviation of the photo's blur on the plate.
    """
    size = np.abs(profile) * (np.abs(v_mm) < MIDDLE_REACH_MM)
    half = float(np.count_nonzero(size > size.max() / 2)) * float(v_mm[1] - v_mm[0])
    groove = np.sqrt(max(half**2 - (2.355 * blur_mm) ** 2, NARROWEST_MM**2))
    # 7 % of the half-height width: sampling step, noise, and walls unequally lit.
    u_groove = max(half**2 * 0.07 / groove, 0.01)
    weight = U_USUAL_WIDTH_MM**2 / (U_USUAL_WIDTH_MM**2 + u_groove**2)
    width = weight * groove + (1 - weight) * USUAL_WIDTH_MM
    return float(np.clip(width, NARROWEST_MM, WIDEST_MM))
