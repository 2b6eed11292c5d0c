"""Files named on the command line that are read as text."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scribetarget.camera import Camera

MOST_BYTES = 1_000_000


def read_camera_file(path: Path) -> "Camera":
    """Read a camera profile.

    Raises
    ------
    UseError
        ``camera_missing`` when there is no such file to read.
    CameraFileError
        When it is no camera profile.
    """
    from scribegauge.errors import UseError
    from scribetarget.camerafile import read_camera

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
