"""What a reading says of hints that led nowhere."""

from collections.abc import Collection
from dataclasses import replace

from scribegauge.report.reading import Reading, Reason
from scribegauge.report.words import side_name
from scribetarget.wording import say


def with_hints(reading: Reading, sides: Collection[int], pricks: Collection[int]) -> Reading:
    """Say where hints showed nothing.

    Parameters
    ----------
    reading : Reading
    sides, pricks : collections of int
        Numbers of the sides and vertices that were pointed at in vain.
    """
    if not sides and not pricks:
        return reading
    names = [side_name(reading.sides[k]) for k in sorted(sides)]
    names += [say("prick {which}", which=reading.vertices[k].name) for k in sorted(pricks)]
    told = Reason(
        "hint_shows_nothing",
        say(
            "Nothing is to be seen where the hints put {names}. If the place is right, take the photo "
            "again with the lamp low from another side.",
            names=", ".join(names),
        ),
    )
    at_side = Reason(
        "hint_shows_nothing",
        say(
            "Nothing stands out from the metal where the hint puts this side's line, 1 mm either way."
        ),
    )
    rows = tuple(
        replace(side, reasons=(*side.reasons, at_side)) if k in sides else side
        for k, side in enumerate(reading.sides)
    )
    status = "warned" if reading.status == "measured" else reading.status
    return replace(reading, status=status, reasons=(*reading.reasons, told), sides=rows)
