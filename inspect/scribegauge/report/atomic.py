"""Files that are either whole or not there."""

import os
from contextlib import suppress
from pathlib import Path
from secrets import token_hex

from scribegauge.errors import UseError


def write_aside(path: Path, data: bytes) -> None:
    """Write a file under another name beside its place, then rename it.

    A reader never sees half a file, and a full disk leaves an older file as it was. A device such
    as ``/dev/null`` or a pipe is written to directly, for a rename would put a file in its place.

    Parameters
    ----------
    path : Path
        Where the file goes; a symbolic link is followed.
    data : bytes
        The whole content.

    Raises
    ------
    UseError
        With code ``cannot_write`` when the folder is missing or the file cannot be written.
    """
    place = _place(path)
    try:
        if place.exists() and not place.is_file():
            place.write_bytes(data)
        else:
            _replace(place, data)
    except OSError as error:
        why = error.strerror or "unknown reason"
        raise _cannot_write(
            path, f"({why}).", "Choose a file in a folder you may write to."
        ) from error


def make_folder(path: Path) -> None:
    """Make a folder unless it is there.

    Raises
    ------
    UseError
        With code ``cannot_write``.
    """
    try:
        path.mkdir(exist_ok=True)
    except OSError as error:
        why = error.strerror or "unknown reason"
        cure = "Change to a folder you may write to."
        raise _cannot_write(path, f"({why}).", cure) from error


def check_place(path: Path) -> None:
    """Find out before the work whether a file could be written there.

    Raises
    ------
    UseError
        With code ``cannot_write``, as `write_aside` would.
    """
    if str(path) != "-":
        _place(path)


def _place(path: Path) -> Path:
    try:
        place = Path(os.path.realpath(path))
        folder_there, is_folder = place.parent.is_dir(), place.is_dir()
    except ValueError as error:  # a NUL byte in the name
        raise _cannot_write(path, "(no such name is possible).", "Choose another name.") from error
    if is_folder:
        raise _cannot_write(path, "because it is a folder.", "Give the name of a file in it.")
    if not folder_there:
        text = f"because there is no folder {str(path.parent)!r}."
        raise _cannot_write(path, text, "Make the folder first or choose another.")
    return place


def _replace(place: Path, data: bytes) -> None:
    aside = place.with_name(f".scribegauge-{token_hex(6)}.part")
    try:
        with aside.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        aside.replace(place)
    except BaseException:
        with suppress(OSError):
            aside.unlink()
        raise


def _cannot_write(path: Path, why: str, cure: str) -> UseError:
    return UseError("cannot_write", f"Cannot write {str(path)!r} {why}", cure)
