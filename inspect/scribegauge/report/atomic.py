"""Files that are either whole or not there."""

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from functools import partial
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
    write_together([(path, data)])


def write_together(files: Sequence[tuple[Path, bytes]]) -> None:
    """Write files that belong together: none takes its place before all are on the disk.

    Each is written as `write_aside` does it.

    Parameters
    ----------
    files : sequence of (Path, bytes)

    Raises
    ------
    UseError
        ``cannot_write``; the older files are then still there.
    """
    with ExitStack() as scraps:
        waiting = [(path, _set_down(path, data, scraps)) for path, data in files]
        # Devices first: a rename on one disk does not fail once the file is written.
        for path, put in sorted(waiting, key=lambda each: each[0].is_file()):
            with _telling(path):
                put()


def make_folder(path: Path) -> None:
    """Make a folder, and those above it, unless they are there.

    Raises
    ------
    UseError
        With code ``cannot_write``.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
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


def _set_down(path: Path, data: bytes, scraps: ExitStack) -> Callable[[], object]:
    """Write data beside its place; return what puts it there. What is left over is a scrap."""
    place = _place(path)
    with _telling(path):
        if place.exists() and not place.is_file():
            return partial(place.write_bytes, data)
        aside = place.with_name(f".scribegauge-{token_hex(6)}.part")
        scraps.callback(_discard, aside)
        with aside.open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
    return partial(aside.replace, place)


def _discard(aside: Path) -> None:
    with suppress(OSError):
        aside.unlink()


@contextmanager
def _telling(path: Path) -> Iterator[None]:
    """Turn the system's refusal into a sentence."""
    try:
        yield
    except OSError as error:
        why = error.strerror or "unknown reason"
        cure = "Choose a file in a folder you may write to."
        raise _cannot_write(path, f"({why}).", cure) from error


def _cannot_write(path: Path, why: str, cure: str) -> UseError:
    return UseError("cannot_write", f"Cannot write {str(path)!r} {why}", cure)
