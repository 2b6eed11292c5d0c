"""A construction as one photo shows it: its marks measured, with their covariance together.

Where the construction was begun is told last by the replay: of the ways that are left the one is
taken under which the steps need the smallest errors of their own.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.choice import Chosen
from scribegauge.construction.errors import StepError
from scribegauge.construction.matching import (
    LITTLE_WORSE,
    SAME_WAY_MM,
    Found,
    Laid,
    method_on_plate,
    ways_to_lay,
)
from scribegauge.construction.picking import Picker
from scribegauge.construction.replay import Replay, replay
from scribegauge.construction.seen import Seen
from scribegauge.construction.values import Circle, Line
from scribegauge.figure.fit import FigureFit, corners_of
from scribegauge.figure.lines import moved, offsets
from scribegauge.marks.record import LineMark, Marks
from scribegauge.plate.face import Face
from scribegauge.uncertainty.allmarks import AllMarks, lines_by_themselves, marks_covariance
from scribegauge.uncertainty.lines import line_covariances

Matrix = NDArray[np.float64]

# A line this close to a side along all its length is a stroke of that side.
SAME_LINE_MM = 0.3
# Where no prick is seen a vertex is taken where its two sides meet; so near does a careful hand
# lay a rule to a prick (common practice, no source).
RULE_MM = 0.05
_STEP_MM = 1e-4


@dataclass(frozen=True, slots=True)
class Observed:
    """What the plate shows of a construction.

    Attributes
    ----------
    laid : Laid
    seen : Seen
        In the frame of `laid`.
    by_lines : tuple of str
        Vertices without a prick, taken where their sides meet.
    corner_covariance : ndarray, shape (2n, 2n), float64
        Of the layout's corners, plate frame [mm²]; NaN where one was not found.
    replayed : Replay or None
        None where these marks do not let the construction be done; `obstacle` says why.
    obstacle : str
    rival : Laid or None
        Another way to begin under which the steps need errors little larger.
    reverse : Laid or None
        The same for one under which every vertex has the same place: the figure is its own mirror
        image, and only the names of the steps' marks differ.
    """

    laid: Laid
    seen: Seen
    by_lines: tuple[str, ...]
    corner_covariance: Matrix
    replayed: Replay | None = None
    obstacle: str = ""
    rival: Laid | None = None
    reverse: Laid | None = None

    @property
    def effort(self) -> float:
        """Sum of squares of all own errors in standard deviations; infinite without a replay."""
        if self.replayed is None:
            return float("inf")
        return sum(step.deviations**2 for step in self.replayed.steps if step.dof)

    @property
    def chance(self) -> float:
        """What `effort` comes to on average when nobody makes an error but the measurement."""
        return float(sum(step.dof for step in self.replayed.steps)) if self.replayed else 0.0


def observe(chosen: Chosen, fit: FigureFit, marks: Marks, face: Face) -> Observed | None:
    """Find a construction's marks among those of a photo.

    Parameters
    ----------
    chosen : Chosen
    fit : FigureFit
    marks : Marks
        Of the first photo.
    face : Face
        Of the first photo.

    Returns
    -------
    Observed or None
        None where fewer than two corners were found.
    """
    others = _others(fit, marks)
    loose = tuple(p for p in marks.pricks if not any(p is taken for taken in fit.pricks))
    found = Found(
        vertices_mm=fit.corners_mm,
        circles=tuple(Circle(_complex(arc.centre_mm), arc.radius_mm) for arc in marks.arcs),
        lines=tuple(_line(mark.ends_mm) for mark in others),
        points=tuple(_complex(prick.centre_mm) for prick in loose),
    )
    ways = ways_to_lay(chosen, found)
    if not ways:
        return None
    sides = [k for k, line in enumerate(fit.merged.lines) if line is not None]
    lines_mm = np.concatenate([fit.lines_mm[sides], *([[m.ends_mm] for m in others])])
    every = AllMarks(
        pricks=(*(p for p in fit.pricks if p is not None), *loose),
        lines_mm=lines_mm,
        line_covariance=_line_covariance(fit, sides, others),
        arcs=marks.arcs,
    )
    measured = every, marks_covariance(every, face), sides
    seen = [_replayed(chosen, _assembled(chosen, fit, way, found, measured)) for way in ways]
    return _likeliest(chosen, seen)


def _replayed(chosen: Chosen, observed: Observed) -> Observed:
    """Replay the construction, or say why that cannot be done."""
    try:
        return replace(observed, replayed=replay(chosen.plan, observed.seen, observed.laid.frame))
    except StepError as error:
        return replace(observed, obstacle=error.at_step)
    except ValueError as error:  # a line across the place where it should run
        return replace(observed, obstacle=str(error))


def _likeliest(chosen: Chosen, ways: list[Observed]) -> Observed:
    """Return the way that needs the smallest errors, with those that need little larger ones."""
    best = min(ways, key=lambda way: way.effort)
    limit = LITTLE_WORSE**2 * max(best.effort, best.chance)
    here = method_on_plate(chosen, best.laid)

    def others(*, elsewhere: bool) -> Iterator[Observed]:
        for way in ways:
            off = float(np.abs(method_on_plate(chosen, way.laid) - here).max())
            if way is not best and way.effort < limit and (off > SAME_WAY_MM) == elsewhere:
                yield way

    rival = min(others(elsewhere=True), key=lambda way: way.effort, default=None)
    reverse = min(others(elsewhere=False), key=lambda way: way.effort, default=None)
    return replace(
        best,
        rival=None if rival is None else rival.laid,
        reverse=None if reverse is None else reverse.laid,
    )


def _assembled(
    chosen: Chosen,
    fit: FigureFit,
    laid: Laid,
    found: Found,
    measured: tuple[AllMarks, Matrix, list[int]],
) -> Observed:
    """Pick the construction's marks out of all that were measured."""
    every, covariance, sides = measured
    at_lines = 2 * len(every.pricks)
    corners = _corner_slopes(fit, sides, len(covariance), at_lines)
    picker = Picker(len(covariance), mirrored=laid.order.mirrored)
    by_lines = _take_vertices(picker, chosen, fit, laid, corners)
    pricked = sum(prick is not None for prick in fit.pricks)
    for mark, k in laid.points.items():
        picker.take(mark, found.points[k], 2 * (pricked + k))
    for mark, side in _sides(chosen, laid).items():
        if side in sides:
            picker.take(mark, _line(fit.lines_mm[side]), at_lines + 2 * sides.index(side))
    for mark, k in laid.lines.items():
        picker.take(mark, found.lines[k], at_lines + 2 * (len(sides) + k))
    at_arcs = at_lines + 2 * len(every.lines_mm)
    for mark, k in laid.circles.items():
        picker.take(mark, found.circles[k], at_arcs + 3 * k)
    spread = corners @ covariance @ corners.T
    return Observed(laid, picker.seen(covariance), by_lines, spread)


def _take_vertices(
    picker: Picker, chosen: Chosen, fit: FigureFit, laid: Laid, corners: Matrix
) -> tuple[str, ...]:
    """Take each vertex where its prick is, or where its sides meet; return those without prick."""
    pricked = [k for k, prick in enumerate(fit.pricks) if prick is not None]
    by_lines = []
    for mark, vertex in zip(chosen.plan.vertices, laid.order.layout_of, strict=True):
        prick = fit.pricks[vertex]
        if prick is not None:
            picker.take(mark, _complex(prick.centre_mm), 2 * pricked.index(vertex))
        elif np.isfinite(fit.corners_mm[vertex]).all():
            rows = corners[2 * vertex : 2 * vertex + 2]
            picker.take_rows(mark, _complex(fit.corners_mm[vertex]), rows, RULE_MM)
            by_lines.append(mark)
    return tuple(by_lines)


def _sides(chosen: Chosen, laid: Laid) -> dict[str, int]:
    """Return which of the layout's sides each of the construction's is."""
    order, n = laid.order.layout_of, len(laid.order.layout_of)
    found = {}
    for k, mark in enumerate(chosen.plan.sides):
        first, second = order[k], order[(k + 1) % n]
        found[mark] = first if (first + 1) % n == second else second
    return found


def _line_covariance(fit: FigureFit, sides: list[int], others: tuple[LineMark, ...]) -> Matrix:
    """Return the covariance of sides and other lines by themselves, offset and turn of each."""
    fits, optics = line_covariances(fit)
    pick = [2 * side + k for side in sides for k in (0, 1)]
    own = (fits + optics)[np.ix_(pick, pick)]
    more = lines_by_themselves(others)
    whole = np.zeros((len(own) + len(more),) * 2)
    whole[: len(own), : len(own)] = own
    whole[len(own) :, len(own) :] = more
    return whole


def _corner_slopes(fit: FigureFit, sides: list[int], size: int, at_lines: int) -> Matrix:
    """Return how the layout's corners (2n) follow from the ends of the side lines."""
    lines = fit.lines_mm
    corners = np.zeros((2 * len(lines), size))
    half = np.hypot(*(lines[:, 1] - lines[:, 0]).T) / 2
    for k, side in enumerate(sides):
        for end, turn in ((0, -1.0), (1, 1.0)):
            # One end aside and the other where it was: the middle half as far, and a turn.
            offset, angle = _STEP_MM / 2, turn * _STEP_MM / (2 * half[side])
            changed = lines.copy()
            changed[side] = moved(lines[side], np.asarray(offset), np.asarray(angle))
            step = corners_of(changed) - corners_of(lines)
            corners[:, at_lines + 2 * k + end] = step.ravel() / _STEP_MM
    return corners


def _others(fit: FigureFit, marks: Marks) -> tuple[LineMark, ...]:
    """Return the lines that are no stroke of a side."""
    known = [line.ends_mm for line in fit.merged.lines if line is not None]
    return tuple(
        line
        for line in marks.lines
        if not any(np.abs(offsets(ends, line.ends_mm)).max() < SAME_LINE_MM for ends in known)
    )


def _complex(point: Matrix) -> complex:
    return complex(float(point[0]), float(point[1]))


def _line(ends_mm: Matrix) -> Line:
    return Line(_complex(ends_mm[0]), _complex(ends_mm[1]))
