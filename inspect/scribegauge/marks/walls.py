"""From what is seen of a groove to its middle: two walls and one lamp.

The wall that faces the lamp is the one farther from it. It shines, the other stays dark, and the
middle of what is seen lies towards the one that is seen more. Where bright and dark lie side by
side the line itself tells which wall is lit; where only one is seen the lamp tells it.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.groove import MIDDLE_REACH_MM, GrooveFit, follow
from scribegauge.marks.lamp import Lamp
from scribegauge.marks.strip import GROOVE_REACH_MM, Strip

# How far a lit wall's middle, its burr included, lies from the groove's, in widths as measured
# here: 26 bright or double lines in 12 computed photos.
WALL_OFF_MIDDLE = 0.42
# What is left after that, by the share of what is seen that is bright: 0.14 widths RMS for 36 dark
# lines of those photos, 0.16 for 15 lit ones, 0.30 for 12 that show both.
U_BOTH_DARK, U_MIXED, U_ONE_LIT = 0.15, 0.3, 0.18
ALL_DARK, MOSTLY_BRIGHT = 0.025, 0.75
# A lit wall of twice the share that clearly shows one may lie in noise.
WELL_HIDDEN = 0.15
# The same for 7 lines whose look changes along them, at the middle and at the ends.
U_CHANGING, U_CHANGING_TURN = 0.5, 0.26
CHANGE = 0.35
# Half bright and half dark sides of a line are told from the metal's noise at twice its spread, and
# the weaker believed to be a wall when it has this share of the stronger.
CLEAR_NOISE, CLEAR_WALL = 2.0, 0.15
WALLS_WITHIN_MM = 0.15
# From this bright share on a mostly dark line shows the wall in the shade only; its middle is still
# drawn to the groove's by what the other wall darkens.
CLEARLY_LIT, SHADED_LEAN = 0.075, 0.6
PART_MM, FEWEST_PARTS, MOST_PARTS = 5.0, 3, 5


@dataclass(frozen=True, slots=True)
class Middle:
    """Where the groove's middle runs.

    Attributes
    ----------
    fit : GrooveFit
        The fit, moved from what is seen to the groove's middle.
    u_mm : float
        Standard uncertainty of that step.
    u_turn_mm : float
        What differs between the line's two ends, as an offset at either end.
    """

    fit: GrooveFit
    u_mm: float
    u_turn_mm: float


def groove_middle(strip: Strip, fit: GrooveFit, width_mm: float, lamp: Lamp) -> Middle:
    """Move a line from the middle of what is seen to the middle of its groove.

    Parameters
    ----------
    strip : Strip
    fit : GrooveFit
        Of what is seen.
    width_mm : float
        The groove's width as seen.
    lamp : Lamp
    """
    straight = follow(strip.grey, strip, fit.across_mm(strip.u_mm))
    edges = _part_edges(fit)
    whole, shares, strengths = _brightness(straight, strip, edges)
    along = (edges[1:] + edges[:-1]) / 2 - fit.middle_mm
    towards = np.array([strip.start_mm[1] - strip.end_mm[1], strip.end_mm[0] - strip.start_mm[0]])
    sure = lamp.away(towards / np.hypot(*towards))
    if whole.weaker > CLEAR_WALL * whole.stronger:
        sure = whole.side
    reach = WALL_OFF_MIDDLE * width_mm
    leans = np.array([lean(share) for share in shares])
    changing = float(np.ptp(shares)) > CHANGE
    if changing:
        design = np.column_stack([np.ones(len(along)), along]) * np.sqrt(strengths)[:, None]
        (place, turn), *_ = np.linalg.lstsq(design, leans * np.sqrt(strengths))
        slope, u_turn = fit.other_slope, U_CHANGING_TURN * width_mm
    else:
        place, turn, slope, u_turn = lean(whole.share), 0.0, fit.slope, 0.0
    moved = replace(
        fit,
        offset_mm=fit.offset_mm - reach * sure * float(place),
        slope=slope - reach * sure * float(turn),
    )
    doubt = reach * float(place) * np.sqrt(1 - sure**2)
    spread = (U_CHANGING if changing else _u_share(whole)) * width_mm
    return Middle(moved, float(np.hypot(spread, doubt)), u_turn)


def lean(bright_share: float) -> float:
    """Return how far what is seen leans from the groove's middle towards the lit wall.

    In parts of the distance of a wall: 1 where only the lit wall is seen, 0 where both are seen
    alike, negative where more is seen of the wall in the shade, and 0 again where nothing at all is
    bright: then both walls are dark.

    Parameters
    ----------
    bright_share : float
        Of what is seen, 0 to 1.
    """
    tilt = 2 * bright_share - 1
    shaded = SHADED_LEAN * min(1.0, bright_share / CLEARLY_LIT)
    return max(tilt, -shaded)


@dataclass(frozen=True, slots=True)
class _Shown:
    """What a profile shows: its stronger and weaker half, which share is bright, and where.

    `least` and `most` are what the share could be with what noise may hide of the weaker half.
    """

    stronger: float
    weaker: float
    share: float
    side: float
    least: float
    most: float


def _part_edges(fit: GrooveFit) -> NDArray[np.float64]:
    """Return places along the strip between which the line's look is judged by itself."""
    first, last = float(fit.blocks_mm[0]), float(fit.blocks_mm[-1])
    count = int(np.clip((last - first) / PART_MM, FEWEST_PARTS, MOST_PARTS))
    return np.linspace(first, last, count + 1)


def _brightness(
    straight: NDArray[np.float32], strip: Strip, edges: NDArray[np.float64]
) -> tuple[_Shown, NDArray[np.float64], NDArray[np.float64]]:
    """Return what the whole line shows, and each part's bright share and strength."""
    along = strip.u_mm
    whole = _shown(straight[:, (along >= edges[0]) & (along <= edges[-1])], strip.v_mm)
    parts = [
        _shown(straight[:, (along >= a) & (along <= b)], strip.v_mm) for a, b in pairwise(edges)
    ]
    shares = np.array([part.share for part in parts])
    strengths = np.array([part.stronger + part.weaker for part in parts])
    return whole, shares, strengths / max(float(strengths.sum()), 1e-9)


def _shown(columns: NDArray[np.float32], v_mm: NDArray[np.float64]) -> _Shown:
    """Judge a piece of a straightened strip (V, U), the line along row 0 mm."""
    low, high = np.percentile(columns, [10, 90], axis=1)
    profile = np.clip(columns, low[:, None], high[:, None]).mean(axis=1, dtype=np.float64)
    beside = np.abs(v_mm) > GROOVE_REACH_MM
    profile -= np.median(profile[beside])
    noise = CLEAR_NOISE * float(profile[beside].std())
    near = profile[np.abs(v_mm) < WALLS_WITHIN_MM]
    bright, dark = max(float(near.max()) - noise, 0.0), max(-float(near.min()) - noise, 0.0)
    inside = np.abs(v_mm) < MIDDLE_REACH_MM
    return _Shown(
        stronger=max(bright, dark),
        weaker=min(bright, dark),
        share=bright / max(bright + dark, 1e-9),
        side=float(np.sign(profile[inside] @ v_mm[inside])),
        least=bright / max(bright + dark + noise, 1e-9),
        most=(bright + noise) / max(bright + noise + dark, 1e-9),
    )


def _u_share(shown: _Shown) -> float:
    """Return what is left of the step to the middle, in widths."""
    if shown.share > ALL_DARK:
        return U_ONE_LIT if shown.least > MOSTLY_BRIGHT else U_MIXED
    # The more noise could hide of a lit wall, the less is known of there being none.
    hidden = np.clip((shown.most - ALL_DARK) / (WELL_HIDDEN - ALL_DARK), 0.0, 1.0)
    return float(U_BOTH_DARK + hidden * (U_MIXED - U_BOTH_DARK))
