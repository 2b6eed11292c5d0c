"""Which photos must be taken again, and the sentence to send back."""

from collections.abc import Sequence
from dataclasses import dataclass

from scribegauge.batch.evening import Finished
from scribegauge.report.reading import Reading

# A person's own slip or the program's fault: no new photo helps.
_NOT_THE_PHOTO = frozenset({"worker_lost", "program_fault", "photo_gone"})


@dataclass(frozen=True, slots=True)
class Again:
    """One photo to take again.

    Attributes
    ----------
    pupil, photo, why : str
    sentence : str
        Ready to be sent to the pupil.
    """

    pupil: str
    photo: str
    why: str
    sentence: str


def photos_again(finished: Sequence[Finished]) -> tuple[Again, ...]:
    """List the photos that were refused, or show only part of the figure.

    Parameters
    ----------
    finished : sequence of Finished
    """
    return tuple(again for each in finished if (again := _again(each)) is not None)


def again_text(rows: Sequence[Again]) -> str:
    """Write the list as plain text, a paragraph for each photo."""
    if not rows:
        return "No photo has to be taken again.\n"
    return "\n".join(f"{row.pupil}\n{row.sentence}\n" for row in rows)


def _again(each: Finished) -> Again | None:
    reading = each.reading
    if reading.status == "refused":
        code = reading.reasons[0].code if reading.reasons else ""
        text = reading.reasons[0].text if reading.reasons else ""
        asked = "" if code in _NOT_THE_PHOTO or "again" in text else " Please take it again."
        sentence = f"{_yours(each)} cannot be judged. {text}{asked}"
        return Again(each.pupil, each.photo, code, sentence)
    unseen = _unseen(reading)
    if not unseen:
        return None
    what = "side" if len(unseen) == 1 else "sides"
    return Again(
        each.pupil,
        each.photo,
        "side_not_seen",
        f"{_yours(each)} does not show {what} {', '.join(unseen)}. Please take two photos, the plate "
        "lying still and the lamp low from another side in the second, and hand them in in one "
        "folder.",
    )


def _yours(each: Finished) -> str:
    return f"Your {'photo' if len(each.photos) == 1 else 'pair of photos'} {each.photo}"


def _unseen(reading: Reading) -> list[str]:
    return [f"{s.start}-{s.end}" for s in reading.sides if s.measured_mm is None]
