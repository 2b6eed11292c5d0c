"""Everything the pages work with, put together once."""

import os
from dataclasses import dataclass, field
from pathlib import Path

import platformdirs

from scribegauge.figure.layout import Layout
from scribegauge.figure.request import Request
from scribegauge.serve.choices import Exercises, request_of
from scribegauge.serve.desk import Desk
from scribegauge.serve.entry import Door, Visitor
from scribegauge.serve.keys import KeyRing
from scribegauge.serve.limits import ENTRIES, REQUESTS, UPLOADS, Meter
from scribegauge.serve.phones import Phones
from scribegauge.serve.record import Plate
from scribegauge.serve.shelf import PlateShelf, unknown_plate
from scribegauge.serve.work import Errand, give_up, measure
from scribetarget.camera import Camera

#: Two rows of a class; who comes after them waits less by coming again.
MOST_WAITING = 16


@dataclass(frozen=True, slots=True)
class Settings:
    """Where a bench keeps its things, and how it may be reached.

    Attributes
    ----------
    folder : Path
        Of keys, plates and phones.
    ledger, sheet_folder : Path
        Those of the command line.
    layouts : Path or None
        Folder of layout files that the page offers.
    hosts : tuple of str
        Names and addresses by which the page is asked for; others are refused.
    address : str
        Of the page, e.g. ``http://127.0.0.1:8321``, for links.
    lanes, most_waiting : int
    """

    folder: Path
    ledger: Path
    sheet_folder: Path
    layouts: Path | None = None
    hosts: tuple[str, ...] = ("127.0.0.1", "localhost", "[::1]")
    address: str = "http://127.0.0.1:8321"
    lanes: int = 2
    most_waiting: int = MOST_WAITING

    @property
    def sealed(self) -> bool:
        """Whether the way to the page is enciphered, so that cookies keep to it."""
        return self.address.startswith("https:")


@dataclass(frozen=True, slots=True)
class Meters:
    """How often each may ask."""

    entries: Meter = field(default_factory=lambda: Meter(ENTRIES))
    uploads: Meter = field(default_factory=lambda: Meter(UPLOADS))
    requests: Meter = field(default_factory=lambda: Meter(REQUESTS))


@dataclass(frozen=True, slots=True)
class Bench:
    """The services behind the pages."""

    settings: Settings
    ring: KeyRing
    door: Door
    shelf: PlateShelf
    phones: Phones
    exercises: Exercises
    desk: Desk
    meters: Meters

    def plate_for(self, visitor: Visitor, name: str) -> Plate:
        """Return a plate that this visitor may see.

        Raises
        ------
        BenchError
            ``plate_unknown``, whether it is not there or another's.
        """
        plate = self.shelf.take(name)
        if not visitor.may_see(plate.owner):
            raise unknown_plate()
        return plate

    def layout_of(self, plate: Plate) -> Layout:
        """Return the figure that was intended on a plate."""
        return self.exercises.layout_of(plate.choice)

    def errand_of(self, plate: Plate) -> Errand:
        """Return the measuring of a plate's last run."""
        folder = self.shelf.folder_of(plate)
        return Errand(folder, plate.sha256, f"run-{plate.run.number}", self._request(plate))

    async def send(self, plate: Plate) -> None:
        """Hand a plate to the desk, unless it has been read or is there already.

        Raises
        ------
        BenchError
            ``bench_busy``.
        """
        if not self.shelf.file_of(plate, "json").exists():
            await self.desk.take(plate.task, measure, self.errand_of(plate), give_up)

    def _request(self, plate: Plate) -> Request:
        camera = self._camera(plate)
        return request_of(
            plate.choice,
            self.layout_of(plate),
            camera,
            self.settings.sheet_folder,
            plate.run.pointed,
        )

    def _camera(self, plate: Plate) -> Camera | None:
        return self.phones.camera_of(plate.owner, plate.choice.phone)


def usual_folder() -> Path:
    """Return where a bench keeps its things unless told otherwise."""
    return platformdirs.user_data_path("scribegauge", appauthor=False) / "bench"


def make_bench(settings: Settings, desk: Desk | None = None) -> Bench:
    """Put a bench together.

    Parameters
    ----------
    settings : Settings
    desk : Desk, optional
        By default one with processes.

    Raises
    ------
    UseError
        ``keys_unreadable``, ``cannot_write``, or a layout file's error.
    """
    os.umask(0o077)  # photos and keys are nobody else's on this computer
    ring = KeyRing(settings.folder / "keys.json")
    return Bench(
        settings=settings,
        ring=ring,
        door=Door(ring),
        shelf=PlateShelf(settings.folder / "plates"),
        phones=Phones(settings.folder / "phones"),
        exercises=Exercises(settings.layouts),
        desk=desk or Desk(settings.lanes, settings.most_waiting),
        meters=Meters(),
    )
