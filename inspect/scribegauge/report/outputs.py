"""The files one check leaves behind."""

import sys
from dataclasses import dataclass
from pathlib import Path

from scribegauge.errors import ScribegaugeError
from scribegauge.photo.record import Photo
from scribegauge.report.atomic import write_aside
from scribegauge.report.jsonfile import to_json
from scribegauge.report.overlay import draw_overlay
from scribegauge.report.reading import PhotoReading, Reading, Reason
from scribegauge.report.refusal import refusal
from scribegauge.version import program
from scribetarget.errors import TargetError


@dataclass(frozen=True, slots=True)
class Outputs:
    """Where a check writes what; None where nothing is wanted, ``-`` for standard output."""

    json_file: Path | None
    overlay: Path | None
    report: Path | None

    @property
    def places(self) -> tuple[Path, ...]:
        """Every file asked for."""
        chosen = (self.json_file, self.overlay, self.report)
        return tuple(place for place in chosen if place is not None)

    @property
    def to_stdout(self) -> bool:
        """Whether standard output is taken, so that nothing else may be printed there."""
        return any(str(place) == "-" for place in self.places)


def write_outputs(outputs: Outputs, photo: Photo, reading: Reading) -> None:
    """Write everything asked for of a measured plate.

    Raises
    ------
    UseError
        ``cannot_write``.
    """
    if outputs.overlay is not None:
        _write(outputs.overlay, draw_overlay(photo, reading))
    if outputs.json_file is not None:
        _write(outputs.json_file, to_json(reading).encode())


def write_refusal(
    outputs: Outputs,
    error: ScribegaugeError | TargetError,
    title: str,
    photos: tuple[PhotoReading, ...],
) -> None:
    """Write the reading of a photo that cannot be judged; there is nothing to draw."""
    reasons = (Reason(error.code, f"{error.text} {error.cure}"),)
    if outputs.json_file is not None:
        _write(outputs.json_file, to_json(refusal(reasons, title, photos, program())).encode())


def _write(place: Path, data: bytes) -> None:
    if str(place) == "-":
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    else:
        write_aside(place, data)
