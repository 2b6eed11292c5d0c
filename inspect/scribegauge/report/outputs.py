"""The files one check leaves behind.

They belong together: all are drawn before the first is written, and a refusal writes all that were
asked for as well, so that no overlay of an earlier reading lies beside the JSON of this one.
"""

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from scribegauge.errors import ScribegaugeError
from scribegauge.photo.record import Photo
from scribegauge.report.atomic import write_together
from scribegauge.report.csvtable import readings_csv
from scribegauge.report.jsonfile import to_json
from scribegauge.report.outputformats import overlay_file, report_file
from scribegauge.report.reading import Reading, Reason
from scribegauge.report.refusal import photo_reading, refusal
from scribegauge.version import program
from scribetarget.errors import TargetError


@dataclass(frozen=True, slots=True)
class Outputs:
    """Where a check writes what; None where nothing is wanted, ``-`` for standard output.

    `as_taken` leaves the overlay's photo as it was taken, `paper` is what a PDF is set for.
    """

    json_file: Path | None
    overlay: Path | None
    report: Path | None
    csv_file: Path | None = None
    as_taken: bool = False
    paper: str = "a4"

    @property
    def places(self) -> tuple[Path, ...]:
        """Every file asked for."""
        chosen = (self.json_file, self.overlay, self.report, self.csv_file)
        return tuple(place for place in chosen if place is not None)

    @property
    def to_stdout(self) -> bool:
        """Whether standard output is taken, so that nothing else may be printed there."""
        return any(str(place) == "-" for place in self.places)


def write_outputs(outputs: Outputs, photo: Photo, reading: Reading) -> None:
    """Write everything asked for of a measured plate.

    Parameters
    ----------
    outputs : Outputs
    photo : Photo
        The first of the reading.
    reading : Reading
        With a plate.

    Raises
    ------
    UseError
        ``cannot_write``; no file has been changed then.
    """
    _write([*_looked_at(outputs, photo, reading), *_data(outputs, reading)])


def write_refusal(
    outputs: Outputs, error: ScribegaugeError | TargetError, title: str, photos: Sequence[Photo]
) -> None:
    """Write everything asked for of photos that cannot be judged: the reason, in each file.

    Parameters
    ----------
    outputs : Outputs
    error : ScribegaugeError or TargetError
        Why they cannot.
    title : str
        Of the layout.
    photos : sequence of Photo
        Those that could be opened, perhaps none.
    """
    reasons = (Reason(error.code, f"{error.text} {error.cure}"),)
    seen = tuple(photo_reading(photo, "") for photo in photos)
    reading = refusal(reasons, title, seen, program())
    photo = photos[0] if photos else None
    _write([*_looked_at(outputs, photo, reading), *_data(outputs, reading)])


def _looked_at(outputs: Outputs, photo: Photo | None, reading: Reading) -> list[tuple[Path, bytes]]:
    """Return the files that people look at."""
    files = []
    if outputs.overlay is not None:
        place = outputs.overlay
        data = overlay_file(place, photo, reading, as_taken=outputs.as_taken)
        files.append((place, data))
    if outputs.report is not None:
        files.append((outputs.report, report_file(outputs.report, photo, reading, outputs.paper)))
    return files


def _data(outputs: Outputs, reading: Reading) -> list[tuple[Path, bytes]]:
    """Return the files for other programs."""
    files = []
    if outputs.csv_file is not None:
        files.append((outputs.csv_file, readings_csv([reading])))
    if outputs.json_file is not None:
        files.append((outputs.json_file, to_json(reading).encode()))
    return files


def _write(files: Sequence[tuple[Path, bytes]]) -> None:
    write_together([(place, data) for place, data in files if str(place) != "-"])
    for place, data in files:
        if str(place) == "-":
            sys.stdout.buffer.write(data)
            sys.stdout.buffer.flush()
