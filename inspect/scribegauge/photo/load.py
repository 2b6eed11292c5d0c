"""A photo from its file: bytes once, hashed, decoded upright.

A path that leads nowhere is a wrong command (`UseError`, exit status 2); a file that is there
but holds no whole picture is a photo that cannot be judged (`PhotoError`, exit status 3).
"""

import hashlib
import os
import sys
from pathlib import Path
from typing import BinaryIO, Final

import numpy as np

from scribegauge.errors import PhotoError, UseError
from scribegauge.photo.decode import decode_upright
from scribegauge.photo.record import Photo
from scribetarget.wording import say

#: More than any photo of the largest size allowed, even uncompressed with 16 bits; stops an
#: endless stream.
MOST_BYTES: Final = 512 * 2**20

#: The smallest target is 14 squares wide, its markers three quarters of a square and eight
#: modules wide; two pixels per module are the least that can be told apart: 14 / 0.75 * 8 * 2.
LEAST_SIDE_PX: Final = 299


def load_photo(path: Path | str) -> Photo:
    """Read one photo and turn it upright.

    Parameters
    ----------
    path : Path or str
        The photo's file; ``-`` is standard input.

    Returns
    -------
    Photo
        Upright by the file's own orientation, colours in sRGB, arrays read-only.

    Raises
    ------
    UseError
        ``photo_missing``, ``photo_folder``, ``photo_unopened``: there is no such file to read.
    PhotoError
        As `photo_from_bytes`.
    """
    if str(path) == "-":
        return photo_from_bytes(_standard_input(), "-")
    file = Path(path)
    return photo_from_bytes(_file_bytes(file), _shown_name(file))


def photo_from_bytes(data: bytes, name: str, *, least_side_px: int = LEAST_SIDE_PX) -> Photo:
    """Decode a photo that is already in memory, e.g. one that was uploaded.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        What to call it; no folders.
    least_side_px : int
        The shorter side must have at least so many pixels.

    Returns
    -------
    Photo

    Raises
    ------
    PhotoError
        ``photo_empty``, ``photo_unreadable``, ``photo_truncated``, ``photo_too_large``,
        ``photo_too_small``.
    """
    if not data:
        raise PhotoError(
            "photo_empty",
            say("{name} is empty.", name=name),
            say("Copy the photo from the camera once more."),
        )
    if len(data) > MOST_BYTES:
        raise PhotoError(
            "photo_too_large",
            say("{name} has more than {most} MB.", name=name, most=MOST_BYTES // 2**20),
            say("Save the photo as a JPEG."),
        )
    image, facts = decode_upright(data, name)
    width_px, height_px = image.size
    if min(width_px, height_px) < least_side_px:
        raise PhotoError(
            "photo_too_small",
            say(
                "{name} is only {width} by {height} pixels; the target's markers cannot be told apart "
                "below {least}.",
                name=name,
                width=width_px,
                height=height_px,
                least=least_side_px,
            ),
            say("Use the photo as the camera saved it, not a preview of it."),
        )
    # Pillow's luma is 0.299 R + 0.587 G + 0.114 B (BT.601), which is what a JPEG's own Y plane
    # holds, and taking it from the same library as the pixels keeps the photo stage free of cv2
    # (the two differ by one level at most). asarray of a Pillow image is read-only and contiguous.
    grey = np.asarray(image.convert("L"))
    return Photo(name, hashlib.sha256(data).hexdigest(), np.asarray(image), grey, facts)


def _file_bytes(file: Path) -> bytes:
    try:
        with file.open("rb") as stream:
            return _read(stream)
    except IsADirectoryError as error:
        raise UseError(
            "photo_folder", f"{_shown_name(file)} is a folder, not a photo.", "Name the photos."
        ) from error
    except (FileNotFoundError, NotADirectoryError) as error:
        raise UseError(
            "photo_missing",
            f"There is no file {_shown_path(file)}.",
            "Check the name and the folder you are in.",
        ) from error
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        raise UseError(
            "photo_unopened",
            f"{_shown_path(file)} cannot be opened.",
            "Check that you may read it and that the disk is still there.",
        ) from error


def _standard_input() -> bytes:
    if sys.stdin is None or sys.stdin.isatty():
        raise UseError(
            "photo_missing",
            "'-' stands for standard input, and no photo comes from there.",
            "Pipe a photo in, or give its file name.",
        )
    return _read(sys.stdin.buffer)


def _read(stream: BinaryIO) -> bytes:
    return stream.read(MOST_BYTES + 1)


def _shown_name(file: Path) -> str:
    return _shown_path(Path(file.name)) if file.name else _shown_path(file)


def _shown_path(file: Path) -> str:
    """Give a path that can be printed: names on disk may hold bytes that are no text."""
    text = os.fsencode(file).decode("utf-8", "replace")
    return "".join(letter if letter.isprintable() else "?" for letter in text)
