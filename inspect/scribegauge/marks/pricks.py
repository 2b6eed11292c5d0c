"""All pricks on the plate, and a closer look where one was expected."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.lamp import Lamp
from scribegauge.marks.markpath import Mark, on_marks
from scribegauge.marks.metal import Metal
from scribegauge.marks.pitplace import Surroundings, place_prick, surroundings
from scribegauge.marks.pitspots import Spot, find_spots
from scribegauge.marks.record import ArcMark, PrickMark
from scribegauge.plate.face import Face

# Expected number of pricks by chance on a whole plate.
LOG10_NFA_LIMIT = -3.5
# Where pricks are expected, fewer places are looked at: one false prick in a hundred plates.
LOG10_NEAR_LIMIT = -2.0
REACH_MM = 0.8
SAME_PRICK_MM = 0.3
# Places along the known marks that are no meetings and hold no spot: what a pit explains there by
# chance is the measure for what it explains where one is expected.
PLAIN_PLACES = 16
FEWEST_PLAIN = 8
PLAIN_FROM_MM = 1.2
# One in three million for a normal distribution; texture has longer tails.
CLEAR_OF_PLAIN = 5.0
# How far from the expected place its pit is looked for: a prick that is further off is found as a
# spot or not at all.
STARTS_MM = 0.15 * np.array([[0.0, 0.0], [1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])


def find_pricks(
    grey: NDArray[np.uint8],
    face: Face,
    metal: Metal,
    marks: tuple[Mark, ...],
    near_mm: NDArray[np.float64] | None = None,
    lamp: Lamp | None = None,
) -> tuple[PrickMark, ...]:
    """Find pricks that texture, lines and their crossings do not explain, clearest first.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    marks : tuple of LineMark or ArcMark
        Found before; pricks usually lie where they cross.
    near_mm : ndarray, shape (K, 2), float64, or None
        Where pricks were expected, within 0.8 mm, plate frame: fainter ones are taken there and
        marked as hinted.
    lamp : Lamp or None
        From which side the light falls, where that is known.

    Returns
    -------
    tuple of PrickMark
    """
    spots = find_spots(grey, face, metal, marks)
    around = surroundings(grey, face, marks, lamp)
    found: list[PrickMark] = []
    for spot in spots:
        if spot.log10_nfa < LOG10_NFA_LIMIT and not _near_any(spot.centre_mm, found):
            placed = place_prick(around, spot.centre_mm)
            if placed is not None and not _near_any(placed.prick.centre_mm, found):
                found.append(placed.prick)
    if near_mm is not None:
        found += _expected(around, spots, metal, near_mm, found)
    return tuple(found)


def _expected(
    around: Surroundings,
    spots: tuple[Spot, ...],
    metal: Metal,
    near_mm: NDArray[np.float64],
    found: list[PrickMark],
) -> list[PrickMark]:
    """Look for a pit at every expected place that has none yet.

    Lines that meet there hide it as a spot. There must be much less left unexplained with a pit
    than without, measured by what a pit explains at plain places along the same lines; where there
    are too few of those, only what stands out as a spot is taken.
    """
    empty = [place for place in near_mm if np.isfinite(place).all() and not _near_any(place, found)]
    if not empty:
        return []
    hinted = _hinted_spots(spots, metal, around.marks, np.array(empty))
    taken = [*near_mm, *(spot.centre_mm for spot in (*spots, *hinted) if _stands_out(spot))]
    limit = _limit(around, np.array(taken))
    added: list[PrickMark] = []
    for place in empty:
        at_spots = [spot.centre_mm for spot in hinted if _within_reach(spot, place)]
        tries = [place_prick(around, at) for at in at_spots]
        if limit is not None:
            tries.append(place_prick(around, place, STARTS_MM))
        best = max(filter(None, tries), key=lambda placed: placed.gain, default=None)
        if best is not None and best.gain > (limit or 0.0):
            centre = best.prick.centre_mm
            if not _near_any(centre, found) and not _near_any(centre, added):
                added.append(replace(best.prick, hinted=True))
    return added


def _stands_out(spot: Spot) -> bool:
    return spot.log10_nfa < LOG10_NFA_LIMIT


def _within_reach(spot: Spot, place_mm: NDArray[np.float64]) -> bool:
    return float(np.hypot(*(place_mm - spot.centre_mm))) < REACH_MM


def _limit(around: Surroundings, taken_mm: NDArray[np.float64]) -> float | None:
    """Return the gain that no pit reaches by chance; None where there are too few plain places."""
    plain = [place_prick(around, place) for place in plain_places(around.marks, taken_mm)]
    if len(plain) < FEWEST_PLAIN:
        return None
    # Where no pit fits at all, none explains anything.
    gains = np.log([1.0 if placed is None else placed.gain for placed in plain])
    return float(np.exp(gains.mean() + CLEAR_OF_PLAIN * gains.std(ddof=1)))


def plain_places(
    marks: tuple[Mark, ...], taken_mm: NDArray[np.float64]
) -> list[NDArray[np.float64]]:
    """Return places spread along known marks, away from the places (K, 2) taken."""
    lines = [mark for mark in marks if not isinstance(mark, ArcMark)]
    if not lines:
        return []
    shares = (np.arange(PLAIN_PLACES) + 0.5) / PLAIN_PLACES
    places = []
    # By turns from every line, each time at another share of its length.
    for number, share in enumerate(np.tile(shares, len(lines))):
        start, end = lines[number % len(lines)].ends_mm
        place = start + share * (end - start)
        others = tuple(mark for mark in marks if mark is not lines[number % len(lines)])
        far = np.hypot(*(taken_mm - place).T).min(initial=np.inf) > PLAIN_FROM_MM
        if far and not on_marks(others, place[None], PLAIN_FROM_MM)[0]:
            places.append(place)
        if len(places) == PLAIN_PLACES:
            break
    return places


def _hinted_spots(
    spots: tuple[Spot, ...],
    metal: Metal,
    marks: tuple[Mark, ...],
    near_mm: NDArray[np.float64],
) -> list[Spot]:
    """Return the clearest spot near each expected place, if it is clear enough for so few places.

    Where lines as bright or as dark as the spot meet, the meeting itself looks like one: there
    a hint is worth nothing.
    """
    plate_mm2 = max(float(metal.mask.sum()) * metal.grid.step_u_mm**2, 1e-9)
    share = min(len(near_mm) * np.pi * REACH_MM**2 / plate_mm2, 1.0)
    chosen = []
    for place in near_mm:
        for spot in spots:
            if spot.log10_nfa + np.log10(share) > LOG10_NEAR_LIMIT:
                break
            if _within_reach(spot, place):
                if not _like_marks(spot, marks):
                    chosen.append(spot)
                break
    return chosen


def _like_marks(spot: Spot, marks: tuple[Mark, ...]) -> bool:
    """Tell whether two lines or arcs of the spot's own brightness pass it."""
    alike = ("double", "bright" if spot.bright else "dark")
    same = [mark for mark in marks if mark.look in alike]
    passing = (on_marks((mark,), spot.centre_mm[None], SAME_PRICK_MM)[0] for mark in same)
    return sum(map(int, passing)) > 1


def _near_any(place_mm: NDArray[np.float64], found: list[PrickMark]) -> bool:
    return any(np.hypot(*(old.centre_mm - place_mm)) < SAME_PRICK_MM for old in found)
