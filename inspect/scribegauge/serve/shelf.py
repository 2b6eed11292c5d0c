"""Plates on the bench: a folder for each, with its photo, record and readings."""

import re
import secrets
import shutil
import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

import msgspec

from scribegauge.report.atomic import make_folder, write_aside
from scribegauge.report.jsonfile import from_json
from scribegauge.report.reading import Reading
from scribegauge.serve.placeless import is_jpeg, placeless_jpeg
from scribegauge.serve.record import PLATE_VERSION, Choice, Plate, Pointed, Run
from scribegauge.serve.refusals import BenchError

NAME: Final = re.compile("[0-9a-f]{16}")
RECORD: Final = "plate.json"
#: A photo that is no JPEG waits under the second name until a worker has taken its place data out.
PHOTO, RAW_PHOTO = "photo", "photo.raw"
_MOST_RUNS: Final = 50


class PlateShelf:
    """All plates of one bench."""

    def __init__(self, folder: Path) -> None:
        self._folder, self._lock = folder, threading.Lock()
        make_folder(folder)
        self._folder.chmod(0o700)

    def put(self, owner: str, photo: bytes, sha256: str, choice: Choice) -> Plate:
        """Lay a new plate on the shelf; it is on the disk when this returns.

        Raises
        ------
        UseError
            ``cannot_write``.
        """
        sent = datetime.now(UTC).isoformat(timespec="seconds")
        plate = Plate(PLATE_VERSION, secrets.token_hex(8), owner, sent, sha256, choice)
        make_folder(self.folder_of(plate))
        keep_photo(self.folder_of(plate), photo)
        self._write(plate)
        return plate

    def folder_of(self, plate: Plate) -> Path:
        """Return the folder of a plate."""
        return self._folder / plate.name

    def take(self, name: str) -> Plate:
        """Return a plate by its name.

        Raises
        ------
        BenchError
            ``plate_unknown``.
        """
        plate = self._read(name) if NAME.fullmatch(name) else None
        if plate is None:
            raise unknown_plate()
        return plate

    def all(self) -> tuple[Plate, ...]:
        """Return all plates, the newest first."""
        names = sorted(path.name for path in self._folder.iterdir())
        found = (self._read(name) for name in names if NAME.fullmatch(name))
        plates = [plate for plate in found if plate is not None]
        return tuple(sorted(plates, key=lambda plate: (plate.sent, plate.name), reverse=True))

    def reading_of(self, plate: Plate, run: Run | None = None) -> Reading | None:
        """Return what a run found, the last one's by default; None while it is being read."""
        try:
            text = self.file_of(plate, "json", run).read_text(encoding="ascii")
        except FileNotFoundError:
            return None
        return from_json(text)

    def file_of(self, plate: Plate, ending: str, run: Run | None = None) -> Path:
        """Return a file of a run, the last one's by default."""
        return self.folder_of(plate) / f"run-{(run or plate.run).number}.{ending}"

    def point(self, name: str, pointed: Pointed) -> Plate:
        """Add a run that goes by where the person pointed.

        Raises
        ------
        BenchError
            ``plate_unknown``, ``too_many_runs``.
        """

        def changed(plate: Plate) -> Plate:
            if plate.counted >= _MOST_RUNS:
                raise BenchError(
                    "too_many_runs", "This plate was mended very often.", "Take a new photo."
                )
            run = Run(plate.counted, pointed)
            return replace(plate, runs=(*plate.runs, run), counted=plate.counted + 1)

        return self._change(name, changed)

    def undo(self, name: str) -> Plate:
        """Take the last run away, unless it is the only one."""
        return self._change(name, lambda plate: replace(plate, runs=plate.runs[:-1] or plate.runs))

    def mark_kept(self, name: str, run: int) -> Plate:
        """Write down which run is in the ledger."""
        return self._change(name, lambda plate: replace(plate, kept=run))

    def remove(self, name: str) -> None:
        """Take a plate off the shelf, with its photo; the ledger is another thing."""
        shutil.rmtree(self.folder_of(self.take(name)), ignore_errors=True)

    def _change(self, name: str, change: Callable[[Plate], Plate]) -> Plate:
        with self._lock:
            plate = change(self.take(name))
            self._write(plate)
        return plate

    def _write(self, plate: Plate) -> None:
        write_aside(self.folder_of(plate) / RECORD, msgspec.json.encode(plate))

    def _read(self, name: str) -> Plate | None:
        try:
            data = (self._folder / name / RECORD).read_bytes()
            return msgspec.json.decode(data, type=Plate)
        except (OSError, msgspec.MsgspecError):
            return None


def keep_photo(folder: Path, photo: bytes, name: str = PHOTO, raw_name: str = RAW_PHOTO) -> None:
    """Write a photo down without its place data, or for a worker to take them out first.

    Parameters
    ----------
    folder : Path
    photo : bytes
        The file as it was sent.
    name, raw_name : str
        What it is called when it is clean, and until then.
    """
    if is_jpeg(photo):
        write_aside(folder / name, placeless_jpeg(photo))
    else:
        write_aside(folder / raw_name, photo)


def unknown_plate() -> BenchError:
    """Return the answer for a plate that is not there or is not this visitor's: the same words."""
    return BenchError(
        "plate_unknown",
        "There is no such plate among yours.",
        "Choose one from your list of plates.",
    )
