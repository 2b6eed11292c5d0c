"""How well an arc was drawn: out of round, ends that miss each other, a centre that moved.

A circle turns all its sides to the lamp, so what is seen of its groove moves from wall to wall round
it. Each figure is therefore told together with what noise and such light do to a perfect circle.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.arclook import LOOK_RAD
from scribegauge.marks.arcstrip import cut_ring
from scribegauge.marks.arctrace import HALF, SEEN, WIDE_MM, cut_blocks, fit_blocks
from scribegauge.marks.lineworth import lagged
from scribegauge.marks.markpath import Mark
from scribegauge.marks.metal import Metal
from scribegauge.marks.record import ArcMark, ArcWorth
from scribegauge.plate.face import Face

FULL_DEG = 360.0
# Circles drawn by chance, and the share of them that a figure must exceed to be the hand's.
DRAWN, RARE_PERCENT = 300, 99.0
FARTHEST_MM = 0.15
FEWEST_BLOCKS = 8
# A full circle is judged by its halves and closing when no more of it than this is hidden.
LEAST_SHOWN = 0.7

Rows = NDArray[np.float64]


def judge_arc(
    grey: NDArray[np.uint8], face: Face, metal: Metal, arc: ArcMark, known: tuple[Mark, ...]
) -> ArcMark:
    """Return an arc with its worth; as it is where too little of it is seen.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    arc : ArcMark
    known : tuple of LineMark or ArcMark
        Other marks, cut out where they cross it.
    """
    strip = cut_ring(grey, face, metal, (arc.centre_mm, arc.radius_mm), known)
    blocks = cut_blocks(strip)
    turn = np.mod(np.degrees(blocks.angle_rad) - arc.start_deg, FULL_DEG)
    which = np.argsort(turn)[: np.count_nonzero(turn < arc.sweep_deg)]
    try:
        fit = fit_blocks(strip, blocks, which, WIDE_MM)
    except ValueError:
        return arc
    good = (blocks.clear[which] > SEEN) & (blocks.share[which] > HALF)
    if np.count_nonzero(good) < FEWEST_BLOCKS:
        return arc
    off = np.clip(fit.residuals_mm, -FARTHEST_MM, FARTHEST_MM)
    angle = blocks.angle_rad[which]
    return replace(arc, worth=worth_of(angle, off, good, arc.u_optics_mm))


def worth_of(
    angle_rad: Rows, off_mm: Rows, good: NDArray[np.bool_], u_optics_mm: float
) -> ArcWorth:
    """Judge an arc by its blocks' distances from the fitted circle.

    Parameters
    ----------
    angle_rad, off_mm : ndarray, shape (B,), float64
        In order along the arc; outwards positive.
    good : ndarray, shape (B,), bool
        Blocks that show the arc.
    u_optics_mm : float
        Standard uncertainty of what is seen from the groove's middle, for one look.
    """
    noise = float(np.std(np.diff(off_mm[good]))) / np.sqrt(2)
    chance = _by_chance(angle_rad, good, noise, u_optics_mm)
    sweep = float(np.ptp(np.unwrap(angle_rad)))
    full = sweep > np.radians(FULL_DEG - 20.0) and float(np.mean(good)) > LEAST_SHOWN
    closing = _Closing(angle_rad[good]) if full else None
    halves = _Halves(angle_rad[good]) if full else None
    return ArcWorth(
        roundness_mm=lagged(off_mm, good)[0],
        U_roundness_mm=_rare([lagged(row, good)[0] for row in chance]),
        mismatch_mm=None if closing is None else closing.of(off_mm[good]),
        U_mismatch_mm=None if closing is None else _rare([closing.of(r[good]) for r in chance]),
        centre_wander_mm=None if halves is None else halves.of(off_mm[good]),
        U_centre_wander_mm=None if halves is None else _rare([halves.of(r[good]) for r in chance]),
    )


def _rare(sizes: list[float]) -> float:
    return float(np.percentile(sizes, RARE_PERCENT))


def _by_chance(
    angle_rad: Rows, good: NDArray[np.bool_], noise_mm: float, u_optics_mm: float
) -> Rows:
    """Return what a perfect circle's blocks would show (DRAWN, B), fitted circle taken off.

    A look lasts an eighth of a turn (`arclook`), and each shows the groove off its middle in its own
    way.
    """
    rng = np.random.default_rng(len(angle_rad))
    start = rng.uniform(0, 2 * np.pi, (DRAWN, 1))
    look = np.floor(np.mod(angle_rad + start, 2 * np.pi) / LOOK_RAD).astype(int)
    offsets = rng.normal(0, u_optics_mm, (DRAWN, look.max() + 1))
    rows = np.take_along_axis(offsets, look, axis=1)
    rows = rows + rng.normal(0, noise_mm, rows.shape)
    design = _circle(angle_rad)
    solution, *_ = np.linalg.lstsq(design[good], rows[:, good].T, rcond=None)
    return np.asarray(rows - (design @ solution).T)


def _circle(angle_rad: Rows) -> Rows:
    """Return how distances change with centre x, centre y and radius (B, 3)."""
    return np.column_stack([np.cos(angle_rad), np.sin(angle_rad), np.ones_like(angle_rad)])


class _Closing:
    """How far a circle's end misses its start, wherever round it that is."""

    def __init__(self, angle_rad: Rows) -> None:
        # Between any two blocks.
        places = (angle_rad + np.roll(np.unwrap(angle_rad), 1)) / 2
        places[0] = angle_rad[0] - (angle_rad[1] - angle_rad[0]) / 2
        turn = np.mod(angle_rad[None] - places[:, None], 2 * np.pi)
        ramps = turn / (2 * np.pi) - 0.5
        design = _circle(angle_rad)
        away, *_ = np.linalg.lstsq(design, ramps.T, rcond=None)
        self._rest = ramps - (design @ away).T
        self._power = np.maximum((self._rest**2).sum(axis=1), 1e-12)

    def of(self, off_mm: Rows) -> float:
        """Return the step that explains the distances best [mm]."""
        along = self._rest @ off_mm
        best = int(np.argmax(along**2 / self._power))
        return float(abs(along[best]) / self._power[best])


class _Halves:
    """How far the centres of a circle's two halves lie apart, radius held."""

    def __init__(self, angle_rad: Rows) -> None:
        self._angle = angle_rad
        self._half = np.arange(len(angle_rad)) < len(angle_rad) // 2

    def of(self, off_mm: Rows) -> float:
        """Return the distance of the two centres [mm]."""
        centres = []
        for part in (self._half, ~self._half):
            design = _circle(self._angle[part])[:, :2]
            centres.append(np.linalg.lstsq(design, off_mm[part], rcond=None)[0])
        return float(np.hypot(*(centres[0] - centres[1])))
