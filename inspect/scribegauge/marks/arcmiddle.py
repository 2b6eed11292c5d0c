"""From what is seen of a divider's arc to the middle of its groove, all round.

Where the arc runs across the light one of its walls is lit, and what is seen leans away from the
lamp: outwards on the far side of the circle and inwards on the near one. Uncorrected that moves a
whole circle by a third of its groove's width, and bends a short arc.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.arclook import look_covariance
from scribegauge.marks.arcstrip import GROOVE_REACH_MM, cut_ring
from scribegauge.marks.arctrace import CORE_MM, LOOK_MM, ArcBlocks, cut_blocks, fit_blocks
from scribegauge.marks.lamp import Lamp
from scribegauge.marks.markpath import Mark
from scribegauge.marks.metal import Metal
from scribegauge.marks.record import ArcMark
from scribegauge.marks.walls import (
    CLEAR_NOISE,
    U_MIXED,
    WALL_OFF_MIDDLE,
    WALLS_WITHIN_MM,
    lean,
)
from scribegauge.plate.face import Face


def arc_at_middle(
    grey: NDArray[np.uint8],
    face: Face,
    metal: Metal,
    arc: ArcMark,
    known: tuple[Mark, ...],
    lamp: Lamp,
) -> ArcMark:
    """Fit an arc again to the middle of its groove in bare metal.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    arc : ArcMark
        As seen.
    known : tuple of LineMark or ArcMark
        Other marks, cut out where they cross.
    lamp : Lamp
        From which side the light falls.
    """
    strip = cut_ring(grey, face, metal, (arc.centre_mm, arc.radius_mm), known)
    blocks = cut_blocks(strip)
    turn = np.mod(np.degrees(blocks.angle_rad) - arc.start_deg, 360.0)
    which = np.flatnonzero(turn <= arc.sweep_deg)
    try:
        step = _lean_mm(blocks, which, strip.v_mm, arc.width_mm, lamp)
        fit = fit_blocks(strip, blocks, which, CORE_MM, step)
    except ValueError:
        return arc
    return replace(
        arc,
        centre_mm=fit.centre_mm,
        radius_mm=fit.radius_mm,
        covariance=fit.covariance + look_covariance(blocks.angle_rad[which], arc.width_mm),
        u_optics_mm=min(arc.u_optics_mm, U_MIXED * arc.width_mm),
    )


def _lean_mm(
    blocks: ArcBlocks,
    which: NDArray[np.intp],
    v_mm: NDArray[np.float64],
    width_mm: float,
    lamp: Lamp,
) -> NDArray[np.float64]:
    """Return how far outside the groove's middle what is seen of each block (B,) lies."""
    reach = np.arange(-6, 7)
    kernel = np.exp(-0.5 * (reach / (LOOK_MM / 2)) ** 2)
    known = blocks.share[:, None]
    # The arc closes on itself: neighbours are taken round.
    local = sum(
        weight * np.roll(blocks.profiles * known, k, axis=0)
        for k, weight in zip(reach, kernel, strict=True)
    )
    weight = sum(part * np.roll(known, k, axis=0) for k, part in zip(reach, kernel, strict=True))
    profiles = (local / np.maximum(weight, 1e-6))[which]
    beside = np.abs(v_mm) > GROOVE_REACH_MM
    profiles = profiles - np.median(profiles[:, beside], axis=1)[:, None]
    noise = CLEAR_NOISE * profiles[:, beside].std(axis=1)
    near = profiles[:, np.abs(v_mm) < WALLS_WITHIN_MM]
    bright = np.maximum(near.max(axis=1) - noise, 0.0)
    dark = np.maximum(-near.min(axis=1) - noise, 0.0)
    shares = bright / np.maximum(bright + dark, 1e-9)
    angle = blocks.angle_rad[which]
    outward = np.column_stack([np.cos(angle), np.sin(angle)])
    sure = np.array([lamp.away(normal) for normal in outward])
    leans = np.array([lean(share) for share in shares]) * (bright + dark > 0)
    return np.asarray(WALL_OFF_MIDDLE * width_mm * leans * sure)
