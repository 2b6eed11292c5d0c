"""One line from the same side seen in several photos, joined in the plate's frame."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.lines import directions, normals
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
    weights : ndarray, shape (P, n), float64
        Of each photo in each joined line; they add up to 1 where any shows it.
    """

    lines: tuple[LineMark | None, ...]
    anchors_mm: NDArray[np.float64]
    weights: NDArray[np.float64]


def merge_lines(seen: Sequence[Sequence[LineMark | None]]) -> Merged:
    """Join each side's lines by their weights.

    The seen line's distance from the groove's middle depends on the light, so photos with the lamp
    elsewhere are taken as independent; where they differ by more than that explains, the joined
    uncertainty grows with the difference (Birge ratio).

    Parameters
    ----------
    seen : P sequences of n lines or None
    """
    photos, sides = len(seen), len(seen[0])
    anchors = np.full((photos, sides, 2, 2), np.nan)
    weights = np.zeros((photos, sides))
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


def _join(marks: list[LineMark]) -> tuple[LineMark, NDArray[np.float64], NDArray[np.float64]]:
    """Return the joined line, the weights (K,) and each line at the joined ends (K, 2, 2)."""
    variances = np.array([mark.u_optics_mm**2 + mark.covariance[0, 0] for mark in marks])
    weights = (1 / variances) / (1 / variances).sum()
    best = marks[int(np.argmax(weights))]
    if len(marks) == 1:
        return best, weights, best.ends_mm[None]
    along = directions(best.ends_mm)
    origin = best.ends_mm[0]
    reach = np.concatenate([(mark.ends_mm - origin) @ along for mark in marks])
    ends = np.stack([_at(mark.ends_mm, origin, along, reach) for mark in marks])
    joined = np.tensordot(weights, ends, axes=1)
    off = (ends.mean(axis=1) - joined.mean(axis=0)) @ normals(joined)
    excess = max(1.0, float((off**2 / variances).sum()) / (len(marks) - 1))
    shrink = excess / (1 / variances).sum() / variances[int(np.argmax(weights))]
    turns = np.array([mark.u_optics_turn_mm for mark in marks])
    line = replace(
        best,
        ends_mm=joined,
        covariance=best.covariance * shrink,
        u_optics_mm=float(best.u_optics_mm * np.sqrt(shrink)),
        u_optics_turn_mm=float(np.sqrt(weights**2 @ turns**2)),
        width_mm=float(weights @ np.array([mark.width_mm for mark in marks])),
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
