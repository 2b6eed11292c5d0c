"""Phones by name: photos of the target alone, what they still lack, and the profile they give."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path
from typing import Final

import numpy as np

from scribegauge.errors import ScribegaugeError
from scribegauge.photo.load import photo_from_bytes
from scribegauge.photo.profilefile import load_profile
from scribegauge.report.atomic import make_folder, write_aside
from scribegauge.serve.refusals import BenchError
from scribegauge.serve.shelf import keep_photo
from scribegauge.serve.work import clean_photo
from scribegauge.sheets.shelf import take_sheet
from scribetarget.bundle import adjust, view_of_sighting
from scribetarget.calibrate import FEWEST_PHOTOS, Calibration, calibrate
from scribetarget.camera import Camera
from scribetarget.camerafile import CameraFacts, camera_text
from scribetarget.coverage import ENOUGH_PHOTOS, missing_views, tilts_deg
from scribetarget.detect import find_target
from scribetarget.errors import TargetError
from scribetarget.printscale import PrintScale, unmeasured_scale
from scribetarget.priors import camera_from_exif
from scribetarget.sheetrecord import check_name, sheet_scale
from scribetarget.targetphoto import TargetPhoto

#: Phones of the teacher's, which the whole workshop may use; no code begins with a hyphen.
WORKSHOP: Final = "-workshop"
PROFILE: Final = "camera.json"
_SHEET: Final = "sheet.txt"
MOST_PHOTOS: Final = 15


@dataclass(frozen=True, slots=True)
class Seen:
    """One photo of the target: its name here, its tilt [deg] or None, and what is wrong with it."""

    name: str
    tilt_deg: float | None
    trouble: str


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a phone is.

    Attributes
    ----------
    photos : tuple of Seen
    advice : tuple of str
        What the next photo should be; empty when nothing is missing.
    words : str
        What the profile is worth; empty without one.
    trouble : str
        Why the photos make no profile; empty with fewer than they need.
    known : Mapping of str to TargetPhoto
        What was found in each photo, so that it need not be looked for again.
    """

    photos: tuple[Seen, ...]
    advice: tuple[str, ...]
    words: str
    trouble: str
    known: Mapping[str, TargetPhoto]


@dataclass(frozen=True, slots=True)
class Look:
    """What a worker is to look at: a phone's folder, its sheet's records, what is known already."""

    folder: Path
    sheet_folder: Path
    known: Mapping[str, TargetPhoto]


class Phones:
    """All phones of one bench: each pupil's own, and the workshop's."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def names(self, owner: str) -> tuple[str, ...]:
        """Return the phones that this pupil may use; the teacher's owner is an empty string."""
        owners = {WORKSHOP, owner or WORKSHOP}
        found = {p.name for o in owners for p in (self._folder / o).glob("*") if p.is_dir()}
        return tuple(sorted(found))

    def begin(self, owner: str, name: str, sheet: str) -> Path:
        """Make a phone, or begin it again with another sheet.

        Raises
        ------
        SheetError
            ``sheet_name`` when it cannot be called so.
        """
        check_name(name)
        folder = self._folder / (owner or WORKSHOP) / name.lower()
        make_folder(folder)
        write_aside(folder / _SHEET, sheet.encode())
        return folder

    def folder_of(self, owner: str, name: str) -> Path:
        """Return a phone's folder.

        Raises
        ------
        BenchError
            ``phone_unknown``.
        """
        check_name(name)
        for each in (owner or WORKSHOP, WORKSHOP):
            folder = self._folder / each / name.lower()
            if folder.is_dir():
                return folder
        raise BenchError(
            "phone_unknown", "There is no phone of that name.", "Choose one of the list."
        )

    def own_folder(self, owner: str, name: str) -> Path:
        """Return the folder of a phone that this pupil may change.

        Raises
        ------
        BenchError
            ``phone_unknown``, ``phone_of_workshop``.
        """
        folder = self.folder_of(owner, name)
        if folder.parent.name != (owner or WORKSHOP):
            raise BenchError(
                "phone_of_workshop",
                "This is the workshop's phone.",
                "Set up your own under another name.",
            )
        return folder

    def camera_of(self, owner: str, name: str) -> Camera | None:
        """Return a phone's profile; None while there is none, or for no phone.

        Raises
        ------
        BenchError
            ``phone_unknown``.
        CameraFileError
            When the profile is broken.
        """
        if not name:
            return None
        file = self.folder_of(owner, name) / PROFILE
        return load_profile(file) if file.exists() else None


def add_photo(folder: Path, data: bytes) -> None:
    """Keep one more photo of the target, without its place data.

    Raises
    ------
    BenchError
        ``photos_enough``.
    """
    names = _names(folder)
    if len(names) >= MOST_PHOTOS:
        raise BenchError(
            "photos_enough",
            f"There are {MOST_PHOTOS} photos of this phone already.",
            "Begin it again if the lens or the zoom was changed.",
        )
    number = max((int(name.split("-")[1]) for name in names), default=0) + 1
    keep_photo(folder, data, f"ring-{number:02d}", f"ring-{number:02d}.raw")


def clear_photos(folder: Path) -> None:
    """Take all photos of a phone away, to begin again; its profile stays until there is another."""
    for path in folder.glob("ring-*"):
        path.unlink(missing_ok=True)


def look(errand: Look) -> Progress:
    """Look at all photos of one phone, and write its profile as soon as they make one."""
    known: dict[str, TargetPhoto] = {}
    troubles: dict[str, str] = {}
    for name in _names(errand.folder):
        try:
            known[name] = errand.known.get(name) or _target_photo(errand.folder, name)
        except (ScribegaugeError, TargetError) as error:
            troubles[name] = f"{error.text} {error.cure}"
    scale, trouble = unmeasured_scale(), ""
    try:
        scale = _scale(errand, list(known.values()))
    except (ScribegaugeError, TargetError) as error:
        trouble = f"{error.text} {error.cure}"
    poses = {name: _pose(photo, scale) for name, photo in known.items()}
    words, advice = "", _advice(list(known.values()), [p for p in poses.values() if p is not None])
    if len(known) >= FEWEST_PHOTOS and not trouble:
        try:
            result = calibrate(list(known.values()), scale)
        except TargetError as error:
            trouble = f"{error.text} {error.cure}"
        else:
            words, advice = _kept(errand.folder, result), result.advice
            troubles |= dict(result.left_out)
    seen = [
        Seen(name, _tilt(poses.get(name)), troubles.get(name, "")) for name in _names(errand.folder)
    ]
    return Progress(tuple(seen), advice, words, trouble, known)


def _names(folder: Path) -> list[str]:
    return sorted({path.name.removesuffix(".raw") for path in folder.glob("ring-*")})


def _target_photo(folder: Path, name: str) -> TargetPhoto:
    data = clean_photo(folder, name, f"{name}.raw")
    photo = photo_from_bytes(data, name)
    facts, (height, width) = photo.facts, photo.grey.shape
    return TargetPhoto(
        name=name,
        sha256=sha256(data).hexdigest(),
        width_px=width,
        height_px=height,
        camera_name=f"{facts.maker} {facts.model}".strip(),
        focal_35mm=facts.focal_35mm,
        sighting=find_target(photo.grey),
    )


def _scale(errand: Look, photos: list[TargetPhoto]) -> PrintScale:
    name = (errand.folder / _SHEET).read_text(encoding="utf-8").strip()
    if not name or not photos:
        return unmeasured_scale()
    today = datetime.now().astimezone().date()
    record = take_sheet(errand.sheet_folder, name, today)
    return sheet_scale(record, photos[0].sighting.spec, today)


def _pose(photo: TargetPhoto, scale: PrintScale) -> np.ndarray | None:
    prior = camera_from_exif(photo.width_px, photo.height_px, photo.focal_35mm, photo.camera_name)
    try:
        return np.asarray(adjust([view_of_sighting(photo.sighting)], prior, scale).poses[0])
    except TargetError:
        return None


def _tilt(pose: np.ndarray | None) -> float | None:
    return None if pose is None else tilts_deg(pose[None])[0]


def _advice(photos: list[TargetPhoto], poses: list[np.ndarray]) -> tuple[str, ...]:
    if not poses:
        return (
            "Lay the printed target flat with nothing in its window, and take the first photo from "
            "straight above, the ring filling the picture.",
        )
    size = (photos[0].width_px, photos[0].height_px)
    return missing_views(np.array(poses), [photo.sighting for photo in photos], size)


def _kept(folder: Path, result: Calibration) -> str:
    used = tuple((each.name, each.sha256) for each in result.photos)
    day = datetime.now(UTC).date().isoformat()
    text = camera_text(result.camera, CameraFacts(day, result.rms_px, used, result.advice))
    write_aside(folder / PROFILE, text.encode("ascii"))
    enough = "" if len(used) >= ENOUGH_PHOTOS else " More photos make it better."
    return (
        f"The profile is kept: over 50 mm of plate the lens adds {result.cost_um:.0f} µm to U, "
        f"without it {result.cost_uncalibrated_um:.0f} µm.{enough}"
    )
