"""Put beside a reading what its construction could give, and where the error entered."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.choice import Chosen, Order
from scribegauge.construction.errors import StepError
from scribegauge.construction.matching import Laid, method_on_plate, unseen
from scribegauge.construction.method import laid_over
from scribegauge.construction.observe import Observed, observe
from scribegauge.construction.patterns import closing_gap_mm, findings_of
from scribegauge.construction.replay import OwnError, Replay
from scribegauge.construction.shares import Shares, shares_of
from scribegauge.construction.words import step_words
from scribegauge.figure.fit import FigureFit
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm
from scribegauge.marks.record import Marks
from scribegauge.plate.face import Face
from scribegauge.report.composestepmarks import with_paths
from scribegauge.report.constructionreading import (
    AngleParts,
    ConstructionReading,
    FindingReading,
    SideParts,
    StepReading,
    VertexParts,
)
from scribegauge.report.findingwords import finding_sentence
from scribegauge.report.reading import Reading
from scribegauge.uncertainty.propagation import COVERAGE_FACTOR
from scribetarget.wording import say

Matrix = NDArray[np.float64]

_STEP_MM = 1e-4


def with_construction(
    reading: Reading, chosen: Chosen | None, fit: FigureFit, marks: Marks, faces: Sequence[Face]
) -> Reading:
    """Return a reading with its construction beside it.

    Parameters
    ----------
    reading : Reading
    chosen : Chosen or None
        None leaves the reading as it is.
    fit : FigureFit
    marks : Marks
        Of the first photo.
    faces : sequence of Face
    """
    if chosen is None:
        return reading
    observed = observe(chosen, fit, marks, faces[0])
    compared = _compared(reading, chosen, fit, observed)
    if observed is not None:
        compared = _begun(compared, chosen, fit, observed)
        steps = with_paths(compared.steps, observed, reading, faces[0])
        compared = replace(compared, steps=steps)
    return replace(reading, construction=compared)


def _compared(
    reading: Reading, chosen: Chosen, fit: FigureFit, observed: Observed | None
) -> ConstructionReading:
    """Compare the method with the plate, and replay it.

    Without a place on the plate the method still has its sides and angles, in the first order.
    """
    replayed, shares, notes = _replayed(observed)
    order = chosen.orders[0] if observed is None else observed.laid.order
    sides, angles = _parts(reading, chosen, order.layout_of)
    construction = chosen.construction
    return ConstructionReading(
        name=construction.name,
        title=construction.title,
        exact=construction.exact,
        sources=construction.sources,
        sizes=tuple(chosen.plan.sizes.items()),
        vertex_marks=chosen.plan.vertices,
        vertices=_named(fit, order),
        sides=sides,
        angles=angles,
        vertex_errors=() if observed is None else _vertices(chosen, fit, observed),
        steps=() if replayed is None else _steps(replayed, shares, order.layout_of),
        entered_at=_entered(replayed),
        findings=() if replayed is None else _findings(replayed),
        closing_gap_mm=None if replayed is None else closing_gap_mm(replayed),
        by_lines=() if observed is None else observed.by_lines,
        not_seen=() if observed is None else tuple(unseen(chosen, observed.seen.places)),
        rival=None,
        notes=notes,
    )


def _begun(
    compared: ConstructionReading, chosen: Chosen, fit: FigureFit, observed: Observed
) -> ConstructionReading:
    """Add where the construction was begun, and the method's own part of the closing gap."""
    lengths = side_lengths_mm(chosen.figures.method_mm)
    stepped = compared.closing_gap_mm is not None
    return replace(
        compared,
        off_mm=observed.laid.off_mm,
        rival=_order_of(fit, observed.rival),
        rival_off_mm=None if observed.rival is None else observed.rival.off_mm,
        reverse=_order_of(fit, observed.reverse),
        method_gap_mm=float(lengths[-1] - lengths[:-1].mean()) if stepped else None,
    )


def _order_of(fit: FigureFit, laid: Laid | None) -> tuple[str, ...] | None:
    return None if laid is None else _named(fit, laid.order)


def _named(fit: FigureFit, order: Order) -> tuple[str, ...]:
    return tuple(fit.layout.names[k] for k in order.layout_of)


def _replayed(
    observed: Observed | None,
) -> tuple[Replay | None, Shares | None, tuple[str, ...]]:
    """Return the replay and its shares, or say why there is none."""
    if observed is None:
        return (
            None,
            None,
            (say("Too few corners were found to lay the construction over the plate."),),
        )
    obstacle = observed.obstacle
    if observed.replayed is not None:
        try:
            return observed.replayed, shares_of(observed.replayed), ()
        except StepError as error:
            obstacle = error.at_step
    note = say(
        "The construction cannot be replayed from these marks ({obstacle}). Perhaps one was taken for "
        "another; look at the overlay.",
        obstacle=obstacle,
    )
    return None, None, (note,)


def _parts(
    reading: Reading, chosen: Chosen, layout_of: tuple[int, ...]
) -> tuple[tuple[SideParts, ...], tuple[AngleParts, ...]]:
    """Set intended, method and scribed sides and angles side by side, in the reading's order."""
    method = np.empty_like(chosen.figures.method_mm)
    method[list(layout_of)] = chosen.figures.method_mm
    lengths, angles = side_lengths_mm(method), inside_angles_deg(method)
    return (
        tuple(
            SideParts(
                f"{side.start}-{side.end}",
                side.intended_mm,
                float(length),
                side.measured_mm,
                float(length) - side.intended_mm,
                None if side.measured_mm is None else side.measured_mm - float(length),
                side.U_mm,
            )
            for side, length in zip(reading.sides, lengths, strict=True)
        ),
        tuple(
            AngleParts(
                angle.at,
                angle.intended_deg,
                float(inside),
                angle.measured_deg,
                float(inside) - angle.intended_deg,
                None if angle.measured_deg is None else angle.measured_deg - float(inside),
                angle.U_deg,
            )
            for angle, inside in zip(reading.angles, angles, strict=True)
        ),
    )


def _vertices(chosen: Chosen, fit: FigureFit, observed: Observed) -> tuple[VertexParts, ...]:
    method = method_on_plate(chosen, observed.laid)
    intended = laid_over(fit.layout.vertices_mm, method)
    hand = fit.corners_mm - method
    u_mm = _hand_u_mm(method, fit.corners_mm, observed.corner_covariance)
    return tuple(
        VertexParts(
            name,
            (float(place[0]), float(place[1])),
            float(np.hypot(*(place - wanted))),
            float(np.hypot(*off)) if np.isfinite(u) else None,
            COVERAGE_FACTOR * float(u) if np.isfinite(u) else None,
        )
        for name, place, wanted, off, u in zip(
            fit.layout.names, method, intended, hand, u_mm, strict=True
        )
    )


def _hand_u_mm(method_mm: Matrix, corners_mm: Matrix, covariance: Matrix) -> Matrix:
    """Return the standard uncertainty (n,) of each corner's distance from the method's, worst way.

    What turns or shifts all corners alike is taken off by laying the method over them.
    """
    seen: NDArray[np.bool_] = np.asarray(np.isfinite(corners_mm).all(axis=1))
    pick = np.repeat(seen, 2)
    corners, method = corners_mm[seen], method_mm[seen]

    def off(places: Matrix) -> Matrix:
        return np.asarray(places - laid_over(method, places)).ravel()

    slopes = np.array(
        [
            (off(corners + change) - off(corners - change)) / (2 * _STEP_MM)
            for change in _STEP_MM * np.eye(2 * len(corners)).reshape(-1, len(corners), 2)
        ]
    ).T
    spread = slopes @ covariance[np.ix_(pick, pick)] @ slopes.T
    u_mm = np.full(len(seen), np.nan)
    u_mm[seen] = [
        np.sqrt(max(float(np.linalg.eigvalsh(spread[k : k + 2, k : k + 2])[-1]), 0.0))
        for k in range(0, len(spread), 2)
    ]
    return u_mm


def _steps(
    replayed: Replay, shares: Shares | None, layout_of: tuple[int, ...]
) -> tuple[StepReading, ...]:
    n = len(layout_of)
    sides = [0] * n
    for k in range(n):
        first, second = layout_of[k], layout_of[(k + 1) % n]
        sides[first if (first + 1) % n == second else second] = k
    angles = [layout_of.index(k) for k in range(n)]
    rows = []
    for k, (step, own) in enumerate(zip(replayed.plan.steps, replayed.steps, strict=True)):
        row = np.zeros(2 * n) if shares is None else shares.by_step[k]
        rows.append(
            StepReading(
                number=step.number,
                mark=step.mark,
                words=step_words(step),
                seen=own.seen,
                own_mm=own.size_mm if own.dof else None,
                U_mm=_expanded(own),
                inherited_mm=float(np.linalg.norm(own.inherited)),
                named=own.named,
                side_shares_mm=tuple(float(row[side]) for side in sides),
                angle_shares_deg=tuple(float(row[n + at]) for at in angles),
            )
        )
    return tuple(rows)


def _expanded(own: OwnError) -> float | None:
    """Return U of an own error, or of the place that an unseen mark takes."""
    if own.dof:
        return own.expanded_mm
    if own.seen:
        return None
    return COVERAGE_FACTOR * float(np.sqrt(np.linalg.eigvalsh(own.covariance)[-1]))


def _entered(replayed: Replay | None) -> int | None:
    if replayed is None or replayed.first_named is None:
        return None
    mark = replayed.first_named.mark
    return next(step.number for step in replayed.plan.steps if step.mark == mark)


def _findings(replayed: Replay) -> tuple[FindingReading, ...]:
    words = {step.mark: step for step in replayed.plan.steps}
    return tuple(
        FindingReading(
            kind=f.kind,
            number=f.number,
            mark=f.mark,
            at=f.at,
            size_mm=f.size_mm,
            U_mm=f.expanded_mm,
            text=finding_sentence(f, words[f.mark]),
        )
        for f in findings_of(replayed)
    )
