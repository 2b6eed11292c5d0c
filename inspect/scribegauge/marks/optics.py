"""What a line shows, and how far the seen line may lie from the groove's middle."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.groove import GrooveFit
from scribegauge.marks.record import LineMark
from scribegauge.marks.strip import Strip

# RMS distance between the middle of what is seen and the middle of the groove, by what is seen:
# 320 grooves in computed photos. In parts of the groove's width, and never below the floor.
SEEN_OFF_MIDDLE = {"dark": 0.19, "double": 0.30, "bright": 0.42}
# A line that is as bright as bare metal in lacquer shows its whole width.
FILLED_OFF_MIDDLE = 0.10
# Grey levels above which a bright line can only be bare metal beside a dark coat.
BARE_METAL_GREY = 100.0
DOUBLE_SHARE = 0.3
# A hand's groove, when the blur leaves its width open.
NARROWEST_MM, WIDEST_MM = 0.04, 0.15


def describe(
    strip: Strip,
    fit: GrooveFit,
    ends_mm: NDArray[np.float64],
    log10_nfa: float,
    seen: float,
) -> LineMark:
    """Put a fitted line into words and numbers."""
    near = np.abs(strip.v_mm) < 0.15
    high = float(max(fit.profile[near].max(), 0.0))
    low = float(max(-fit.profile[near].min(), 0.0))
    if min(high, low) > DOUBLE_SHARE * max(high, low):
        look = "double"
    else:
        look = "bright" if high > low else "dark"
    width = _width_mm(fit.profile, strip.v_mm)
    inside = (strip.u_mm >= fit.blocks_mm[0]) & (strip.u_mm <= fit.blocks_mm[-1])
    grey = float(np.median(strip.noise[inside])) * high if inside.any() else 0.0
    filled = look == "bright" and grey > BARE_METAL_GREY
    share = FILLED_OFF_MIDDLE if filled else SEEN_OFF_MIDDLE[look]
    return LineMark(
        ends_mm=ends_mm,
        covariance=fit.covariance,
        u_optics_mm=share * width,
        width_mm=width,
        contrast=high if high > low else -low,
        look=look,
        seen=seen,
        log10_nfa=log10_nfa,
        hinted=False,
    )


def _width_mm(profile: NDArray[np.float64], v_mm: NDArray[np.float64]) -> float:
    """Return the groove's width from its profile's spread."""
    size = np.abs(profile)
    half = size > size[np.abs(v_mm) < 0.15].max() / 2
    near = half & (np.abs(v_mm) < 0.2)
    step = float(v_mm[1] - v_mm[0])
    return float(np.clip(near.sum() * step * 0.6, NARROWEST_MM, WIDEST_MM))
