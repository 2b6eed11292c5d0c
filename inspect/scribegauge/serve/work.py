"""What a worker process does with one plate: the same steps as ``scribegauge check``."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

import numpy as np

from scribegauge.errors import PhotoError, ScribegaugeError
from scribegauge.figure.request import Request
from scribegauge.photo.load import photo_from_bytes
from scribegauge.photo.record import Photo
from scribegauge.pipeline import check
from scribegauge.report.atomic import write_together
from scribegauge.report.cutting import cut
from scribegauge.report.frame import WIDTH_PX, straight_frame
from scribegauge.report.htmlfile import write_report
from scribegauge.report.jpeg import jpeg_within, narrowed
from scribegauge.report.jsonfile import to_json
from scribegauge.report.overlay import figure_drawing
from scribegauge.report.overlaywords import described
from scribegauge.report.reading import Reading, Reason
from scribegauge.report.readingfile import load_reading
from scribegauge.report.refusal import photo_reading, refusal
from scribegauge.report.scene import scene_of
from scribegauge.report.svgdrawing import svg_file
from scribegauge.serve.placeless import placeless_png
from scribegauge.serve.shelf import PHOTO, RAW_PHOTO
from scribegauge.version import program
from scribetarget.errors import TargetError

#: What a photo is called in sentences: names of files are the sender's business.
PHOTO_NAME: Final = "photo"
_VIEW_BYTES: Final = 600_000


@dataclass(frozen=True, slots=True)
class Errand:
    """One measuring to be done.

    Attributes
    ----------
    folder : Path
        Of the plate.
    sha256 : str
        Of the photo as it was sent, by which the ledger knows it.
    stem : str
        What the files of the result are called.
    request : Request
    """

    folder: Path
    sha256: str
    stem: str
    request: Request


def measure(errand: Errand) -> str:
    """Measure one plate and lay reading, overlay and view beside its photo.

    Returns
    -------
    str
        The reading's status. Never raises for a photo.
    """
    photos: list[Photo] = []
    try:
        photos.append(photo_of(errand.folder, errand.sha256))
        reading = check(tuple(photos), errand.request)
    except (ScribegaugeError, TargetError) as error:
        reading = refused(errand, error, photos)
    except Exception as error:  # noqa: BLE001 - one photo must not end the evening for all
        reading = refused(errand, _fault(error), photos)
    write_together(_files(errand, photos[0] if photos else None, reading))
    return reading.status


def give_up(errand: Errand) -> str:
    """Write the refusal of a plate that ended its worker, or kept it too long, twice."""
    error = PhotoError(
        "worker_lost",
        "The process that measured this plate ended or came to no end, twice.",
        "Take the photo again; if it happens again, tell your teacher.",
    )
    reading = refused(errand, error, ())
    write_together(_files(errand, None, reading))
    return reading.status


def report_of(errand: Errand) -> bytes:
    """Return the whole report of a plate that was measured, as ``check --report`` writes it."""
    reading = load_reading(errand.folder / f"{errand.stem}.json")
    try:
        photo = photo_of(errand.folder, errand.sha256)
    except (PhotoError, OSError):
        return write_report(None, reading)
    return write_report(photo, reading)


def photo_of(folder: Path, sha256: str) -> Photo:
    """Read a plate's photo, its place data taken out first.

    Raises
    ------
    PhotoError
        As `photo_from_bytes`.
    """
    return replace(photo_from_bytes(clean_photo(folder), PHOTO_NAME), sha256=sha256)


def clean_photo(folder: Path, name: str = PHOTO, raw_name: str = RAW_PHOTO) -> bytes:
    """Return a photo's bytes; one that still waits with its place data is written anew without.

    Raises
    ------
    PhotoError
        As `photo_from_bytes`; the file is gone then.
    """
    raw = folder / raw_name
    if raw.exists():
        try:
            write_together([(folder / name, placeless_png(raw.read_bytes(), PHOTO_NAME))])
        finally:
            raw.unlink(missing_ok=True)
    try:
        return (folder / name).read_bytes()
    except FileNotFoundError as error:
        raise PhotoError("photo_gone", "The photo is no longer there.", "Take it again.") from error


def refused(
    errand: Errand, error: ScribegaugeError | TargetError, photos: Sequence[Photo]
) -> Reading:
    """Return the reading of a photo that could not be judged."""
    reasons = (Reason(error.code, f"{error.text} {error.cure}"),)
    seen = tuple(photo_reading(photo, "") for photo in photos)
    return refusal(reasons, errand.request.layout.title, seen, program())


def _files(errand: Errand, photo: Photo | None, reading: Reading) -> list[tuple[Path, bytes]]:
    """Return the reading last: once it is there, everything is."""
    files: dict[str, bytes] = {}
    if photo is not None and reading.plate is not None:
        frame = straight_frame(reading)
        words = described(reading, scene_of(reading, frame).factor)
        drawing = figure_drawing(photo, reading, frame)
        files["svg"] = svg_file(drawing, reading.title, words)
        files["jpg"] = jpeg_within(cut(photo, frame), _VIEW_BYTES)
    elif photo is not None:
        files["jpg"] = jpeg_within(narrowed(np.asarray(photo.rgb), WIDTH_PX), _VIEW_BYTES)
    files["json"] = to_json(reading).encode()
    return [(errand.folder / f"{errand.stem}.{end}", data) for end, data in files.items()]


def _fault(error: Exception) -> PhotoError:
    return PhotoError(
        "program_fault",
        f"A fault of the program itself ({type(error).__name__}: {error}).",
        "Take the photo again, and report this with the photo.",
    )
