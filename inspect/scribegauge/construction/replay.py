"""Replays a construction from the marks as they were really scribed.

For each step: *predicted* is the step done perfectly from its measured parents; its *own* error is
measured minus predicted; what it *inherited* is predicted minus where the perfect method has it. A
mark that is not seen takes its prediction, with the covariance of a hand that nobody watched.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.engine import Frame, predict, run_exactly
from scribegauge.construction.openings import agreed_mm, shown_mm
from scribegauge.construction.record import GivenPoint, Plan
from scribegauge.construction.seen import Seen, size_of
from scribegauge.construction.significance import bars_to_pass, radius_of
from scribegauge.construction.values import Slip, Value, slip_of, slipped, unit

Matrix = NDArray[np.float64]

# What a mark that nobody sees may be off, per number that tells its place, one standard deviation.
# A slip of 0.25 mm spoils a layout visibly (common practice, no source); half of it.
HAND_MM = 0.125
# Step for differences: small against curvature, large against rounding.
STEP_MM = 1e-5
# Variances below this are rounding: (0.01 µm)².
LEAST_VARIANCE_MM2 = 1e-10


@dataclass(frozen=True, slots=True)
class OwnError:
    """What one step added.

    Attributes
    ----------
    mark : str
    seen : bool
        False for a mark that took its prediction.
    own : Slip
        Measured minus predicted; zeros when not seen.
    covariance : ndarray, shape (d, d)
        Of `own`; where the mark is not seen, of the place that it takes.
    dof : int
        How many of the numbers in `own` the plate can show; 0 where none.
    deviations : float
        How many standard deviations `own` is long.
    bar : float
        How many it must be long to be named; infinite where nothing can be shown.
    inherited : Slip
        Predicted minus the perfect method's.
    """

    mark: str
    seen: bool
    own: Slip
    covariance: Matrix
    dof: int
    deviations: float
    bar: float
    inherited: Slip

    @property
    def size_mm(self) -> float:
        """Length of the own error."""
        return float(np.linalg.norm(self.own))

    @property
    def expanded_mm(self) -> float:
        """U of the own error in its own direction (k = 2); NaN where nothing can be shown."""
        if self.dof == 0:
            return float("nan")
        if self.deviations > 0:
            return self.size_mm / self.deviations * radius_of(self.dof)
        return radius_of(self.dof) * float(np.sqrt(np.trace(self.covariance) / self.dof))

    @property
    def named(self) -> bool:
        """Whether the error exceeds U and stands out among all that were tested."""
        return self.deviations > self.bar


@dataclass(frozen=True, slots=True)
class Replay:
    """A construction replayed.

    Attributes
    ----------
    plan : Plan
    frame : Frame
        Where the given points put the perfect method.
    steps : tuple of OwnError
        In the plan's order.
    seen : Seen
    covariance : ndarray, shape (K, K)
        Of the own errors of all steps together, one after the other.
    """

    plan: Plan
    frame: Frame
    steps: tuple[OwnError, ...]
    seen: Seen
    covariance: Matrix

    @property
    def first_named(self) -> OwnError | None:
        """The step at which the error entered; None where no step stands out."""
        return next((step for step in self.steps if step.named), None)

    def of(self, mark: str) -> OwnError:
        """Return the step that made a mark."""
        return next(step for step in self.steps if step.mark == mark)

    def part(self, mark: str) -> slice:
        """Return where a mark's own error stands in the covariance of all."""
        start = 0
        for step in self.steps:
            if step.mark == mark:
                return slice(start, start + len(step.own))
            start += len(step.own)
        raise KeyError(mark)


@dataclass(frozen=True, slots=True)
class _Pass:
    """One replay: slips and predictions of all marks, and the frame."""

    slips: Mapping[str, Slip]
    predicted: Mapping[str, Value]
    frame: Frame


def replay(plan: Plan, seen: Seen, frame: Frame) -> Replay:
    """Replay a construction from its measured marks.

    Parameters
    ----------
    plan : Plan
    seen : Seen
        Measured marks; the plan's frame may be turned and shifted against the marks' (not mirrored).
    frame : Frame
        About where the given points lie, used as far as the plate does not show them.

    Raises
    ------
    StepError
        When the measured marks do not let a step be done, e.g. circles that do not meet.
    """
    now = _once(plan, seen.places, {}, frame)
    exact = run_exactly(plan, now.frame)
    shown = set(seen.places) | {m for m, by in shown_mm(plan, seen.places).items() if by}
    every = _covariances(plan, seen, frame, shown)
    rows, start = [], 0
    for step in plan.steps:
        own = now.slips[step.mark]
        part = slice(start, start + len(own))
        start, covariance = part.stop, every[part, part]
        visible = step.mark in shown
        deviations, dof = _length(np.array(own), covariance) if visible else (0.0, 0)
        inherited = slip_of(now.predicted[step.mark], exact[step.mark])
        rows.append((step.mark, visible, own, covariance, dof, deviations, inherited))
    tested = [row for row in rows if row[4] > 0]
    bars = dict(
        zip((row[0] for row in tested), bars_to_pass(tuple(row[4] for row in tested)), strict=True)
    )
    steps = tuple(
        OwnError(*row[:6], bar=bars.get(row[0], float("inf")), inherited=row[6]) for row in rows
    )
    return Replay(plan, now.frame, steps, seen, every)


def _once(
    plan: Plan, places: Mapping[str, Value], hidden: Mapping[str, Slip], frame: Frame
) -> _Pass:
    """Replay once; `hidden` are slips of marks that are not seen."""
    anchors = _anchors(plan, places)
    frame = _anchored(anchors, places, frame)
    openings = {m: agreed_mm(lengths) for m, lengths in shown_mm(plan, places).items()}
    values: dict[str, Value] = {}
    predicted: dict[str, Value] = {}
    slips: dict[str, Slip] = {}
    for step in plan.steps:
        mark = step.mark
        place = places.get(mark, openings.get(mark))
        predicted[mark] = predict(step, values, frame)
        if place is None:
            slips[mark] = hidden.get(mark, (0.0,) * size_of(predicted[mark]))
        else:
            slips[mark] = slip_of(place, predicted[mark])
        values[mark] = slipped(predicted[mark], slips[mark])
    return _Pass(slips, predicted, frame)


def _anchors(plan: Plan, places: Mapping[str, Value]) -> tuple[GivenPoint, ...]:
    """Return the first two given points that are seen."""
    given = (s for s in plan.steps if isinstance(s, GivenPoint) and s.mark in places)
    return tuple(given)[:2]


def _anchored(anchors: tuple[GivenPoint, ...], places: Mapping[str, Value], frame: Frame) -> Frame:
    """Return the frame in which the first given point is right and the second in its direction."""
    if not anchors:
        return frame
    start = complex(places[anchors[0].mark])  # type: ignore[arg-type]
    turn = frame.turn
    if len(anchors) > 1:
        end = complex(places[anchors[1].mark])  # type: ignore[arg-type]
        turn = unit((end - start) / (anchors[1].at_mm - anchors[0].at_mm))
    return Frame(turn, start - turn * anchors[0].at_mm)


def _covariances(plan: Plan, seen: Seen, frame: Frame, shown: set[str]) -> Matrix:
    """Return the covariance of all own errors together, first order, by differences.

    Of a mark that is not seen it is the covariance of its place: that of its parents and the hand.
    """
    now = _once(plan, seen.places, {}, frame)
    base = _stacked(plan, now, now, shown)
    columns = []
    for mark, place in seen.places.items():
        for change in np.eye(size_of(place)) * STEP_MM:
            places = {**seen.places, mark: slipped(place, tuple(change.tolist()))}
            columns.append(_stacked(plan, _once(plan, places, {}, frame), now, shown) - base)
    for step in plan.steps:
        size = 0 if step.mark in shown else len(now.slips[step.mark])
        for change in np.eye(size) * STEP_MM:
            once = _once(plan, seen.places, {step.mark: tuple(change.tolist())}, frame)
            columns.append(_stacked(plan, once, now, shown) - base)
    jacobian, m = np.array(columns).T / STEP_MM, len(seen.covariance)
    every = jacobian[:, :m] @ seen.covariance @ jacobian[:, :m].T
    every += HAND_MM**2 * jacobian[:, m:] @ jacobian[:, m:].T
    return np.asarray(every)


def _stacked(plan: Plan, once: _Pass, base: _Pass, shown: set[str]) -> Matrix:
    """Return the own errors of all seen marks and the places of the others, one after the other."""
    rows: list[float] = []
    for step in plan.steps:
        mark = step.mark
        if mark in shown:
            rows += once.slips[mark]
        else:
            place = slipped(once.predicted[mark], once.slips[mark])
            rows += slip_of(place, base.predicted[mark])
    return np.array(rows)


def _length(own: Matrix, covariance: Matrix) -> tuple[float, int]:
    """Return how many standard deviations long an error is, and its degrees of freedom."""
    variances, axes = np.linalg.eigh(covariance)
    visible = variances > max(LEAST_VARIANCE_MM2, 1e-9 * float(variances.max()))
    along = axes.T[visible] @ own
    return float(np.sqrt((along**2 / variances[visible]).sum())), int(visible.sum())
