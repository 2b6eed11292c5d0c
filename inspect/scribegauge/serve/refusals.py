"""What the bench page refuses, and with which HTTP status."""

from typing import Final

from scribegauge.errors import PhotoError, ScribegaugeError, UseError
from scribetarget.errors import CameraError, SightingError, TargetError

#: HTTP statuses (RFC 9110, RFC 6585); whatever is not listed is a form filled in wrongly.
_STATUS: Final = {
    "bench_busy": 503,
    "form_old": 403,
    "form_replayed": 409,
    "host_unknown": 421,
    "key_wrong": 403,
    "not_entered": 401,
    "page_unknown": 404,
    "plate_unknown": 404,
    "teacher_only": 403,
    "too_often": 429,
    "upload_slow": 408,
    "upload_too_large": 413,
}
_WRONG_FORM, _PHOTO_NOT_JUDGED = 400, 422


class BenchError(UseError):
    """A request that the bench page does not carry out."""


def status_of(error: ScribegaugeError | TargetError) -> int:
    """Return the HTTP status that an error of ours is answered with."""
    if error.code in _STATUS:
        return _STATUS[error.code]
    judged = isinstance(error, PhotoError | SightingError | CameraError)
    return _PHOTO_NOT_JUDGED if judged else _WRONG_FORM
