"""One plate measured by itself: what a core, or another machine, is given, and what comes back."""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from pathlib import Path

import numpy as np
from PIL import Image

from scribegauge.batch.classfile import Setting
from scribegauge.batch.handedin import Plate
from scribegauge.errors import PhotoError, ScribegaugeError
from scribegauge.figure.request import Request
from scribegauge.photo.load import photo_from_bytes
from scribegauge.photo.record import Photo
from scribegauge.photo.twins import refuse_twins
from scribegauge.pipeline import check
from scribegauge.report.htmlfile import write_report
from scribegauge.report.jpeg import jpeg, narrowed
from scribegauge.report.jsonfile import to_json
from scribegauge.report.overlay import draw_overlay
from scribegauge.report.reading import Reading, Reason
from scribegauge.report.refusal import photo_reading, refusal
from scribegauge.version import program
from scribetarget.errors import TargetError

_SMALL_PX, _SMALL_QUALITY = 560, 78


@dataclass(frozen=True, slots=True)
class Job:
    """One plate to measure.

    Attributes
    ----------
    mark : str
        Changes with the photos and with everything that the reading goes by.
    pupil, name : str
    photos : tuple of Path
    request : Request
    """

    mark: str
    pupil: str
    name: str
    photos: tuple[Path, ...]
    request: Request


@dataclass(frozen=True, slots=True)
class SentJob:
    """A job with its photos' bytes, for a machine that does not see the folder."""

    job: Job
    files: tuple[tuple[str, bytes], ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one plate.

    Attributes
    ----------
    reading : str
        JSON; a refusal where it could not be measured.
    cure : str
        What to do about a refusal, to be sent to the pupil; empty where there is none.
    sheet : bytes
        The pupil's feedback sheet (HTML).
    small : bytes
        The overlay, or the photo, as a small JPEG; empty where no photo could be read.
    """

    reading: str
    cure: str
    sheet: bytes
    small: bytes


def job_of(plate: Plate, setting: Setting) -> Job:
    """Return the job of one plate."""
    parts = [plate.pupil, plate.name, setting.digest, *plate.shas]
    mark = sha256("\0".join(parts).encode()).hexdigest()
    return Job(mark, plate.pupil, plate.name, plate.photos, setting.request)


def measure_here(job: Job) -> Outcome:
    """Measure one plate whose photos this machine can read; never raises for a photo."""
    try:
        files = _read(job.photos)
    except OSError as error:
        name = job.photos[0].name
        return _outcome(job.request, (), _unreadable(name, error))
    return measure_sent(SentJob(job, files))


def send(job: Job) -> SentJob:
    """Add the photos' bytes to a job."""
    return SentJob(job, _read(job.photos))


def measure_sent(sent: SentJob) -> Outcome:
    """Measure one plate from its photos' bytes; never raises for a photo."""
    request = sent.job.request
    photos: list[Photo] = []
    try:
        photos.extend(photo_from_bytes(data, name) for name, data in sent.files)
        refuse_twins(photos)
        reading = check(tuple(photos), request)
    except (ScribegaugeError, TargetError) as error:
        return _outcome(request, photos, error)
    except Exception as error:  # noqa: BLE001 - one photo must not end the evening for all
        return _outcome(request, photos, _fault(error))
    return Outcome(
        to_json(reading), "", write_report(photos[0], reading), _small(photos[0], reading)
    )


def lost(job: Job) -> Outcome:
    """Return the outcome of a job that ended its worker, twice."""
    error = PhotoError(
        "worker_lost",
        "The process that measured this plate was ended from outside, twice.",
        "Free some memory and run the class again; if it happens again, check this photo alone.",
    )
    return _outcome(job.request, (), error)


def _outcome(
    request: Request, photos: Sequence[Photo], error: ScribegaugeError | TargetError
) -> Outcome:
    reasons = (Reason(error.code, f"{error.text} {error.cure}"),)
    seen = tuple(photo_reading(photo, "") for photo in photos)
    reading = refusal(reasons, request.layout.title, seen, program())
    photo = photos[0] if photos else None
    small = b"" if photo is None else jpeg(narrowed(photo.rgb, _SMALL_PX), _SMALL_QUALITY)
    return Outcome(to_json(reading), error.cure, write_report(photo, reading), small)


def _small(photo: Photo, reading: Reading) -> bytes:
    with Image.open(BytesIO(draw_overlay(photo, reading))) as drawn:
        picture = np.asarray(drawn.convert("RGB"))
    return jpeg(narrowed(picture, _SMALL_PX), _SMALL_QUALITY)


def _read(photos: Sequence[Path]) -> tuple[tuple[str, bytes], ...]:
    return tuple((photo.name, photo.read_bytes()) for photo in photos)


def _unreadable(name: str, error: OSError) -> PhotoError:
    why = error.strerror or "unknown reason"
    return PhotoError(
        "photo_gone",
        f"{name} cannot be read any more ({why}).",
        "See whether the folder is still there, and run the class again.",
    )


def _fault(error: Exception) -> PhotoError:
    return PhotoError(
        "program_fault",
        f"A fault of the program itself ({type(error).__name__}: {error}).",
        "Take the photo again, and report this with the photo.",
    )
