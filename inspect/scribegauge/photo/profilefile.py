"""The camera profile that belongs to a photo, from its file."""

import sys
from pathlib import Path
from typing import Final

from scribegauge.errors import UseError
from scribetarget.camera import Camera
from scribetarget.camerafile import read_camera

MOST_BYTES: Final = 1_000_000


def load_profile(path: Path) -> Camera:
    """Read a camera profile; ``-`` is standard input.

    Raises
    ------
    UseError
        ``camera_missing`` when there is no such file to read.
    CameraFileError
        When it is no camera profile.
    """
    try:
        if str(path) == "-":
            data = sys.stdin.buffer.read(MOST_BYTES)
        else:
            with path.open("rb") as stream:
                data = stream.read(MOST_BYTES)
    except (OSError, ValueError) as error:
        raise UseError(
            "camera_missing",
            f"The camera profile {str(path)!r} cannot be opened.",
            "Give the file that `scribegauge camera` wrote, or leave --camera out.",
        ) from error
    return read_camera(data.decode("utf-8", errors="replace"), str(path))
