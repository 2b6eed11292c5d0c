"""What is wrong with the photos themselves, as reasons beside the numbers."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from scribegauge.marks.condition import (
    MOST_HIDDEN,
    NOISY,
    TOLD_MM,
    Condition,
    is_moved,
    u_blended_mm,
    widest_blur_mm,
)
from scribegauge.plate.face import Face
from scribegauge.report.reading import AngleReading, Reading, Reason, SideReading
from scribetarget.wording import say

Quantity = TypeVar("Quantity", SideReading, AngleReading)


@dataclass(frozen=True, slots=True)
class Defects:
    """What the photos lack.

    Attributes
    ----------
    reasons : tuple of Reason
        Of the whole reading.
    hidden : tuple of float
        Share of each side that glare hides in every photo.
    """

    reasons: tuple[Reason, ...] = ()
    hidden: tuple[float, ...] = ()


def with_defects(reading: Reading, defects: Defects) -> Reading:
    """Return a reading with what is wrong with its photos, also beside what suffers from it."""
    if not defects.reasons:
        return reading
    count = len(reading.sides)
    lost = [share > MOST_HIDDEN for share in defects.hidden]
    sides = tuple(
        _beside(side, lost=lost[k - 1] or lost[k] or lost[(k + 1) % count])
        for k, side in enumerate(reading.sides)
    )
    angles = tuple(
        _beside(angle, lost=lost[k - 1] or lost[k]) for k, angle in enumerate(reading.angles)
    )
    reasons = (*defects.reasons, *reading.reasons)
    return replace(reading, status="warned", reasons=reasons, sides=sides, angles=angles)


def _beside(quantity: Quantity, *, lost: bool) -> Quantity:
    if not lost:
        return quantity
    told = Reason("glare", say("Part of a line that this depends on is hidden by glare."))
    return replace(quantity, reasons=(*quantity.reasons, told))


def find_defects(
    faces: Sequence[Face],
    conditions: Sequence[Condition],
    hidden: Sequence[float],
    names: Sequence[str],
) -> Defects:
    """Put what is wrong with the photos into sentences.

    Parameters
    ----------
    faces, conditions : sequences of the same length
    hidden : sequence of float, length n
        Share of each side that glare hides in every photo.
    names : sequence of str, length n
        Of the corners.
    """
    return Defects(
        (*_soft(faces, conditions), *_noisy(conditions), *_glare(hidden, names)), tuple(hidden)
    )


def _soft(faces: Sequence[Face], conditions: Sequence[Condition]) -> Iterator[Reason]:
    blurs = [widest_blur_mm(f, c.smear) for f, c in zip(faces, conditions, strict=True)]
    worst = max(range(len(blurs)), key=blurs.__getitem__)
    if u_blended_mm(blurs[worst]) <= TOLD_MM:
        return
    told = {"smear_mm": 2.355 * blurs[worst], "number": worst + 1, "total": len(faces)}
    moved, alone = is_moved(conditions[worst].smear), len(faces) == 1
    yield (_moved if moved else _blurred)(told, alone=alone)


def _moved(told: dict[str, float], *, alone: bool) -> Reason:
    if alone:
        text = say(
            "The photo was taken with a moving phone: it smears lines over {smear_mm:.2f} mm, so U is "
            "wider. Rest the phone on something, and give it more light.",
            **told,
        )
    else:
        text = say(
            "Photo {number} of {total} was taken with a moving phone: it smears lines over "
            "{smear_mm:.2f} mm, so U is wider. Rest the phone on something, and give it more light.",
            **told,
        )
    return Reason("slightly_moved", text)


def _blurred(told: dict[str, float], *, alone: bool) -> Reason:
    if alone:
        text = say(
            "The photo is a little soft: it smears lines over {smear_mm:.2f} mm, so U is wider. Tap on "
            "the plate to focus, come closer, and send the photo unshrunk.",
            **told,
        )
    else:
        text = say(
            "Photo {number} of {total} is a little soft: it smears lines over {smear_mm:.2f} mm, so U "
            "is wider. Tap on the plate to focus, come closer, and send the photo unshrunk.",
            **told,
        )
    return Reason("slightly_blurred", text)


def _noisy(conditions: Sequence[Condition]) -> Iterator[Reason]:
    worst = max(condition.noise_share for condition in conditions)
    if worst > NOISY:
        yield Reason(
            "photo_noisy",
            say(
                "The photo is dark: its noise is {percent:.0f} % of the contrast between ink and paper, "
                "so faint lines may be missing and U is wider. Bring a lamp nearer.",
                percent=100 * worst,
            ),
        )


def _glare(hidden: Sequence[float], names: Sequence[str]) -> Iterator[Reason]:
    sides = [
        f"{names[k]}\N{EN DASH}{names[(k + 1) % len(names)]} ({100 * share:.0f} %)"
        for k, share in enumerate(hidden)
        if share > MOST_HIDDEN
    ]
    if sides:
        yield Reason(
            "glare",
            say(
                "Glare hides part of {sides}; what depends on that has a wider U or was not measured. Move "
                "the lamp or the phone until no reflection lies on a line, or give a second photo lit "
                "from elsewhere.",
                sides=", ".join(sides),
            ),
        )
