"""What was handed in: which photos of a folder are whose plate."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from hashlib import file_digest
from pathlib import Path
from typing import Final

from scribegauge.errors import UseError

#: Endings that photos have; anything else in the folder is none of ours.
ENDINGS: Final = frozenset(
    {".jpg", ".jpeg", ".png", ".heic", ".heif", ".webp", ".tif", ".tiff", ".bmp", ".avif"}
)


@dataclass(frozen=True, slots=True)
class Plate:
    """One plate as handed in.

    Attributes
    ----------
    pupil : str
        The pupil's code.
    name : str
        What tells it from the pupil's other plates, fit for a file's name.
    photos : tuple of Path
    shas : tuple of str
        SHA-256 of each.
    """

    pupil: str
    name: str
    photos: tuple[Path, ...]
    shas: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HandedIn:
    """Everything found in a class's folder.

    Attributes
    ----------
    plates : tuple of Plate
        By code and name.
    missing : tuple of str
        Codes of pupils without any photo.
    strangers : tuple of str
        Photos and folders with no pupil's code, by their names in the folder.
    twins : tuple of (photo, photo)
        Photos that are the same file in two plates.
    """

    plates: tuple[Plate, ...]
    missing: tuple[str, ...]
    strangers: tuple[str, ...]
    twins: tuple[tuple[str, str], ...]


def look_through(folder: Path, codes: Sequence[str]) -> HandedIn:
    """Find every pupil's plates.

    A photo, or a folder of photos, belongs to the pupil whose code its name begins with. Each photo
    is a plate; several photos of one plate lie in a folder of their own within the pupil's folder.

    Parameters
    ----------
    folder : Path
    codes : sequence of str
        Of the pupils.

    Raises
    ------
    UseError
        ``class_folder`` when there is no such folder, or nothing in it.
    """
    if not folder.is_dir():
        raise UseError(
            "class_folder",
            f"There is no folder {str(folder)!r}.",
            "Give the folder that the photos are in.",
        )
    plates: list[Plate] = []
    strangers: list[str] = []
    for path in sorted(folder.iterdir()):
        if path.name.startswith(".") or not (path.is_dir() or _is_photo(path)):
            continue
        code = code_of(path.name, codes)
        if code is None:
            strangers.append(path.name)
        else:
            plates.extend(_plates(code, path))
    if not plates and not strangers:
        raise UseError(
            "class_folder",
            f"There is no photo in {str(folder)!r}.",
            "Put each pupil's photos into a folder named by the code, or begin their names with it.",
        )
    there = {plate.pupil for plate in plates}
    missing = tuple(code for code in codes if code not in there)
    ordered = tuple(sorted(plates, key=lambda plate: (plate.pupil, plate.name)))
    return HandedIn(ordered, missing, tuple(strangers), _twins(folder, ordered))


def code_of(name: str, codes: Sequence[str]) -> str | None:
    """Return the code that a name begins with, the longest that does; None without any.

    ``A-1`` is no code of ``A-12.jpg``: after the code the name must end or go on with another kind
    of character.
    """
    found = [
        code
        for code in codes
        if re.match(rf"{re.escape(code)}(?![A-Za-z0-9])", name, re.IGNORECASE)
    ]
    return max(found, key=len, default=None)


def _plates(code: str, path: Path) -> Iterator[Plate]:
    if path.is_file():
        yield _plate(code, path.stem, [path])
        return
    for inner in sorted(path.iterdir()):
        if inner.name.startswith("."):
            continue
        if inner.is_dir():
            photos = [each for each in sorted(inner.iterdir()) if _is_photo(each)]
            if photos:
                yield _plate(code, inner.name, photos)
        elif _is_photo(inner):
            yield _plate(code, inner.stem, [inner])


def _plate(code: str, name: str, photos: Sequence[Path]) -> Plate:
    shas = []
    for photo in photos:
        with photo.open("rb") as stream:
            shas.append(file_digest(stream, "sha256").hexdigest())
    # The first digits keep apart what only differs in characters no file's name can hold.
    plain = re.sub(r"[^A-Za-z0-9._-]+", "_", name)[:60].strip("._") or "plate"
    if plain.lower().startswith(code.lower()):
        plain = plain[len(code) :].lstrip("-_. ") or "plate"
    return Plate(code, f"{plain}-{shas[0][:6]}", tuple(photos), tuple(shas))


def _is_photo(path: Path) -> bool:
    return path.is_file() and path.suffix.lower() in ENDINGS


def _twins(folder: Path, plates: Sequence[Plate]) -> tuple[tuple[str, str], ...]:
    seen: dict[str, str] = {}
    twins = []
    for plate in plates:
        for photo, sha in zip(plate.photos, plate.shas, strict=True):
            name = str(photo.relative_to(folder))
            if sha in seen:
                twins.append((seen[sha], name))
            seen.setdefault(sha, name)
    return tuple(twins)
