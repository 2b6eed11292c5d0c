"""Where marks should meet: how far lines run past a corner, a prick lies off, three marks miss."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.crossings import crossings, passes
from scribegauge.figure.fit import FigureFit
from scribegauge.figure.lines import directions, normals
from scribegauge.marks.record import ArcMark, LineMark, PrickMark

# Marks that pass a point within this were meant to meet there: twice the slip that spoils a layout
# (0.25 mm, common practice, no source).
MEANT_MM = 0.5
FEWEST_MARKS = 3
COVERAGE = 2.0

Point = NDArray[np.float64]
Mark = LineMark | ArcMark | PrickMark


@dataclass(frozen=True, slots=True)
class Corner:
    """How the two lines of a corner end there, and where its prick lies.

    Attributes
    ----------
    vertex : int
    past_mm, U_past_mm : (float or None, float or None)
        How far the line of the side before and of the side after is seen past the corner; negative
        where it is not seen up to it. None where nobody judged the line.
    prick_mm, U_prick_mm : ndarray, shape (2, 2), float64, or None
        For the line before and the line after: where the prick lies along it from the corner, and
        across it; with U.
    """

    vertex: int
    past_mm: tuple[float | None, float | None]
    U_past_mm: tuple[float | None, float | None]
    prick_mm: Point | None
    U_prick_mm: Point | None


@dataclass(frozen=True, slots=True)
class Meeting:
    """Three or more marks that should meet in one point.

    Attributes
    ----------
    place_mm : ndarray, shape (2,), float64
        The point nearest to all of them (least squares).
    members : tuple of int
        Which marks, in the order in which they were given.
    misses_mm : tuple of float
        How far each passes from the point.
    miss_mm, U_miss_mm : float
        The largest of these, and its expanded uncertainty.
    """

    place_mm: Point
    members: tuple[int, ...]
    misses_mm: tuple[float, ...]
    miss_mm: float
    U_miss_mm: float


def judge_corners(fit: FigureFit) -> tuple[Corner, ...]:
    """Judge every corner of a figure whose two lines were found."""
    return tuple(
        _corner(fit, vertex)
        for vertex in range(len(fit.corners_mm))
        if np.isfinite(fit.corners_mm[vertex]).all()
    )


def _corner(fit: FigureFit, vertex: int) -> Corner:
    place = fit.corners_mm[vertex]
    pairs = [_turned(fit, side) for side in ((vertex - 1) % len(fit.corners_mm), vertex)]
    past: list[float | None] = []
    expanded: list[float | None] = []
    for (line, ends, backwards), end, sign in zip(pairs, (1, 0), (1.0, -1.0), strict=True):
        known = line.worth is not None
        past.append(sign * float((ends[end] - place) @ directions(ends)) if known else None)
        expanded.append(line.worth.U_ends_mm[end ^ backwards] if line.worth else None)
    prick = fit.pricks[vertex]
    rows = [] if prick is None else [_off(prick, place, line, ends) for line, ends, _ in pairs]
    places = np.array([row[0] for row in rows]) if rows else None
    sizes = np.array([row[1] for row in rows]) if rows else None
    return Corner(vertex, (past[0], past[1]), (expanded[0], expanded[1]), places, sizes)


def _turned(fit: FigureFit, side: int) -> tuple[LineMark, Point, bool]:
    """Return a side's line, its own ends turned the way the figure goes, and whether they were not."""
    line = fit.merged.lines[side]
    if line is None:
        msg = f"side {side} has no line"
        raise ValueError(msg)
    backwards = bool(directions(line.ends_mm) @ directions(fit.lines_mm[side]) < 0)
    return line, line.ends_mm[::-1] if backwards else line.ends_mm, backwards


def _off(prick: PrickMark, place: Point, line: LineMark, ends: Point) -> tuple[Point, Point]:
    """Return where a prick lies along a line from a corner and across it, and U of both."""
    away = prick.centre_mm - place
    off = np.array([away @ directions(ends), away @ normals(ends)])
    across = float(np.hypot(prick.u_mm, np.sqrt(variance_mm2(line, prick.centre_mm))))
    return off, COVERAGE * np.array([prick.u_mm, across])


def variance_mm2(mark: Mark, place_mm: Point) -> float:
    """Return the variance of a mark's own place, across it, beside a point [mm²].

    What moves all marks alike (lens, scale, height) is left out: it does not make them miss.
    """
    if isinstance(mark, PrickMark):
        return mark.u_mm**2
    if isinstance(mark, ArcMark):
        away = place_mm - mark.centre_mm
        slope = np.append(away / np.hypot(*away), 1.0)
        return float(slope @ mark.covariance @ slope) + mark.u_optics_mm**2
    half = float(np.hypot(*(mark.ends_mm[1] - mark.ends_mm[0]))) / 2
    along = float((place_mm - mark.ends_mm.mean(axis=0)) @ directions(mark.ends_mm))
    slope = np.array([1.0, along])
    optics = mark.u_optics_mm**2 + (mark.u_optics_turn_mm * along / half) ** 2
    return float(slope @ mark.covariance @ slope) + optics


def find_meetings(marks: Sequence[Mark]) -> tuple[Meeting, ...]:
    """Find every point where three or more marks should meet.

    Parameters
    ----------
    marks : sequence of LineMark, ArcMark or PrickMark
        Each stroke once.

    Returns
    -------
    tuple of Meeting
        No mark set twice; those of most marks first.
    """
    found: dict[tuple[int, ...], Meeting] = {}
    for place in _candidates(marks):
        members = tuple(k for k, mark in enumerate(marks) if passes(mark, place, MEANT_MM))
        if len(members) >= FEWEST_MARKS and members not in found:
            meeting = _meet(marks, members, place)
            if meeting is not None:
                found[members] = meeting
    ordered = sorted(found.values(), key=lambda each: (-len(each.members), each.miss_mm))
    kept: list[Meeting] = []
    for meeting in ordered:
        if not any(np.hypot(*(meeting.place_mm - old.place_mm)) < 2 * MEANT_MM for old in kept):
            kept.append(meeting)
    return tuple(kept)


def _candidates(marks: Sequence[Mark]) -> Iterator[Point]:
    for mark in marks:
        if isinstance(mark, PrickMark):
            yield mark.centre_mm
    strokes = [mark for mark in marks if not isinstance(mark, PrickMark)]
    for first, second in combinations(strokes, 2):
        yield from crossings(first, second)


def _meet(marks: Sequence[Mark], members: tuple[int, ...], place: Point) -> Meeting | None:
    """Find the point nearest to some marks; None where they do not fix one or do not meet there."""
    for _ in range(3):  # an arc is straight over half a millimetre but for its bow
        rows = [_rows(marks[k], place) for k in members]
        slopes = np.vstack([row[0] for row in rows])
        gaps = np.concatenate([row[1] for row in rows])
        if np.linalg.cond(slopes) > 1 / np.sin(np.radians(5.0)):
            return None
        place = place + np.linalg.lstsq(slopes, gaps, rcond=None)[0]
    rest = np.eye(len(gaps)) - slopes @ np.linalg.pinv(slopes)
    left = rest @ gaps
    owner = np.concatenate([np.full(len(row[1]), n) for n, row in enumerate(rows)])
    variance = np.array([variance_mm2(marks[members[n]], place) for n in owner])
    spread = rest @ np.diag(variance) @ rest.T
    sizes = [float(np.linalg.norm(left[owner == n])) for n in range(len(members))]
    worst = int(np.argmax(sizes))
    if sizes[worst] > MEANT_MM:
        return None
    at = owner == worst
    u_miss = float(np.sqrt(max(np.linalg.eigvalsh(spread[np.ix_(at, at)])[-1], 0.0)))
    return Meeting(place, members, tuple(sizes), sizes[worst], COVERAGE * u_miss)


def _rows(mark: Mark, place: Point) -> tuple[Point, Point]:
    """Return unit vectors (k, 2) across a mark and the way (k,) to it from a place."""
    if isinstance(mark, PrickMark):
        return np.eye(2), mark.centre_mm - place
    if isinstance(mark, ArcMark):
        away = place - mark.centre_mm
        distance = float(np.hypot(*away))
        return (away / distance)[None], np.array([mark.radius_mm - distance])
    across = normals(mark.ends_mm)
    return across[None], np.array([(mark.ends_mm[0] - place) @ across])
