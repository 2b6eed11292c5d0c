"""Which found circle and prick is which intended one, and where a figure of them lies."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.assign import FARTHEST_OFF_MM, Placement
from scribegauge.figure.intended import IntendedMarks
from scribegauge.marks.record import Marks

Points = NDArray[np.float64]

# Of the farthest pairs of intended points so many are tried: one or two of them may not be seen.
_PAIRS = 8
# Nearer than that, a pair of points does not tell how the figure is turned.
_LEAST_APART_MM = 2.0
_MOST_GUESSES = 4000
_ROUNDS = 4
# Guesses that score alike: the figure looks the same so turned.
_ALIKE = 0.02
_PAIR = 2


@dataclass(frozen=True, slots=True)
class Matched:
    """Which found mark is which intended one; None where it was not found.

    Attributes
    ----------
    circles, pricks, lines : tuple of int or None
        Numbers of arcs, pricks and lines in `Marks`, for each circle, prick and line of the layout.
    """

    circles: tuple[int | None, ...]
    pricks: tuple[int | None, ...]
    lines: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class _Points:
    """Centres and pricks alike: places (N, 2), and radii (N,), NaN for a prick."""

    places_mm: Points
    radii_mm: Points

    def near(self, others: "_Points") -> Points:
        """Return (N, M) how well kind and radius agree, 1 to 0."""
        own, other = self.radii_mm[:, None], others.radii_mm[None]
        both_pricks: Points = (np.isnan(own) & np.isnan(other)).astype(np.float64)
        alike = np.clip(1 - ((own - other) / FARTHEST_OFF_MM) ** 2, 0, 1)
        return np.asarray(np.where(np.isnan(alike), both_pricks, alike))


def place_marks(wanted: IntendedMarks, found: Marks) -> Placement | None:
    """Lay circles and pricks over those found, so that most of them lie on one another.

    Parameters
    ----------
    wanted : IntendedMarks
        Layout frame.
    found : Marks
        Plate frame.

    Returns
    -------
    Placement or None
        None where nothing was found that could be one of them. `score` is the share of circles and
        pricks that lie where they should, 0 to 1.
    """
    here, there = _intended(wanted), _found(found)
    if not len(here.places_mm) or not len(there.places_mm):
        return None
    alike = here.near(there)
    rotations, shifts = _guesses(here, there, alike)
    if not len(rotations):
        return None
    scores = np.array(
        [_score(here, there, alike, *at) for at in zip(rotations, shifts, strict=True)]
    )
    best = np.flatnonzero(scores > scores.max() - _ALIKE)
    turns = np.abs((rotations[best] + np.pi) % (2 * np.pi) - np.pi)
    first = int(best[np.argmin(turns)])
    placement = _settled(here, there, alike, float(rotations[first]), shifts[first])
    return placement if _far_pairs(here.places_mm) else _turned_by_lines(wanted, placement, found)


def _turned_by_lines(wanted: IntendedMarks, placement: Placement, found: Marks) -> Placement:
    """Turn a figure that lies about one point until most of its lines are where lines were found."""
    if not wanted.lines or not found.lines:
        return placement
    ends = np.array([line.ends_mm for line in found.lines])
    meant = np.array([[line.from_mm, line.to_mm] for line in wanted.lines])
    steps, others = meant[:, 1] - meant[:, 0], ends[:, 1] - ends[:, 0]
    turns = (
        np.arctan2(others[:, 1], others[:, 0])[None] - np.arctan2(steps[:, 1], steps[:, 0])[:, None]
    )
    about = _intended(wanted).places_mm[:1]
    there = placement.plate_from_layout(about)[0]
    ways = [
        Placement(float(t), there - _turned(about[0], t), placement.score)
        for t in (*turns.ravel(), *turns.ravel() + np.pi)
    ]
    shares = [sum(way.share_of(pair, ends) for pair in meant) for way in ways]
    best = [way for way, share in zip(ways, shares, strict=True) if share > max(shares) - _ALIKE]
    least = min(best, key=lambda way: abs((way.rotation_rad + np.pi) % (2 * np.pi) - np.pi))
    # From one line so far; now the mean of all that lie there.
    pairs = [(k, least.match(pair, ends)[0]) for k, pair in enumerate(meant)]
    off = [turns[k, j] - least.rotation_rad for k, j in pairs if j is not None]
    more = float(np.mean([(each + np.pi / 2) % np.pi - np.pi / 2 for each in off])) if off else 0.0
    turn = np.array(least.rotation_rad + more)
    return Placement(float(turn), there - _turned(about[0], turn), least.score)


def match_marks(wanted: IntendedMarks, placement: Placement, found: Marks) -> Matched:
    """Take for each intended mark the nearest found one within 1 mm, each at most once.

    Parameters
    ----------
    wanted : IntendedMarks
    placement : Placement
    found : Marks
    """
    here, there = _intended(wanted), _found(found)
    closeness = _closeness(here, there, here.near(there), placement)
    chosen: list[int | None] = [None] * len(here.places_mm)
    for k, j in _greedy(closeness):
        chosen[k] = j
    circles, arcs = len(wanted.circles), len(found.arcs)
    return Matched(
        tuple(chosen[:circles]),
        tuple(None if j is None else j - arcs for j in chosen[circles:]),
        _lines(wanted, placement, found),
    )


def _lines(wanted: IntendedMarks, placement: Placement, found: Marks) -> tuple[int | None, ...]:
    ends = np.array([line.ends_mm for line in found.lines]).reshape(-1, 2, 2)
    # Each is a side of a polygon of two corners, whose other side is the same way back.
    both = [np.array([line.from_mm, line.to_mm]) for line in wanted.lines]
    return tuple(placement.match(pair, ends)[0] for pair in both)


def _intended(wanted: IntendedMarks) -> _Points:
    places = [c.centre_mm for c in wanted.circles] + [p.at_mm for p in wanted.pricks]
    radii = [c.radius_mm for c in wanted.circles] + [np.nan] * len(wanted.pricks)
    return _Points(np.array(places, np.float64).reshape(-1, 2), np.array(radii))


def _found(found: Marks) -> _Points:
    places = [arc.centre_mm for arc in found.arcs] + [prick.centre_mm for prick in found.pricks]
    radii = [arc.radius_mm for arc in found.arcs] + [np.nan] * len(found.pricks)
    return _Points(np.array(places, np.float64).reshape(-1, 2), np.array(radii))


def _guesses(here: _Points, there: _Points, alike: Points) -> tuple[Points, Points]:
    """Return rotations (G,) and shifts (G, 2) that lay two points on two others, or one on one."""
    rotations, shifts = [], []
    for i, j in _far_pairs(here.places_mm):
        step = here.places_mm[j] - here.places_mm[i]
        pairs = np.meshgrid(np.flatnonzero(alike[i]), np.flatnonzero(alike[j]), indexing="ij")
        a, b = (each.ravel() for each in pairs)
        away = there.places_mm[b] - there.places_mm[a]
        good = np.abs(np.hypot(*away.T) - np.hypot(*step)) < FARTHEST_OFF_MM
        turn = np.arctan2(away[good, 1], away[good, 0]) - np.arctan2(step[1], step[0])
        middle = (there.places_mm[a[good]] + there.places_mm[b[good]]) / 2
        rotations.append(turn)
        shifts.append(middle - _turned((here.places_mm[i] + here.places_mm[j]) / 2, turn))
    if not rotations:  # all about one point: how it is turned makes no difference
        of, on = np.nonzero(alike)
        return np.zeros(len(of)), there.places_mm[on] - here.places_mm[of]
    return np.concatenate(rotations)[:_MOST_GUESSES], np.concatenate(shifts)[:_MOST_GUESSES]


def _far_pairs(places_mm: Points) -> list[tuple[int, int]]:
    gaps = {
        (i, j): float(np.hypot(*(places_mm[j] - places_mm[i])))
        for i, j in combinations(range(len(places_mm)), _PAIR)
    }
    far = sorted((pair for pair in gaps if gaps[pair] > _LEAST_APART_MM), key=lambda p: -gaps[p])
    # Pairs that share no point with each other first: an unseen point spoils few of them.
    apart: list[tuple[int, int]] = []
    for pair in far:
        if not any(set(pair) & set(other) for other in apart):
            apart.append(pair)
    return [*apart, *(pair for pair in far if pair not in apart)][:_PAIRS]


def _turned(point: Points, turn: Points) -> Points:
    c, s = np.cos(turn), np.sin(turn)
    return np.stack([c * point[0] - s * point[1], s * point[0] + c * point[1]], axis=-1)


def _closeness(here: _Points, there: _Points, alike: Points, at: Placement) -> Points:
    """Return (N, M) how well each found mark is where an intended one should be, 1 to 0."""
    placed = at.plate_from_layout(here.places_mm)
    gaps = np.linalg.norm(placed[:, None] - there.places_mm[None], axis=-1)
    return np.asarray(alike * np.clip(1 - (gaps / FARTHEST_OFF_MM) ** 2, 0, 1))


def _score(here: _Points, there: _Points, alike: Points, rotation: float, shift: Points) -> float:
    at = Placement(float(rotation), shift, 0.0)
    return float(_closeness(here, there, alike, at).max(axis=1).mean())


def _greedy(closeness: Points) -> list[tuple[int, int]]:
    """Return pairs of intended and found, the closest first, each in one pair at most."""
    pairs: list[tuple[int, int]] = []
    left = closeness.copy()
    while left.size and left.max() > 0:
        k, j = (int(v) for v in np.unravel_index(np.argmax(left), left.shape))
        pairs.append((k, j))
        left[k, :] = left[:, j] = 0
    return pairs


def _settled(
    here: _Points, there: _Points, alike: Points, rotation: float, shift: Points
) -> Placement:
    """Move a figure that lies about right onto the marks, by least squares of their places."""
    at = Placement(rotation, shift, 0.0)
    for _ in range(_ROUNDS):
        pairs = _greedy(_closeness(here, there, alike, at))
        if not pairs:
            break
        k, j = (list(column) for column in zip(*pairs, strict=True))
        a, b = here.places_mm[k] @ [1, 1j], there.places_mm[j] @ [1, 1j]
        overlap = np.vdot(a - a.mean(), b - b.mean())
        turn = float(np.angle(overlap)) if abs(overlap) > _LEAST_APART_MM else at.rotation_rad
        middle = b.mean() - a.mean() * np.exp(1j * turn)
        at = Placement(turn, np.array([middle.real, middle.imag]), 0.0)
    score = _score(here, there, alike, at.rotation_rad, at.shift_mm)
    return Placement(at.rotation_rad, at.shift_mm, score)
