"""A hand that scribes a figure, with small errors of every kind."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.scene import Point, Prick, Profile, ScribedLine

Array = NDArray[np.float64]

_SHALLOW = 0.14  # slope of a stray scratch, which is drawn by dust and not by a point


@dataclass(frozen=True, slots=True)
class Hand:
    """How somebody scribes; spreads are standard deviations.

    Attributes
    ----------
    corner_mm : float
        Spread of each pricked corner about its intended place, per axis.
    rule_mm : float
        Spread of a line's two ends about the pricks that it was drawn through.
    width_mm : float
        Mean groove width; strokes vary by a sixth of it.
    slope : float
        Mean slope of the grooves' walls, as a tangent; strokes vary by a fifth of it, and so do
        the two walls of one.
    overshoot_mm : two floats
        Least and greatest length that a stroke runs past a corner.
    faded, doubled, broken : float
        Share of sides that fade out, were scribed twice, or have a gap.
    prick_mm : float
        Mean prick diameter; 0 for none.
    strays : int
        Number of stray scratches.
    """

    corner_mm: float = 0.06
    rule_mm: float = 0.02
    width_mm: float = 0.07
    slope: float = 0.75
    overshoot_mm: tuple[float, float] = (0.8, 2.5)
    faded: float = 0.0
    doubled: float = 0.0
    broken: float = 0.0
    prick_mm: float = 0.24
    strays: int = 6


def prick_corners(vertices_mm: Array, hand: Hand, rng: np.random.Generator) -> Array:
    """Return where the hand puts its pricks, shape (n, 2) [mm]."""
    return vertices_mm + rng.normal(0, hand.corner_mm, vertices_mm.shape)


def pits(centres_mm: Array, hand: Hand, rng: np.random.Generator) -> tuple[Prick, ...]:
    """Return the pricks as marks, named ``vertex i``; none for a hand that does not prick."""
    if hand.prick_mm == 0:
        return ()
    return tuple(
        Prick(
            role=f"vertex {number}",
            centre_mm=_point(centre),
            diameter_mm=float(hand.prick_mm * rng.uniform(0.75, 1.25)),
            slope=float(rng.uniform(0.7, 1.0)),
            burr=float(rng.uniform(0.1, 0.4)),
        )
        for number, centre in enumerate(centres_mm)
    )


def scribe_sides(
    pricked_mm: Array, hand: Hand, rng: np.random.Generator
) -> tuple[ScribedLine, ...]:
    """Scribe every side through two pricks, named ``side i``; second strokes are ``double i``."""
    lines: list[ScribedLine] = []
    for number, ends in enumerate(np.stack([pricked_mm, np.roll(pricked_mm, -1, axis=0)], axis=1)):
        lines.append(_stroke(f"side {number}", ends, hand, rng))
        if rng.random() < hand.doubled:
            apart = np.outer(rng.normal(0, 1.5 * hand.width_mm, 2), _across(ends))
            lines.append(_stroke(f"double {number}", ends + apart, hand, rng))
    return tuple(lines)


def stray_scratches(outline_mm: Array, count: int, rng: np.random.Generator) -> list[ScribedLine]:
    """Return thin shallow scratches anywhere on the plate, named ``stray i``."""
    low, high = outline_mm.min(axis=0), outline_mm.max(axis=0)
    scratches = []
    for number in range(count):
        start = rng.uniform(low, high)
        turn, length = rng.uniform(0, 2 * math.pi), rng.uniform(3, 18)
        end = start + length * np.array([math.cos(turn), math.sin(turn)])
        slope = _SHALLOW * rng.uniform(0.7, 1.4)
        profile = Profile(
            width_mm=float(rng.uniform(0.012, 0.035)),
            slope_left=slope,
            slope_right=slope,
            burr_right=0.0,
            wander_mm=0.03,
        )
        scratches.append(ScribedLine(f"stray {number}", _point(start), _point(end), profile))
    return scratches


def _stroke(role: str, ends_mm: Array, hand: Hand, rng: np.random.Generator) -> ScribedLine:
    off = np.outer(rng.normal(0, hand.rule_mm, 2), _across(ends_mm))
    start, end = ends_mm + off
    length = float(np.linalg.norm(end - start))
    past = rng.uniform(*hand.overshoot_mm, 2)[:, None] * (end - start) / length
    gap = rng.uniform(0.3, 0.7) * length
    broken, faded = rng.random() < hand.broken, rng.random() < hand.faded
    return ScribedLine(
        role=role,
        start_mm=_point(start - past[0]),
        end_mm=_point(end + past[1]),
        profile=_profile(hand, rng),
        fade=float(rng.uniform(0.5, 0.8)) if faded else 0.0,
        breaks_mm=((gap, gap + float(rng.uniform(1, 3))),) if broken else (),
    )


def _profile(hand: Hand, rng: np.random.Generator) -> Profile:
    """Hold the scriber aslant: the walls differ, and the burr is thrown up on one side."""
    lean = hand.slope * rng.normal(0, 0.2)
    slope = hand.slope * rng.uniform(0.8, 1.2)
    burr = hand.slope * rng.uniform(0.1, 0.6)
    return Profile(
        width_mm=float(hand.width_mm * np.clip(1 + rng.normal(0, 1 / 6), 0.6, 1.4)),
        slope_left=float(slope + lean),
        slope_right=float(slope - lean),
        burr_left=float(burr * (lean > 0)),
        burr_right=float(burr * (lean <= 0)),
    )


def _across(ends_mm: Array) -> Array:
    way = ends_mm[1] - ends_mm[0]
    across: Array = np.array([-way[1], way[0]]) / np.linalg.norm(way)
    return across


def _point(place: Array) -> Point:
    return float(place[0]), float(place[1])
