"""One line from the same side seen in several photos, joined in the plate's frame."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.lift import Lift
from scribegauge.figure.lines import directions
from scribegauge.marks.record import LineMark


@dataclass(frozen=True, slots=True)
class Merged:
    """Side lines from P photos and what each photo gave to them.

    Attributes
    ----------
    lines : tuple of LineMark or None, length n
        The joined line of each side.
    anchors_mm : ndarray, shape (P, n, 2, 2), float64
        Each photo's own line at the joined line's ends; NaN where that photo shows none.
    weights : ndarray, shape (P, n, 2), float64
        Of each photo in the joined line's place and in its direction; each adds up to 1 where any
        photo shows the line.
    lift : Lift or None
        How lines and face follow from all photos together; None where there is one photo, or none
        of them was told where it stood.
    """

    lines: tuple[LineMark | None, ...]
    anchors_mm: NDArray[np.float64]
    weights: NDArray[np.float64]
    lift: Lift | None = None


def merge_lines(seen: Sequence[Sequence[LineMark | None]]) -> Merged:
    """Join each side's lines by their weights.

    The seen line's distance from the groove's middle depends on the light, so photos are taken as
    independent here; what they share, and whether they agree, is settled with all lines together
    (`scribegauge.figure.several`).

    Parameters
    ----------
    seen : P sequences of n lines or None
    """
    photos, sides = len(seen), len(seen[0])
    anchors = np.full((photos, sides, 2, 2), np.nan)
    weights = np.zeros((photos, sides, 2))
    lines: list[LineMark | None] = []
    for side in range(sides):
        there = [k for k in range(photos) if seen[k][side] is not None]
        marks = [mark for k in there if (mark := seen[k][side]) is not None]
        if not marks:
            lines.append(None)
            continue
        line, share, ends = _join(marks)
        lines.append(line)
        weights[there, side] = share
        anchors[there, side] = ends
    return Merged(tuple(lines), anchors, weights)


def join_ends(anchors_mm: NDArray[np.float64], weights: NDArray[np.float64]) -> NDArray[np.float64]:
    """Join lines (K, ..., 2, 2) by weights (K, ..., 2) of place and direction to (..., 2, 2).

    The middle of the joined line is the weighted mean of the middles, its half length that of the
    half lengths.
    """
    middle = anchors_mm.mean(axis=-2)
    half = (anchors_mm[..., 1, :] - anchors_mm[..., 0, :]) / 2
    place = (middle * weights[..., :1]).sum(axis=0)
    reach = (half * weights[..., 1:]).sum(axis=0)
    return np.stack([place - reach, place + reach], axis=-2)


def _join(marks: list[LineMark]) -> tuple[LineMark, NDArray[np.float64], NDArray[np.float64]]:
    """Return the joined line, weights (K, 2) and each line at the joined ends (K, 2, 2)."""
    if len(marks) == 1:
        return marks[0], np.ones((1, 2)), marks[0].ends_mm[None]
    lengths = np.array([np.hypot(*(mark.ends_mm[1] - mark.ends_mm[0])) for mark in marks])
    optics = np.array([[mark.u_optics_mm, mark.u_optics_turn_mm] for mark in marks]) ** 2
    fits = np.array([np.diag(mark.covariance) for mark in marks]) * [
        [1.0, h] for h in lengths**2 / 4
    ]
    variances = optics + fits
    weights = (1 / variances) / (1 / variances).sum(axis=0)
    best = marks[int(np.argmax(weights[:, 0]))]
    along, origin = directions(best.ends_mm), best.ends_mm[0]
    reach = np.concatenate([(mark.ends_mm - origin) @ along for mark in marks])
    ends = np.stack([_at(mark.ends_mm, origin, along, reach) for mark in marks])
    joined = join_ends(ends, weights)
    share = (weights**2)[:, :, None] * np.stack([optics, fits], axis=-1)
    place, turn = share.sum(axis=0)  # each: from optics, from the fits
    half = float(np.hypot(*(joined[1] - joined[0]))) / 2
    line = replace(
        best,
        ends_mm=joined,
        covariance=np.diag([place[1], turn[1] / half**2]),
        u_optics_mm=float(np.sqrt(place[0])),
        u_optics_turn_mm=float(np.sqrt(turn[0])),
        width_mm=float(weights[:, 0] @ np.array([mark.width_mm for mark in marks])),
        seen=max(mark.seen for mark in marks),
        log10_nfa=float(sum(mark.log10_nfa for mark in marks)),
        hinted=any(mark.hinted for mark in marks),
    )
    return line, weights, ends


def _at(
    ends_mm: NDArray[np.float64],
    origin: NDArray[np.float64],
    along: NDArray[np.float64],
    reach: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return a line's points (2, 2) at the smallest and largest reach along a direction."""
    step = directions(ends_mm)
    wanted = np.array([reach.min(), reach.max()])
    distance = (wanted - (ends_mm[0] - origin) @ along) / (step @ along)
    return np.asarray(ends_mm[0] + distance[:, None] * step)
