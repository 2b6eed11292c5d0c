"""What several photos of one plate tell beyond its lines, as reasons and as a refusal."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TypeVar

import numpy as np

from scribegauge.errors import PhotoError
from scribegauge.figure.several import Finding
from scribegauge.plate.face import U_UNKNOWN_THICKNESS_MM, Face
from scribegauge.report.reading import AngleReading, PlateReading, Reading, Reason, SideReading
from scribegauge.report.words import decimals_for, side_name
from scribegauge.uncertainty.propagation import COVERAGE_FACTOR
from scribetarget.wording import digits, say

Quantity = TypeVar("Quantity", SideReading, AngleReading)

# Of the sides that two photos show, so many must disagree before it is not the same figure.
DIFFERENT_SHARE = 0.5
FEWEST_DIFFERENT = 2
# A height known this much better than that of any plate is worth telling.
WORTH_TELLING = 0.5


def with_finding(reading: Reading, finding: Finding | None, given: Face) -> Reading:
    """Return a reading with what its photos together tell.

    Parameters
    ----------
    reading : Reading
    finding : Finding or None
        None where there is one photo.
    given : Face
        As the thickness that was given puts it.

    Raises
    ------
    PhotoError
        ``plates_differ`` when most sides lie apart however the plate was moved.
    """
    if finding is None or reading.plate is None:
        return reading
    _refuse_different(reading, finding)
    told = tuple(_reasons(reading, finding, given))
    kept = tuple(_height_told(reason, finding) for reason in reading.reasons)
    count, disputed = len(reading.sides), set(finding.account.disputed)
    sides = [
        _beside(side, disputed & {(k - 1) % count, k, (k + 1) % count})
        for k, side in enumerate(reading.sides)
    ]
    angles = [
        _beside(angle, disputed & {(k - 1) % count, k}) for k, angle in enumerate(reading.angles)
    ]
    return replace(
        reading,
        status="warned" if told else reading.status,
        reasons=(*told, *kept),
        plate=_plate(reading.plate, finding, given),
        sides=tuple(sides),
        angles=tuple(angles),
    )


def _beside(quantity: Quantity, disputed: set[int]) -> Quantity:
    if not disputed:
        return quantity
    told = Reason("photos_disagree", say("The photos show a line that this depends on apart."))
    return replace(quantity, reasons=(*quantity.reasons, told))


def _plate(plate: PlateReading, finding: Finding, given: Face) -> PlateReading:
    return replace(
        plate,
        thickness_mm=given.thickness_mm,
        height_mm=finding.height_mm,
        U_height_mm=COVERAGE_FACTOR * finding.u_height_mm,
        face_tilt_deg=_tilt_deg(finding),
    )


def _tilt_deg(finding: Finding) -> float:
    return float(np.degrees(np.arctan(np.hypot(*finding.slopes))))


def _refuse_different(reading: Reading, finding: Finding) -> None:
    disputed = finding.account.disputed
    if len(disputed) < FEWEST_DIFFERENT or len(disputed) <= DIFFERENT_SHARE * finding.compared:
        return
    names = ", ".join(side_name(reading.sides[side]) for side in disputed)
    apart_mm = max(finding.apart_mm[side] for side in disputed)
    raise PhotoError(
        "plates_differ",
        say(
            "The photos do not show the same plate: they put {count} of the {total} sides that they share "
            "({sides}) up to {apart_mm:.2f} mm apart.",
            count=len(disputed),
            total=finding.compared,
            sides=names,
            apart_mm=apart_mm,
        ),
        say(
            "Give the photos of one plate together and the others by themselves; if it is one plate, "
            "see in the overlay of each photo alone which of them shows other lines."
        ),
    )


def _reasons(reading: Reading, finding: Finding, given: Face) -> Iterator[Reason]:
    cause, photos = finding.account.cause, [photo.name for photo in reading.photos]
    if cause == "height":
        yield _contradicted(finding, given)
    elif cause == "tilt":
        yield _tilted(finding, given)
    elif cause == "moved":
        yield _moved(finding, photos)
    for side in finding.account.disputed:
        yield _disputed(side_name(reading.sides[side]), side, finding, photos)


def _height(finding: Finding) -> str:
    expanded = COVERAGE_FACTOR * finding.u_height_mm
    places = decimals_for(expanded)
    return f"{digits(finding.height_mm, places)} ± {digits(expanded, places)} mm"


def _contradicted(finding: Finding, given: Face) -> Reason:
    return Reason(
        "thickness_contradicted",
        say(
            "The photos put the scribed face {height} above the paper, and the thickness given is "
            "{given_mm:.2f} mm. Lengths are worked out with what the photos show. Measure the thickness "
            "again, and see that nothing lies under the plate and that nobody moved it between the "
            "photos.",
            height=_height(finding),
            given_mm=given.thickness_mm,
        ),
    )


def _tilted(finding: Finding, given: Face) -> Reason:
    width = float(np.ptp(given.outline_mm, axis=0).max())
    rise = width * float(np.hypot(*finding.slopes))
    return Reason(
        "plate_not_flat",
        say(
            "The plate does not lie flat: the photos show it rise by {rise_mm:.1f} mm from one edge to "
            "the other ({tilt_deg:.1f}°). Lengths allow for it, but less well than for a flat plate. "
            "Wipe sheet and plate, take burrs off its underside, and take the photos again.",
            rise_mm=rise,
            tilt_deg=_tilt_deg(finding),
        ),
    )


def _moved(finding: Finding, photos: Sequence[str]) -> Reason:
    farthest = int(np.argmax(finding.moved_mm))
    return Reason(
        "plate_moved",
        say(
            "The plate was moved by about {moved_mm:.1f} mm between {first} and {second}. The figure "
            "allows for it, but the photos then do not tell how high the plate's face lies. Leave the "
            "plate where it lies and move only lamp or camera.",
            moved_mm=max(finding.moved_mm),
            first=photos[0],
            second=photos[farthest],
        ),
    )


def _disputed(name: str, side: int, finding: Finding, photos: Sequence[str]) -> Reason:
    odd = finding.odd[side]
    told = {"side": name, "apart_mm": finding.apart_mm[side]}
    if odd is None:
        text = say(
            "The photos show the line of {side} {apart_mm:.2f} mm apart, more than light, lens and "
            "height explain, so it may be two strokes or a scratch; U allows for either. Check each "
            "photo alone with --overlay and leave out the one that took the wrong stroke.",
            **told,
        )
    else:
        text = say(
            "{photo} and the other photos show the line of {side} {apart_mm:.2f} mm apart, more than "
            "light, lens and height explain, so it may be two strokes or a scratch; U allows for "
            "either. Check each photo alone with --overlay and leave out the one that took the wrong "
            "stroke.",
            photo=photos[odd],
            **told,
        )
    return Reason("photos_disagree", text)


def _height_told(reason: Reason, finding: Finding) -> Reason:
    """Say how high the face lies where nobody gave the thickness and the photos tell it."""
    if reason.code != "thickness_not_given":
        return reason
    if finding.u_height_mm > WORTH_TELLING * U_UNKNOWN_THICKNESS_MM:
        return reason
    return Reason(
        reason.code,
        say(
            "The plate's thickness was not given; the photos put its face {height} above the paper, "
            "which lengths are worked out with. Measure it with a caliper and give it with --thickness.",
            height=_height(finding),
        ),
    )
