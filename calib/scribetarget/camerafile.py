"""The camera file: a calibrated camera as JSON, version 1, and its use for photos of other sizes.

The version comes first; an unknown one is refused, keys that are not known are passed over.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scribetarget.camera import LENS_NAMES, Camera
from scribetarget.camerafit import camera_for_photo
from scribetarget.errors import CameraFileError

__all__ = ["CameraFacts", "camera_for_photo", "camera_text", "read_camera"]

Array = NDArray[np.float64]

VERSION = 1
MAKE_ONE = "Make one with `scribegauge camera` from photos of the target, or leave --camera out."
# No picture has more; a file that says so is broken.
MOST_PX = 100_000
# Enough for a mirror image of what was solved: 1e-9 px.
DIGITS = 12


@dataclass(frozen=True, slots=True)
class CameraFacts:
    """What a camera file tells a person beside the camera itself.

    Attributes
    ----------
    date : str
        ISO 8601, when it was calibrated.
    rms_px : float
        RMS distance of the corners from where the calibrated camera puts them.
    photos : tuple of (name, sha256)
        The photos it was made from.
    advice : tuple of str
        What would make it better.
    """

    date: str
    rms_px: float
    photos: tuple[tuple[str, str], ...]
    advice: tuple[str, ...]


def camera_text(camera: Camera, facts: CameraFacts) -> str:
    """Write a calibrated camera as one JSON document.

    Parameters
    ----------
    camera : Camera
    facts : CameraFacts

    Returns
    -------
    str
        ASCII, ends with a line end.

    Raises
    ------
    ValueError
        If a number is NaN or infinite.
    """
    photos = [{"name": name, "sha256": digest[:16]} for name, digest in facts.photos]
    rows = {
        "camera": VERSION,
        "name": camera.name,
        "width_px": camera.width_px,
        "height_px": camera.height_px,
        "focal_35mm": camera.focal_35mm,
        "lens": dict(zip(LENS_NAMES, map(_short, camera.values), strict=True)),
        "date": facts.date,
        "rms_px": round(facts.rms_px, 4),
        "photos": photos,
        "advice": list(facts.advice),
    }
    lines = [f'"{key}": {json.dumps(value, allow_nan=False)}' for key, value in rows.items()]
    matrix = [json.dumps([_short(x) for x in row], allow_nan=False) for row in camera.covariance]
    lines.append('"covariance": [\n  ' + ",\n  ".join(matrix) + "]")
    return "{" + ",\n ".join(lines) + "}\n"


def read_camera(text: str, name: str) -> Camera:
    """Read a camera file.

    Parameters
    ----------
    text : str
        Its content.
    name : str
        What to call the file in a message.

    Returns
    -------
    Camera
        Its source is ``"profile"``.

    Raises
    ------
    CameraFileError
        ``camera_file_broken`` when it is no camera file or not whole, ``camera_version`` when a
        newer program wrote it.
    """
    try:
        raw = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise _broken(name, "it is not JSON") from error
    if not isinstance(raw, dict) or "camera" not in raw:
        raise _broken(name, 'its first key is not "camera"')
    if raw["camera"] != VERSION or isinstance(raw["camera"], bool):
        raise CameraFileError(
            "camera_version",
            f"The camera file {name} has version {str(raw['camera'])[:20]}; "
            f"this program reads version {VERSION}.",
            "Make it again with this program's `scribegauge camera`, or install a newer program.",
        )
    try:
        return _camera(raw)
    except (KeyError, TypeError, ValueError, OverflowError, np.linalg.LinAlgError) as error:
        what = f"{error} is missing" if isinstance(error, KeyError) else str(error)
        raise _broken(name, what) from error


def _camera(raw: Mapping[str, Any]) -> Camera:
    """Put the camera together; any error of numpy or Python says what is wrong."""
    values = np.array([_number(raw["lens"], key) for key in LENS_NAMES])
    covariance = np.array(raw["covariance"], np.float64)
    if covariance.shape != (9, 9) or not np.isfinite(covariance).all():
        raise ValueError("its covariance is not 9 by 9 numbers")
    if not np.allclose(covariance, covariance.T, rtol=1e-6, atol=0):
        raise ValueError("its covariance is not symmetric")
    spread = np.sqrt(np.maximum(np.diag(covariance), np.finfo(float).tiny))
    np.linalg.cholesky(covariance / np.outer(spread, spread))  # raises unless it is a covariance
    width, height = raw["width_px"], raw["height_px"]
    if not all(isinstance(side, int) and 1 < side < MOST_PX for side in (width, height)):
        raise ValueError("its picture size is none")
    if min(values[:2]) <= 0:
        raise ValueError("its focal length is none")
    focal = None if raw.get("focal_35mm") is None else _number(raw, "focal_35mm")
    name = str(raw.get("name", ""))
    return Camera(width, height, values, (covariance + covariance.T) / 2, "profile", name, focal)


def _number(raw: Mapping[str, Any], key: str) -> float:
    value = raw[key]
    if isinstance(value, bool) or not isinstance(value, int | float) or not np.isfinite(value):
        raise ValueError(f"its {key} is no number")
    return float(value)


def _short(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


def _broken(name: str, what: str) -> CameraFileError:
    return CameraFileError(
        "camera_file_broken", f"{name} is no whole camera file: {what}.", MAKE_ONE
    )
