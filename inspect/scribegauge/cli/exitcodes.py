"""What the exit status says; the only place where errors become numbers."""

from scribegauge.errors import PhotoError, ScribegaugeError, UseError
from scribetarget.errors import (
    BarsError,
    CameraError,
    CameraFileError,
    SheetError,
    SightingError,
    TargetError,
)

OK = 0
OUTSIDE = 1
WRONG_USE = 2
CANNOT_JUDGE = 3
FAULT = 70  # EX_SOFTWARE of BSD sysexits.h: a bug of ours, or a library that cannot start
INTERRUPTED = 130  # 128 + SIGINT, as shells say it
PIPE_CLOSED = 141  # 128 + SIGPIPE, as shells say it; 1 would read as "outside"

_FAMILIES: tuple[tuple[type[Exception], int], ...] = (
    (UseError, WRONG_USE),
    (BarsError, WRONG_USE),
    (CameraFileError, WRONG_USE),
    (SheetError, WRONG_USE),
    (PhotoError, CANNOT_JUDGE),
    (SightingError, CANNOT_JUDGE),
    (CameraError, CANNOT_JUDGE),
)


def exit_code_of(error: ScribegaugeError | TargetError) -> int:
    """Return the exit status that an error of ours ends the command with."""
    for family, code in _FAMILIES:
        if isinstance(error, family):
            return code
    return FAULT
