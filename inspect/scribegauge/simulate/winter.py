"""Readings of a winter's evenings without any photo: made-up pupils with a known hand.

For tests of the ledger and of progress. A hand moves every corner by a normal error; measuring adds
its own, of which sheet and lens share a part over all plates.
"""

import hashlib
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from scribegauge.report.reading import (
    AngleReading,
    LineReading,
    PhotoReading,
    PlateReading,
    Reading,
    SheetReading,
    SideReading,
    Term,
    VertexReading,
)

Array = NDArray[np.float64]

# Of each side: what the light does to this photo, what sheet and lens do to all, relative.
U_OPTICS_MM = 0.02
U_BARS = 1.4e-4

WEEK_DAYS = 7
TOLERANCE_MM = 0.15


@dataclass(frozen=True, slots=True)
class Hand:
    """A pupil's hand.

    Attributes
    ----------
    corner_mm : float
        Standard deviation of a corner's place in either direction, on the first evening.
    better_per_month : float
        Share of it that a month of practice takes away.
    long_mm : float
        By how much every side comes out too long.
    """

    corner_mm: float
    better_per_month: float = 0.0
    long_mm: float = 0.0


def practise(
    hand: Hand,
    evenings: int,
    *,
    seed: int,
    corners: int = 4,
    side_mm: float = 40.0,
    start: date = date(2024, 10, 7),
) -> tuple[Reading, ...]:
    """Make the readings of one plate an evening.

    Parameters
    ----------
    hand : Hand
    evenings : int
    seed : int
        The same seed gives the same readings.
    corners : int
        Of the regular figure.
    side_mm : float
    start : date
        Of the first; the others follow by the week.
    """
    rng = np.random.default_rng([seed, corners])
    stretch = 1 + rng.normal(0, U_BARS)
    readings = []
    for k in range(evenings):
        day = start + timedelta(days=k * WEEK_DAYS)
        left = max(1 - hand.better_per_month * k * WEEK_DAYS / 30.44, 0.02)
        ideal = regular(corners, side_mm)
        scribed = ideal * (1 + hand.long_mm / side_mm)
        scribed = scribed + rng.normal(0, hand.corner_mm * left, ideal.shape)
        seen = scribed * stretch + rng.normal(0, U_OPTICS_MM / np.sqrt(2), ideal.shape)
        readings.append(reading_of(ideal, seen, day, f"{seed}-{corners}-{side_mm:g}-{k}"))
    return tuple(readings)


def regular(corners: int, side_mm: float) -> Array:
    """Return the corners of a regular figure, clockwise to the viewer (y runs down)."""
    turn = 2 * np.pi * np.arange(corners) / corners
    radius = side_mm / (2 * np.sin(np.pi / corners))
    return np.asarray(radius * np.column_stack([np.cos(turn), np.sin(turn)]))


def reading_of(ideal: Array, seen: Array, day: date, mark: str) -> Reading:
    """Make the reading of a plate whose corners were seen at given places.

    Parameters
    ----------
    ideal, seen : ndarray, shape (n, 2), float64
        Intended and seen corners [mm].
    day : date
        When the photo was taken.
    mark : str
        What tells this photo from others.
    """
    names = tuple("ABCDEFGHIJKL"[k] for k in range(len(ideal)))
    photo = PhotoReading(
        f"evening-{day}.jpg",
        hashlib.sha256(mark.encode()).hexdigest(),
        *(4000, 3000),
        f"{day}T19:30:00",
        "profile: phone A-00",
    )
    sheet = SheetReading("M-1", ((100.1, 99.9),), 0.02, "2024-10-01")
    plate = PlateReading("M", 0.8, 19.0, 13.0, (), None, None, 0.02, sheet)
    return Reading(
        *("measured", (), f"Regular figure of {len(names)} sides", (photo,), plate),
        tuple(
            VertexReading(n, float(x), float(y), None)
            for n, (x, y) in zip(names, seen, strict=True)
        ),
        _sides(names, ideal, seen),
        _angles(names, ideal, seen),
        (),
        _lines(names, seen),
        "scribegauge",
        tolerance_side_mm=TOLERANCE_MM,
    )


def _sides(names: tuple[str, ...], ideal: Array, seen: Array) -> tuple[SideReading, ...]:
    rows = []
    for k, name in enumerate(names):
        j = (k + 1) % len(names)
        intended = float(np.hypot(*(ideal[j] - ideal[k])))
        measured = float(np.hypot(*(seen[j] - seen[k])))
        terms = (Term("optics", U_OPTICS_MM), Term("bars", U_BARS * intended))
        expanded = 2 * float(np.hypot(U_OPTICS_MM, U_BARS * intended))
        off = measured - intended
        verdict = "within" if abs(off) <= TOLERANCE_MM - expanded else "undecided"
        verdict = "outside" if abs(off) >= TOLERANCE_MM + expanded else verdict
        rows.append(
            SideReading(name, names[j], intended, measured, off, expanded, verdict, (), terms)
        )
    return tuple(rows)


def _angles(names: tuple[str, ...], ideal: Array, seen: Array) -> tuple[AngleReading, ...]:
    side = float(np.hypot(*(ideal[1] - ideal[0])))
    expanded = 2 * float(np.degrees(U_OPTICS_MM * np.sqrt(2) / side))
    terms = (Term("optics", expanded / 2),)
    rows = []
    for k, name in enumerate(names):
        intended, measured = _angle_deg(ideal, k), _angle_deg(seen, k)
        off = measured - intended
        rows.append(AngleReading(name, intended, measured, off, expanded, None, (), terms))
    return tuple(rows)


def _angle_deg(points: Array, at: int) -> float:
    back, on = points[at - 1] - points[at], points[(at + 1) % len(points)] - points[at]
    cross = back[0] * on[1] - back[1] * on[0]
    return float(np.degrees(np.arctan2(abs(cross), back @ on)))


def _lines(names: tuple[str, ...], seen: Array) -> tuple[LineReading, ...]:
    rows = []
    for k, name in enumerate(names):
        j = (k + 1) % len(names)
        start = (float(seen[k, 0]), float(seen[k, 1]))
        end = (float(seen[j, 0]), float(seen[j, 1]))
        rows.append(
            LineReading(
                f"{name}-{names[j]}", start, end, 0.08, "dark", 0.9, hinted=False, path_px=()
            )
        )
    return tuple(rows)
