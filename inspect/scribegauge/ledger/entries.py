"""From a reading to an entry: whose, of which day, and without what is nobody's business."""

from dataclasses import replace
from datetime import UTC, date, datetime

from scribegauge.errors import UseError
from scribegauge.ledger.record import Entry, check_code
from scribegauge.report.jsonfile import from_json, to_json
from scribegauge.report.reading import Reading, Reason

_SHA_SHOWN = 12


def entry_of(pupil: str, reading: Reading, made: date | None = None) -> Entry:
    """Make the entry of a reading.

    People put names into the names of files: a photo is called by its fingerprint from here on.

    Parameters
    ----------
    pupil : str
    reading : Reading
        Of a plate that could be measured.
    made : date, optional
        When the plate was made; left out, the photo's own day, or today.

    Raises
    ------
    UseError
        ``pupil_code``, ``nothing_to_keep`` for a refusal, ``made_in_future``.
    """
    check_code(pupil)
    if reading.status == "refused" or not reading.photos:
        raise UseError(
            "nothing_to_keep",
            "This reading is a refusal: there is nothing to keep.",
            "Take the photo again as it says, and keep that one.",
        )
    now = datetime.now(UTC)
    day, made_by = _day(reading, made, now)
    if day > now.astimezone().date():
        raise UseError(
            "made_in_future",
            f"The plate is said to have been made on {day}, which is yet to come.",
            "Give its day with --made, year first, or set the clock of the camera.",
        )
    return Entry(
        pupil,
        day,
        made_by,
        reading.title,
        reading.program,
        now.isoformat(timespec="seconds"),
        tuple(photo.sha256 for photo in reading.photos),
        to_json(without_file_names(reading)),
    )


def reading_in(entry: Entry) -> Reading:
    """Return an entry's reading."""
    return from_json(entry.reading)


def without_file_names(reading: Reading) -> Reading:
    """Call every photo by its fingerprint, in the reasons too."""
    names = {photo.name: f"photo-{photo.sha256[:_SHA_SHOWN]}" for photo in reading.photos}
    photos = tuple(replace(photo, name=names[photo.name]) for photo in reading.photos)

    def told(reasons: tuple[Reason, ...]) -> tuple[Reason, ...]:
        return tuple(replace(reason, text=_renamed(reason.text, names)) for reason in reasons)

    return replace(
        reading,
        photos=photos,
        reasons=told(reading.reasons),
        sides=tuple(replace(side, reasons=told(side.reasons)) for side in reading.sides),
        angles=tuple(replace(angle, reasons=told(angle.reasons)) for angle in reading.angles),
    )


def _renamed(text: str, names: dict[str, str]) -> str:
    for name in sorted(names, key=len, reverse=True):
        if len(name) > 1:  # "-" is standard input
            text = text.replace(name, names[name])
    return text


def _day(reading: Reading, made: date | None, now: datetime) -> tuple[date, str]:
    if made is not None:
        return made, "given"
    try:
        return date.fromisoformat((reading.photos[0].taken or "")[:10]), "photo"
    except ValueError:
        return now.astimezone().date(), "kept"
