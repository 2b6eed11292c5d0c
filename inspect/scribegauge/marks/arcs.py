"""All circles and arcs on the plate."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.arclook import describe_look, look_covariance
from scribegauge.marks.arcshape import on_arc, points_on
from scribegauge.marks.arcstrip import ArcStrip, cut_ring
from scribegauge.marks.arctrace import (
    BLOCK_MM,
    CORE_MM,
    HALF,
    SEEN,
    WIDE_MM,
    ArcBlocks,
    Run,
    best_run,
    blocks_of,
    cut_blocks,
    evidence_beside,
    evidence_of,
    fit_blocks,
    trim,
)
from scribegauge.marks.circlefit import CircleFit
from scribegauge.marks.circles import drop_lines, find_circles
from scribegauge.marks.edgelets import find_edgelets
from scribegauge.marks.markpath import Mark
from scribegauge.marks.metal import Metal
from scribegauge.marks.record import ArcMark, LineMark
from scribegauge.plate.face import Face

# Tight circles bend too much for long pieces, wide ones are too faint for short ones.
TIGHT_MM, WIDE_CIRCLES_MM = (1.8, 6.5), (5.0, 60.0)
LEAST_TIGHT, LEAST_WIDE = 0.5, 0.25
# Sum of the blocks' evidence; texture alone loses, a clear stroke gains six a millimetre.
ENOUGH = 40.0
# and as many times more than circles beside this one have.
STANDS_OUT = 4.0
LEAST_SEEN = 0.45
SHORTEST_MM = 5.0
# An arc that bows less than this over its length could be a line.
LEAST_BOW_MM = 0.3
# A gap smaller than this in a circle is no end of it.
GAP_DEG = 20.0
# Blocks this far off the circle, RMS, are no divider's work.
ROUGHEST_MM = 0.06
SAME_ARC_MM = 0.25
TAKEN = -1e6


def find_arcs(
    grey: NDArray[np.uint8], face: Face, metal: Metal, lines: tuple[LineMark, ...]
) -> tuple[ArcMark, ...]:
    """Find circles and arcs that texture and lines do not explain.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    lines : tuple of LineMark
        Lines known so far, cut out of the circles' surroundings; may be empty.
    """
    found: list[ArcMark] = []
    short, long = find_edgelets(metal)
    circles = (
        *find_circles(drop_lines(long), WIDE_CIRCLES_MM, LEAST_WIDE),
        *find_circles(drop_lines(short), TIGHT_MM, LEAST_TIGHT),
    )
    for rough in circles:
        circle = (rough.centre_mm, rough.radius_mm)
        for arc in trace_circle(grey, face, metal, circle, (*lines, *found)):
            if not any(_same(arc, old) for old in found):
                found.append(arc)
    return tuple(found)


def trace_circle(
    grey: NDArray[np.uint8],
    face: Face,
    metal: Metal,
    circle: tuple[NDArray[np.float64], float],
    known: tuple[Mark, ...],
) -> tuple[ArcMark, ...]:
    """Measure every arc on a circle that is known to about 0.2 mm.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    circle : (ndarray (2,), float)
        Centre and radius [mm], plate frame.
    known : tuple of LineMark or ArcMark
        Cut out where they cross the ring or run along it.
    """
    for window_mm in (WIDE_MM, CORE_MM):
        strip = cut_ring(grey, face, metal, circle, known)
        blocks = cut_blocks(strip)
        run = best_run(evidence_of(blocks))
        if run.evidence < ENOUGH + STANDS_OUT * evidence_beside(blocks):
            return ()
        try:
            fit = fit_blocks(strip, blocks, blocks_of(run, len(blocks.share)), window_mm)
        except ValueError:
            return ()
        moved = float(np.hypot(*(fit.centre_mm - circle[0])))
        if moved > circle[1]:
            return ()
        circle = (fit.centre_mm, fit.radius_mm)
    strip = cut_ring(grey, face, metal, circle, known)
    return _arcs_on(strip, cut_blocks(strip), face.blur_px / face.scale_px_per_mm)


def _arcs_on(strip: ArcStrip, blocks: ArcBlocks, blur_mm: float) -> tuple[ArcMark, ...]:
    """Report every run of blocks that holds an arc."""
    evidence = evidence_of(blocks)
    enough = ENOUGH + STANDS_OUT * evidence_beside(blocks)
    arcs: list[ArcMark] = []
    while True:
        run = best_run(evidence)
        if run.evidence < enough:
            return tuple(arcs)
        which = blocks_of(run, len(evidence))
        evidence[which] = TAKEN
        arc = _describe(strip, blocks, run, blur_mm)
        if arc is not None:
            arcs.append(arc)


def _describe(strip: ArcStrip, blocks: ArcBlocks, run: Run, blur_mm: float) -> ArcMark | None:
    """Put one run of blocks into numbers; None when it is no arc."""
    if 360.0 * (1 - run.count / len(blocks.share)) > GAP_DEG:
        run = trim(run, blocks, strip.v_mm)
    which = blocks_of(run, len(blocks.share))
    try:
        fit = fit_blocks(strip, blocks, which, CORE_MM)
    except ValueError:
        return None
    opened = blocks.share[which] > HALF
    clear = blocks.clear[which][opened] > SEEN
    seen = float(clear.mean()) if opened.any() else 0.0
    sweep = 360.0 * run.count / len(blocks.share)
    if sweep > 360.0 - GAP_DEG:
        sweep = 360.0
    if not _is_an_arc(fit, sweep, seen, clear):
        return None
    start = np.degrees(blocks.angle_rad[run.first]) - 180.0 / len(blocks.share)
    look = describe_look(blocks.profiles[which][opened], strip.v_mm, blur_mm)
    return ArcMark(
        centre_mm=fit.centre_mm,
        radius_mm=fit.radius_mm,
        start_deg=float(start) if sweep < 360.0 else 0.0,  # noqa: PLR2004 - a full turn
        sweep_deg=sweep,
        covariance=fit.covariance + look_covariance(blocks.angle_rad[which], look.width_mm),
        u_optics_mm=look.u_optics_mm,
        width_mm=look.width_mm,
        look=look.word,
        seen=seen,
    )


def _is_an_arc(fit: CircleFit, sweep_deg: float, seen: float, clear: NDArray[np.bool_]) -> bool:
    length = np.radians(sweep_deg) * fit.radius_mm
    bow = fit.radius_mm * (1 - np.cos(np.radians(min(sweep_deg, 360.0) / 2)))
    rough = float(np.sqrt(np.median(fit.residuals_mm**2))) * 1.4826
    return bool(
        seen > LEAST_SEEN
        and clear.sum() * BLOCK_MM > SHORTEST_MM
        and length > SHORTEST_MM
        and bow > LEAST_BOW_MM
        and rough < ROUGHEST_MM
    )


def _same(arc: ArcMark, old: ArcMark) -> bool:
    """Tell whether two arcs are one: along each other over most of the shorter."""
    points = points_on(arc, 24)
    return bool(np.mean(on_arc(old, points, SAME_ARC_MM)) > 0.5)  # noqa: PLR2004 - most
