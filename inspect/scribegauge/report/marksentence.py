"""What came of a layout's circles, pricks and distances, in one sentence."""

from collections.abc import Callable, Sequence

from scribegauge.report.reading import Reading
from scribetarget.wording import say, say_count

NOT_SEEN = "not seen"


def judged_marks(reading: Reading) -> list[tuple[str, str]]:
    """Return name and verdict of every circle, place, distance and fitted side that was judged.

    Parameters
    ----------
    reading : Reading
    """
    rows = [(circle.name, circle.verdict) for circle in reading.circles]
    rows += [
        (say("centre of {name}", name=circle.name), circle.off_verdict)
        for circle in reading.circles
    ]
    rows += [(place.name, place.verdict) for place in reading.places]
    rows += [(line.name, line.verdict) for line in reading.marked_lines]
    fitted = reading.fit.sides if reading.fit is not None else ()
    rows += [
        ("\N{EN DASH}".join(each.between), each.verdict) for each in (*reading.distances, *fitted)
    ]
    return [(name, verdict) for name, verdict in rows if verdict is not None]


def mark_sentence(reading: Reading, named: Callable[[Sequence[str]], str]) -> str:
    """Say how many of the layout's other marks are within, or were measured; empty without any.

    Parameters
    ----------
    reading : Reading
    named : callable
        Lists names.
    """
    judged = judged_marks(reading)
    if judged:
        return _judged(judged, named)
    parts = [
        say_count(
            "{count} circle", "{count} circles", sum(c.arc is not None for c in reading.circles)
        ),
        say_count(
            "{count} prick",
            "{count} pricks",
            sum(p.measured_mm is not None for p in reading.places),
        ),
        say_count(
            "{count} distance",
            "{count} distances",
            sum(d.measured_mm is not None for d in reading.distances),
        ),
    ]
    there = [bool(reading.circles), bool(reading.places), bool(reading.distances)]
    shown = [part for part, known in zip(parts, there, strict=True) if known]
    return say("Measured: {things}.", things=", ".join(shown)) if shown else ""


def _judged(judged: list[tuple[str, str]], named: Callable[[Sequence[str]], str]) -> str:
    within = sum(verdict == "within" for _, verdict in judged)
    said = say(
        "{count} of {total} lengths and places within tolerance",
        count=within,
        total=len(judged),
    )
    parts = [said]
    for verdict, text in (
        ("outside", "{names} outside"),
        ("undecided", "{names} undecided"),
    ):
        names = [name for name, word in judged if word == verdict]
        parts += [say(text, names=named(names))] if names else []
    return "; ".join(parts) + "."
