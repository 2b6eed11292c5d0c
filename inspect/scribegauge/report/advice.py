"""What limits the accuracy, and what to do better next time."""

from dataclasses import dataclass

from scribegauge.report.reading import Reading, SideReading, Term
from scribegauge.report.table import typical_side
from scribegauge.report.words import decimals_for
from scribetarget.wording import digits, later, say

# Anything below this share of U² would not be seen in U if it were gone.
_WORTH_A_WORD = 0.05
_SHOWN = 3

_CAUSES = {
    "lens": later("how the lens bends the picture"),
    "focal": later("the focal length of the camera"),
    "bars": later("the length of the check bars on the sheet"),
    "caliper": later("the error of the caliper that they were measured with"),
    "climate": later("paper and metal growing with damp and warmth"),
    "corners": later("how well the target's corners were seen"),
    "sheet": later("the sheet not lying flat"),
    "thickness": later("the thickness of the plate"),
    "flatness": later("the plate not lying flat on the paper"),
    "optics": later("which wall of the groove the light showed"),
    "line": later("how well the lines were seen"),
}

_CURES = {
    "lens": later(
        "Make a camera profile once: 10 to 15 photos of the target alone, tilted, for "
        "`scribegauge camera`. Give it with --camera from then on."
    ),
    "focal": later(
        "Tilt the phone by 10 to 20 degrees instead of looking straight down, or use a camera "
        "profile."
    ),
    "bars": later(
        "Measure both check bars again with a caliper and give every pair with its own --bars; "
        "the readings are averaged."
    ),
    "caliper": later(
        "Measure the check bars with a better caliper, and say with --caliper-error how far off "
        "it may be; more readings with the same one do not help."
    ),
    "climate": later(
        "Measure the check bars in the room where the photo is taken, just before it."
    ),
    "corners": later("Let the ring of squares nearly fill the picture, sharp and evenly lit."),
    "thickness": later(
        "Measure the plate's thickness with a micrometer, in several places, and give the "
        "mean with --thickness."
    ),
    "sheet": later("Lay the sheet on something hard and flat, and tape its edges down."),
    "flatness": later(
        "Deburr the plate, brush away swarf, hold the sheet flat; a second photo from "
        "another side shows a plate that is not flat."
    ),
    "optics": later(
        "Take a second photo with the lamp on the opposite side and give both photos to one "
        "check: what one wall of the groove does wrong, the other takes back."
    ),
    "line": later("Put the lamp lower and to the side, and see that the scribed lines are sharp."),
}
_WITH_PROFILE = {
    "lens": later(
        "Make the camera profile anew with more photos of the target, more strongly tilted."
    ),
}
_AGAIN = {
    "optics": later(
        "Take one more photo with the lamp on yet another side, and give all of them to one check."
    ),
    "flatness": later("Deburr the plate, brush away swarf and hold the sheet flat."),
}
# What the reading's own reasons say was left out.
_LEFT_OUT = {
    "bars_not_measured": {
        "bars": later("Measure both check bars with a caliper and give them with --bars.")
    },
    "thickness_not_given": {
        "thickness": later(
            "Measure the plate's thickness with a caliper and give it with --thickness."
        )
    },
}


@dataclass(frozen=True, slots=True)
class Limit:
    """One cause of uncertainty: expanded (k = 2) [mm], its share of U², and what to do about it."""

    cause: str
    expanded: str
    percent: int
    cure: str


@dataclass(frozen=True, slots=True)
class Limits:
    """What limits one side that stands for all, its U [mm] and the causes."""

    side: SideReading
    expanded: str
    rows: tuple[Limit, ...]


def limits_of(reading: Reading) -> Limits | None:
    """Give the largest causes of a typical side's uncertainty, largest first.

    Parameters
    ----------
    reading : Reading

    Returns
    -------
    Limits or None
        At most three; None where no side was measured or its terms are not known.
    """
    typical = typical_side(reading.sides)
    if typical is None or typical.U_mm is None or not typical.terms:
        return None
    total = sum(term.u**2 for term in typical.terms)
    largest = sorted(typical.terms, key=lambda term: -term.u)[:_SHOWN]
    places = decimals_for(typical.U_mm)
    rows = [
        Limit(
            cause_of(term),
            digits(2 * term.u, places),
            round(100 * term.u**2 / total),
            cure_of(term, reading),
        )
        for term in largest
        if term.u**2 >= _WORTH_A_WORD * total > 0
    ]
    return Limits(typical, digits(typical.U_mm, places), tuple(rows))


def cause_of(term: Term) -> str:
    """Name a term of the budget in plain words."""
    known = _CAUSES.get(term.name)
    return term.name.replace("_", " ") if known is None else say(known)


def cure_of(term: Term, reading: Reading) -> str:
    """Say what makes a term smaller; empty where nothing is known to."""
    special: dict[str, str] = {}
    if reading.photos and reading.photos[0].camera.startswith("profile"):
        special |= _WITH_PROFILE
    if len(reading.photos) > 1:
        special |= _AGAIN
    for reason in reading.reasons:
        special |= _LEFT_OUT.get(reason.code, {})
    cure = special.get(term.name, _CURES.get(term.name, ""))
    return say(cure) if cure else ""
