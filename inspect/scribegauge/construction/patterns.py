"""What a step's own error looks like to somebody who watched the hand.

A pattern is named where its size exceeds its own U; which step is named at all is decided before,
in `replay`.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.openings import shown_mm
from scribegauge.construction.record import (
    DrawCircle,
    DrawLine,
    GivenPoint,
    SetDividers,
    Step,
    StepOff,
)
from scribegauge.construction.replay import OwnError, Replay
from scribegauge.construction.significance import radius_of

Matrix = NDArray[np.float64]

# Chords from which a trend can be told from a single bad one.
_FEWEST_CHORDS = 4
# Standard deviations beyond which a trend is one: 1 in 400 rows of steps shows it by chance.
_TREND = 3.0


@dataclass(frozen=True, slots=True)
class Finding:
    """One pattern.

    Attributes
    ----------
    kind : str
        ``opening_set`` (long is positive), ``centre_off``, ``circle_wide``, ``line_turned`` (off at
        one of its two points only), ``line_aside`` (off at both), ``point_off``, ``spacing`` (the
        second given point too far from the first is positive), ``stepped_far`` (too far is
        positive), ``opening_crept`` (grew from the first step to the last is positive).
    mark : str
        The mark that the step made.
    number : int
        The step's number.
    at : tuple of str
        The point that a line misses or the dividers stood off, or what shows the opening.
    size_mm, expanded_mm : float
        And its U (k = 2).
    """

    kind: str
    mark: str
    number: int
    at: tuple[str, ...]
    size_mm: float
    expanded_mm: float


def finding_of(replayed: Replay, own: OwnError) -> Finding:
    """Say what one step's own error looks like.

    Parameters
    ----------
    replayed : Replay
    own : OwnError
        One of its seen steps.
    """
    step = next(step for step in replayed.plan.steps if step.mark == own.mark)
    match step:
        case SetDividers():
            users = tuple(shown_mm(replayed.plan, replayed.seen.places)[own.mark])
            return _finding("opening_set", step, users, own.own[0], _deviation(own, 0))
        case DrawCircle():
            return _circle(step, own)
        case DrawLine():
            return _line(step, own)
        case StepOff():
            return _stepped(replayed, step, own)
        case GivenPoint():
            return _given(replayed, step, own)
    return _finding("point_off", step, (), own.size_mm, own.expanded_mm / 2)


def creeping(replayed: Replay) -> tuple[Finding, ...]:
    """Find openings that crept while they were stepped round.

    Parameters
    ----------
    replayed : Replay
    """
    rows = groupby(
        (step for step in replayed.plan.steps if isinstance(step, StepOff)),
        key=lambda step: step.number,
    )
    found = (_trend(replayed, list(steps)) for _, steps in rows)
    return tuple(finding for finding in found if finding is not None)


def closing_gap_mm(replayed: Replay) -> float | None:
    """Return by how much the last chord of a stepped figure is longer than the others [mm].

    None when the figure is not stepped, or its first or last point is not seen.
    """
    plan, places = replayed.plan, replayed.seen.places
    last = next((s for s in plan.steps if plan.vertices and s.mark == plan.vertices[-1]), None)
    if not isinstance(last, StepOff):
        return None
    lengths = list(shown_mm(plan, places)[last.opening].values())
    first, end = places.get(plan.vertices[0]), places.get(last.mark)
    if not isinstance(first, complex) or not isinstance(end, complex) or not lengths:
        return None
    return abs(first - end) - float(np.mean(lengths))


def _trend(replayed: Replay, steps: list[StepOff]) -> Finding | None:
    """Fit a straight line through the chords' own errors; return it where it rises for sure."""
    places = replayed.seen.places
    seen = [step for step in steps if step.mark in places and step.start in places]
    if len(seen) < _FEWEST_CHORDS:
        return None
    pick = np.zeros((len(seen), len(replayed.covariance)))
    for row, step in enumerate(seen):
        pick[row, replayed.part(step.mark)] = _along(replayed, step)
    own = np.concatenate([step.own for step in replayed.steps])
    index = np.arange(len(seen), dtype=np.float64) - (len(seen) - 1) / 2
    slope = index / (index @ index) @ pick
    size = float(slope @ own) * (len(seen) - 1)
    deviation = float(np.sqrt(slope @ replayed.covariance @ slope)) * (len(seen) - 1)
    if deviation == 0 or abs(size) < _TREND * deviation:
        return None
    marks = tuple(step.mark for step in seen)
    return _finding("opening_crept", seen[0], marks, size, deviation)


def _finding(
    kind: str, step: Step, at: tuple[str, ...], size_mm: float, deviation_mm: float
) -> Finding:
    return Finding(kind, step.mark, step.number, at, float(size_mm), 2 * deviation_mm)


def _deviation(own: OwnError, *axis: int) -> float:
    return float(np.sqrt(np.trace(own.covariance[np.ix_(axis, axis)])))


def _circle(step: DrawCircle, own: OwnError) -> Finding:
    """Tell a centre that wandered from a radius that is off, whichever stands out more."""
    off, spread = np.array(own.own[:2]), own.covariance[:2, :2]
    size = float(np.linalg.norm(off))
    reach = float(np.sqrt(off @ np.linalg.pinv(spread) @ off)) / radius_of(2)
    wide = _deviation(own, 2)
    # A circle that alone shows its opening has no radius of its own.
    if wide == 0 or reach >= abs(own.own[2]) / (2 * wide):
        along = off / size
        deviation = float(np.sqrt(along @ spread @ along))
        return _finding("centre_off", step, (step.about,), size, deviation)
    return _finding("circle_wide", step, (step.about,), own.own[2], wide)


def _line(step: DrawLine, own: OwnError) -> Finding:
    """Tell a rule turned about one of its points from one laid aside of both."""
    ratios = [abs(own.own[k]) / (2 * _deviation(own, k)) for k in (0, 1)]
    worse = int(np.argmax(ratios))
    deviation = _deviation(own, worse)
    if min(ratios) < 1:  # the other end lies on its point as far as can be seen
        return _finding("line_turned", step, (step.through[worse],), own.own[worse], deviation)
    return _finding("line_aside", step, step.through, own.own[worse], deviation)


def _along(replayed: Replay, step: StepOff) -> Matrix:
    places = replayed.seen.places
    way = complex(places[step.mark]) - complex(places[step.start])  # type: ignore[arg-type]
    return np.array([way.real, way.imag]) / abs(way)


def _stepped(replayed: Replay, step: StepOff, own: OwnError) -> Finding:
    """Tell a step too long or short from a prick beside the circle."""
    if step.start in replayed.seen.places:
        along = _along(replayed, step)
        size, deviation = float(along @ own.own), float(np.sqrt(along @ own.covariance @ along))
        if abs(size) > 2 * deviation:
            return _finding("stepped_far", step, (step.start,), size, deviation)
    return _finding("point_off", step, (), own.size_mm, own.expanded_mm / 2)


def _given(replayed: Replay, step: GivenPoint, own: OwnError) -> Finding:
    """Tell how far the second given point is too far from the first."""
    given = [s for s in replayed.plan.steps if isinstance(s, GivenPoint)]
    seen = [s for s in given if s.mark in replayed.seen.places]
    if len(seen) > 1 and seen[1].mark == step.mark:
        way = replayed.frame.turn * (step.at_mm - seen[0].at_mm)
        along = np.array([way.real, way.imag]) / abs(way)
        size = float(along @ own.own)
        return _finding("spacing", step, (seen[0].mark,), size, own.expanded_mm / 2)
    return _finding("point_off", step, (), own.size_mm, own.expanded_mm / 2)


def findings_of(replayed: Replay) -> Iterator[Finding]:
    """Yield a finding for every step that is named, in order, and then openings that crept."""
    for own in replayed.steps:
        if own.named:
            yield finding_of(replayed, own)
    yield from creeping(replayed)
