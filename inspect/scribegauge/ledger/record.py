"""What the ledger holds of one plate."""

import re
from dataclasses import dataclass
from datetime import date
from typing import Final

from scribegauge.errors import UseError

#: A code, not a name: letters, digits, and what may stand between them.
CODE: Final = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9._-]{0,30}[A-Za-z0-9])?")
#: How the day of a plate is known.
MADE_BY: Final = ("photo", "given", "kept")


@dataclass(frozen=True, slots=True)
class Entry:
    """One plate of one pupil.

    Attributes
    ----------
    pupil : str
        The pupil's code.
    made : date
    made_by : str
        How the day is known: ``"photo"`` by the photo's own record, ``"given"`` by a person,
        ``"kept"`` is the day it was kept.
    title : str
        Of the layout.
    program : str
        Name and version that measured.
    kept : str
        When it was kept, ISO 8601 in UTC.
    photos : tuple of str
        SHA-256 of the photos.
    reading : str
        The reading file whole (JSON), photos called by their fingerprints.
    """

    pupil: str
    made: date
    made_by: str
    title: str
    program: str
    kept: str
    photos: tuple[str, ...]
    reading: str


@dataclass(frozen=True, slots=True)
class Kept:
    """What became of an entry that was to be kept: ``"new"``, ``"there"`` or ``"replaced"``."""

    what: str
    entry: Entry


@dataclass(frozen=True, slots=True)
class PupilLine:
    """One pupil in the list: how many plates, from when to when."""

    pupil: str
    plates: int
    first: date
    last: date


def check_code(code: str) -> str:
    """Return a pupil's code, or refuse it.

    Raises
    ------
    UseError
        ``pupil_code``.
    """
    if CODE.fullmatch(code):
        return code
    shown = "".join(letter if letter.isprintable() else "?" for letter in code)[:40]
    raise UseError(
        "pupil_code",
        f"{shown!r} is no code for a pupil.",
        "Use letters, digits and hyphens, at most 32, e.g. A-12; names are not needed.",
    )
