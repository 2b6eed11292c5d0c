"""What a reading was made with, for whoever wants to make it again."""

import re

from scribegauge.report.reading import PhotoReading, PlateReading, Reading
from scribegauge.report.sheetwords import bars_text
from scribegauge.report.words import KEEP, TIMES, class_name, decimals_for
from scribetarget.wording import digits, later, plain, say

_SHA_SHOWN = 12
_TAKEN = re.compile(r"(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d:\d\d)")
_LENS = {
    "profile": later("camera profile"),
    "exif": later("no camera profile; focal length from the photo's own record"),
    "guess": later("no camera profile and no record of the lens; guessed"),
}


def settings_of(reading: Reading) -> tuple[tuple[str, str], ...]:
    """List name and value of everything a reading depends on.

    Parameters
    ----------
    reading : Reading
    """
    rows = []
    for k, photo in enumerate(reading.photos):
        number = f" {k + 1}" if len(reading.photos) > 1 else ""
        rows.append((say("Photo") + number, photo_text(photo)))
        rows.append((say("Lens") + number, lens_text(photo)))
    rows += _plate(reading)
    if reading.status != "refused":  # a refusal does not carry it
        rows.append((say("Tolerance"), _tolerance(reading)))
    rows.append((say("Program"), reading.program))
    return tuple(rows)


def photo_text(photo: PhotoReading) -> str:
    """Name a photo: file, size, date, and the first digits of its fingerprint."""
    size = f"{photo.width_px}{KEEP}{TIMES}{KEEP}{photo.height_px} px"
    return f"{photo.name}, {size}, {when(photo.taken)}, SHA-256 {photo.sha256[:_SHA_SHOWN]}…"


def lens_text(photo: PhotoReading) -> str:
    """Say how the lens was known."""
    source, _, name = photo.camera.partition(": ")
    if source not in _LENS:
        return photo.camera or say("not known")
    how = say(_LENS[source])
    return f"{how} ({name})" if name else how


def when(taken: str | None) -> str:
    """Turn the camera's ``2026:03:04 18:22:01`` into ``2026-03-04 18:22``."""
    if not taken:
        return say("no date")
    date = _TAKEN.match(taken)
    return "{}-{}-{} {}".format(*date.groups()) if date else taken


def _thickness(plate: PlateReading, *, known: bool) -> str:
    given = f"{plain(plate.thickness_mm)} mm"
    if plate.height_mm is None or plate.U_height_mm is None:
        return given if known else say("not measured; {given} assumed", given=given)
    places = decimals_for(plate.U_height_mm)
    found = f"{digits(plate.height_mm, places)} ± {digits(plate.U_height_mm, places)} mm"
    if known:
        return say("{given}; {found} as the photos show", given=given, found=found)
    return say("not measured; {found} as the photos show", found=found)


def _plate(reading: Reading) -> list[tuple[str, str]]:
    plate = reading.plate
    if plate is None:
        return []
    codes = {reason.code for reason in reading.reasons}
    bars = say("not measured") if "bars_not_measured" in codes else say("measured")
    known = "thickness_not_given" not in codes
    return [
        (say("Target"), say("size {size}", size=plate.target_size)),
        (say("Check bars"), bars if plate.sheet is None else bars_text(plate.sheet)),
        (say("Plate thickness"), _thickness(plate, known=known)),
        (say("Camera tilt"), f"{plate.tilt_deg:.0f}°"),
        (say("Scale of the photo"), say("{scale:.1f} px per mm", scale=plate.scale_px_per_mm)),
    ]


def _tolerance(reading: Reading) -> str:
    parts = []
    if reading.tolerance_side_mm is not None:
        parts.append(say("sides ±{limit} mm", limit=plain(reading.tolerance_side_mm)))
    if reading.tolerance_angle_deg is not None:
        parts.append(say("angles ±{limit}°", limit=plain(reading.tolerance_angle_deg)))
    if reading.tolerance_class is not None:
        parts.append(class_name(reading))
    return ", ".join(parts) or say("none given")
