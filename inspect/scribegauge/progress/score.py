"""From a reading to what it says of the hand."""

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from scribegauge.progress.record import RULES, Finding, Measured, Score
from scribegauge.progress.shape import figure_of, looks_the_same_turned
from scribegauge.progress.spread import (
    drift_of,
    mean_of,
    root_mean_square,
    root_mean_square_distance,
)
from scribegauge.report.reading import AngleReading, Reading, SideReading

# Causes that stay what they are while camera and sheet stay; all others are new with every photo.
SHARED_CAUSES = frozenset({"bars", "caliper", "climate", "lens", "focal"})
# A drift needs sides to drift over; the last one closes the figure and takes what is left.
LEAST_STEPPED = 4
_EQUAL_MM = 0.005

Errors = Mapping[str, float]


def score_of(reading: Reading) -> Score:
    """Return what can be compared with other plates.

    Parameters
    ----------
    reading : Reading
    """
    sides, angles = side_errors_mm(reading), angle_errors_deg(reading)
    side_shared = _shared_share([side for side in reading.sides if _name(side) in sides])
    angle_shared = _shared_share([angle for angle in reading.angles if angle.at in angles])
    side_cov = _covariance(reading, list(sides), _u_sides(reading))
    angle_cov = _covariance(reading, list(angles), _u_angles(reading))
    side_values, angle_values = np.array([*sides.values()]), np.array([*angles.values()])
    intended = [side.intended_mm for side in reading.sides]
    turns = [angle.intended_deg for angle in reading.angles]
    plate, construction = reading.plate, reading.construction
    words = [side.verdict for side in reading.sides] + [a.verdict for a in reading.angles]
    return Score(
        rules=RULES,
        title=reading.title,
        method=construction.name if construction else "",
        figure=figure_of(intended, turns) if len(turns) == len(intended) else "",
        size_mm=float(np.mean(intended)) if intended else 0.0,
        camera=reading.photos[0].camera if reading.photos else "",
        sheet=sheet_of(reading),
        side_rms_mm=root_mean_square(side_values, side_cov, side_shared) if sides else None,
        side_largest_mm=_largest(reading, sides, side_shared),
        angle_rms_deg=root_mean_square(angle_values, angle_cov, angle_shared) if angles else None,
        line_width_mm=_line_width(reading),
        prick_mm=_prick(reading),
        long_mm=mean_of(side_values, side_cov, side_shared) if sides else None,
        aside_mm=_mean_apart(_asides_mm(reading)),
        turned_mrad=_mean_apart(_turns_mrad(reading)),
        opening_mm=_opening(reading, sides, side_shared),
        corners=() if looks_the_same_turned(intended, turns) else tuple(angles.items()),
        u_corner_deg=float(np.sqrt(np.diag(angle_cov).mean())) if angles else 0.0,
        outside=words.count("outside"),
        undecided=words.count("undecided"),
        within=words.count("within"),
        findings=tuple(
            Finding(found.kind, found.number, found.text)
            for found in (construction.findings if construction else ())
        ),
        tolerance_mm=reading.tolerance_side_mm if plate else None,
    )


def side_errors_mm(reading: Reading) -> Errors:
    """Return the hand's error of every measured side: of the method's figure where there is one."""
    if reading.construction is not None:
        parts = reading.construction.sides
        return {p.side: p.hand_error_mm for p in parts if p.hand_error_mm is not None}
    return {_name(s): s.deviation_mm for s in reading.sides if s.deviation_mm is not None}


def angle_errors_deg(reading: Reading) -> Errors:
    """Return the hand's error of every measured angle."""
    if reading.construction is not None:
        parts = reading.construction.angles
        return {p.at: p.hand_error_deg for p in parts if p.hand_error_deg is not None}
    return {a.at: a.deviation_deg for a in reading.angles if a.deviation_deg is not None}


def sheet_of(reading: Reading) -> str:
    """Name the sheet: by its record, else by its bars; empty when nobody measured them."""
    sheet = reading.plate.sheet if reading.plate else None
    if sheet is None:
        return ""
    bars = " ".join(f"{x:g},{y:g}" for x, y in sheet.bars_mm)
    return f"{sheet.name} of {sheet.measured}" if sheet.name else f"bars {bars}"


def _name(side: SideReading) -> str:
    return f"{side.start}-{side.end}"


def _u_sides(reading: Reading) -> Errors:
    return {_name(side): (side.U_mm or 0.0) / 2 for side in reading.sides}


def _u_angles(reading: Reading) -> Errors:
    return {angle.at: (angle.U_deg or 0.0) / 2 for angle in reading.angles}


def _covariance(reading: Reading, names: Sequence[str], u: Errors) -> NDArray[np.float64]:
    """Return the covariance of some quantities; without a kept one they count as independent."""
    kept = reading.covariance
    if kept is None or not set(names) <= set(kept.quantities):
        return np.diag([u[name] ** 2 for name in names])
    order = [kept.quantities.index(name) for name in names]
    return np.asarray(kept.matrix_mm_deg, dtype=np.float64)[np.ix_(order, order)]


def _shared_share(rows: Sequence[SideReading | AngleReading]) -> float:
    """Return the share of U whose causes stay while camera and sheet stay."""
    terms = [term for row in rows for term in row.terms]
    total = sum(term.u**2 for term in terms)
    shared = sum(term.u**2 for term in terms if term.name in SHARED_CAUSES)
    return math.sqrt(shared / total) if total > 0 else 0.0


def _largest(reading: Reading, sides: Errors, shared: float) -> Measured | None:
    if not sides:
        return None
    name = max(sides, key=lambda each: abs(sides[each]))
    expanded = 2 * _u_sides(reading)[name]
    return Measured(abs(sides[name]), expanded, shared * expanded)


def _line_width(reading: Reading) -> Measured | None:
    lines = [line for line in reading.lines if line.side]
    if not lines:
        return None
    width = float(np.mean([line.width_mm for line in lines]))
    given = [line.quality.U_width_mm for line in lines if line.quality is not None]
    # The same light falls on all lines of a photo, so their mean is no better than one.
    return Measured(width, float(np.mean(given)) if given else 0.0, 0.0)


def _prick(reading: Reading) -> Measured | None:
    pricks = [prick for prick in reading.pricks if prick.at and prick.off_corner_mm is not None]
    if not pricks:
        return None
    distances = np.array([prick.off_corner_mm for prick in pricks], dtype=np.float64)
    return root_mean_square_distance(distances, np.array([p.U_mm / 2 for p in pricks]), 0.0)


def _ends(reading: Reading) -> list[tuple[float, float, float, float, float]]:
    """Per side with a prick at either end: how far right of each, their u, its length [mm]."""
    corners = {corner.at: corner for corner in reading.corners}
    rows = []
    for side in reading.sides:
        first, last = corners.get(side.start), corners.get(side.end)
        if first is None or last is None or not side.measured_mm:
            continue
        at, u_at = first.prick_across_after_mm, first.U_prick_across_after_mm
        to, u_to = last.prick_across_before_mm, last.U_prick_across_before_mm
        if at is not None and u_at is not None and to is not None and u_to is not None:
            # A prick to the right of its line means a line to the left of its prick.
            rows.append((-at, -to, u_at / 2, u_to / 2, side.measured_mm))
    return rows


def _asides_mm(reading: Reading) -> list[tuple[float, float]]:
    return [((at + to) / 2, math.hypot(u, v) / 2) for at, to, u, v, _ in _ends(reading)]


def _turns_mrad(reading: Reading) -> list[tuple[float, float]]:
    # Right of the way gone is clockwise to the viewer: y runs down.
    return [
        (1000 * (to - at) / length, 1000 * math.hypot(u, v) / length)
        for at, to, u, v, length in _ends(reading)
    ]


def _mean_apart(rows: Sequence[tuple[float, float]]) -> Measured | None:
    if not rows:
        return None
    values, u = np.array(rows).T
    return mean_of(values, np.diag(u**2), 0.0)


def _opening(reading: Reading, sides: Errors, shared: float) -> Measured | None:
    """Return the drift along a figure whose equal sides were stepped off one after another."""
    construction = reading.construction
    if construction is None or construction.closing_gap_mm is None:
        return None
    method = {part.side: part.method_mm for part in construction.sides}
    names = _stepped(construction.vertices, sides)
    lengths = [method[name] for name in names]
    if len(names) < LEAST_STEPPED or max(lengths) - min(lengths) > _EQUAL_MM:
        return None
    values = np.array([sides[name] for name in names])
    return drift_of(values, _covariance(reading, names, _u_sides(reading)), shared)


def _stepped(order: Sequence[str], sides: Errors) -> list[str]:
    """Return the sides in the order of stepping, the closing one left out; none if one is gone."""
    names = []
    for start, end in pairwise(order):
        name = next((n for n in (f"{start}-{end}", f"{end}-{start}") if n in sides), None)
        if name is None:
            return []
        names.append(name)
    return names
