"""What an opening of the dividers was, as the marks made with it tell.

The dividers leave no mark when they are set. Each circle and each step made with an opening shows
it; what most of them agree on is what it was set to, and one that differs slipped by itself.
"""

import itertools
from collections.abc import Mapping

from scribegauge.construction.record import DrawCircle, Extend, Plan, SetDividers, StepOff
from scribegauge.construction.values import Circle, Value

#: From this many witnesses on, the middle half is averaged: a single slip among them does not move
#: it. Of two that differ nobody can say which is right, so the first made is believed: it was made
#: nearest to the setting.
_ENOUGH = 3


def witnesses(plan: Plan) -> dict[str, tuple[str, ...]]:
    """Return for each opening the marks that were made with it, in order."""
    found: dict[str, list[str]] = {
        step.mark: [] for step in plan.steps if isinstance(step, SetDividers)
    }
    for step in plan.steps:
        if isinstance(step, DrawCircle | StepOff | Extend) and step.opening is not None:
            found[step.opening].append(step.mark)
    return {mark: tuple(users) for mark, users in found.items()}


def shown_mm(plan: Plan, places: Mapping[str, Value]) -> dict[str, dict[str, float]]:
    """Return for each opening what each seen mark shows it to have been [mm].

    Parameters
    ----------
    plan : Plan
    places : Mapping of str to Value
        Measured marks.
    """
    shown: dict[str, dict[str, float]] = {mark: {} for mark in witnesses(plan)}
    for step in plan.steps:
        place = places.get(step.mark)
        match step, place:
            case DrawCircle(opening=str(opening)), Circle(_, radius):
                shown[opening][step.mark] = radius
            case StepOff(start=start, opening=opening), complex() if start in places:
                shown[opening][step.mark] = _chord(place, places[start])
            case Extend(beyond=start, opening=opening), complex() if start in places:
                shown[opening][step.mark] = _chord(place, places[start])
    return shown


def agreed_mm(lengths: Mapping[str, float]) -> float | None:
    """Return what most witnesses agree on [mm]; None without any."""
    if not lengths:
        return None
    if len(lengths) < _ENOUGH:
        return next(iter(lengths.values()))
    ordered = sorted(lengths.values())
    cut = len(ordered) // 4 or 1
    middle = list(itertools.islice(ordered, cut, len(ordered) - cut))
    return sum(middle) / len(middle)


def _chord(place: Value, start: Value) -> float:
    if not isinstance(place, complex) or not isinstance(start, complex):
        raise TypeError("a chord runs between points")
    return abs(place - start)
