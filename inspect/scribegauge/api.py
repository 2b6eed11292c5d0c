"""What Python programs may call: measure a plate, keep its reading, read it back.

`import scribegauge` gives all of it; nothing heavy is imported before the first call. Errors are of
one family, `scribegauge.ScribegaugeError`, each with `code`, `text` and `cure`:

- `scribegauge.UseError`: the call or a file given to it was wrong;
- `scribegauge.PhotoError`: this photo cannot be judged; take it again as the cure says.
"""

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from scribegauge.errors import PhotoError, UseError
from scribegauge.figure.hintsfile import load_hints
from scribegauge.figure.layout import Layout
from scribegauge.figure.layoutfile import load_layout
from scribegauge.figure.ranges import (
    ERROR_RANGE_MM,
    THICKNESS_RANGE_MM,
    TRIALS_RANGE,
    refuse_beyond,
)
from scribegauge.figure.request import THICKNESS_ERROR_MM, Request
from scribegauge.photo.load import load_photo
from scribegauge.photo.profilefile import load_profile
from scribegauge.photo.record import Photo
from scribegauge.photo.twins import refuse_twins
from scribegauge.pipeline import check as measure
from scribegauge.report.reading import Reading
from scribegauge.report.readingfile import load_reading, save_reading
from scribegauge.sheets.shelf import take_sheet, usual_folder
from scribetarget.camera import Camera
from scribetarget.errors import CameraError, SightingError, TargetError
from scribetarget.printscale import CALIPER_ERROR_MM

Name = str | os.PathLike[str]
Bars = tuple[float, float]


def check(  # noqa: PLR0913 - what the command takes, all but two by name
    photos: Name | Photo | Sequence[Name | Photo],
    layout: Name | Layout,
    *,
    thickness_mm: float | None = None,
    bars_mm: Bars | Sequence[Bars] = (),
    sheet: str | None = None,
    camera: Name | Camera | None = None,
    hints: Name | None = None,
    thickness_error_mm: float = THICKNESS_ERROR_MM,
    caliper_error_mm: float = CALIPER_ERROR_MM,
    trials: int | None = None,
) -> Reading:
    """Measure every side and angle of a scribed plate in the target's window.

    Parameters
    ----------
    photos : path, Photo, or sequence of them
        One photo, or several of the same plate lying still while lamp or camera moved. A Photo is
        what `scribegauge.photo.load.photo_from_bytes` makes of an upload.
    layout : path or Layout
        The intended figure.
    thickness_mm : float, optional
        The plate's thickness by caliper [mm]; left out, U grows to allow for 0.2 to 1.8 mm.
    bars_mm : (x, y), or sequence of them, optional
        Both check bars of the printed sheet by caliper [mm]; several readings are averaged. Left
        out, and no `sheet` either, only the shape can be trusted, and a reason says so.
    sheet : str, optional
        Name of the sheet's record instead of `bars_mm`.
    camera : path or Camera, optional
        A profile from ``scribegauge camera``; left out, the photo's own record of its lens counts.
    hints : path, optional
        Where sides and pricks are that were not seen.
    thickness_error_mm, caliper_error_mm : float
        How far off the two instruments may be at most, either way [mm].
    trials : int, optional
        Check U by so many random trials (20 000 to 1 000 000).

    Returns
    -------
    Reading
        Frozen. Lengths in mm, angles in degrees; x to the right and y downwards in the plane of the
        scribed face, as the viewer sees it, origin at the target's outer top-left corner; places in
        the first photo in px, (0, 0) the middle of its top-left pixel, turned upright. ``U_…`` are
        expanded uncertainties (k = 2). None stands where nothing was measured. `status` is
        ``"measured"`` or ``"warned"``, never ``"refused"``: that is an error here.

    Raises
    ------
    PhotoError
        The photo cannot be judged.
    UseError
        A file or number given is wrong: ``number_absurd``, ``bars_absurd``, ``bars_twice``, or as
        the code of the file says.

    References
    ----------
    JCGM 100:2008 (uncertainty), JCGM 101:2008 (trials), JCGM 106:2012 (conformity).
    """
    refuse_beyond("thickness_mm", thickness_mm, THICKNESS_RANGE_MM)
    refuse_beyond("thickness_error_mm", thickness_error_mm, ERROR_RANGE_MM)
    refuse_beyond("caliper_error_mm", caliper_error_mm, ERROR_RANGE_MM)
    refuse_beyond("trials", trials, TRIALS_RANGE)
    bars = _bars(bars_mm, sheet)
    today = datetime.now().astimezone().date()
    with _one_family():
        figure = layout if isinstance(layout, Layout) else load_layout(Path(layout))
        taken = tuple(map(_photo, _several(photos)))
        refuse_twins(taken)
        request = Request(
            layout=figure,
            thickness_mm=thickness_mm,
            bars_mm=bars,
            camera=_camera(camera),
            sheet=None if sheet is None else take_sheet(usual_folder(), sheet, today),
            caliper_error_mm=caliper_error_mm,
            thickness_error_mm=thickness_error_mm,
            today=today,
            hints=() if hints is None else load_hints(Path(hints), figure.names, len(taken)),
            trials=trials,
        )
        return measure(taken, request)


def read(path: Name) -> Reading:
    """Read a reading file back, as `check` returned it but for the rounding to 10 nm.

    Parameters
    ----------
    path : path
        What ``scribegauge check --json`` or `write` wrote, also by a later program of the same
        version of the format: fields that this one does not know are left out. A file may hold a
        refusal: `status` is ``"refused"`` then, and there are no sides.

    Returns
    -------
    Reading
        Units and frames as `check` returns them.

    Raises
    ------
    UseError
        ``reading_missing``, ``reading_file``, ``reading_version``.
    """
    return load_reading(Path(path))


def write(reading: Reading, path: Name) -> None:
    """Write a reading file as ``scribegauge check --json`` does, whole or not at all.

    Parameters
    ----------
    reading : Reading
    path : path

    Raises
    ------
    UseError
        ``cannot_write``.
    """
    save_reading(reading, Path(path))


def _several(photos: Name | Photo | Sequence[Name | Photo]) -> Sequence[Name | Photo]:
    several = (photos,) if isinstance(photos, str | os.PathLike | Photo) else tuple(photos)
    if not several:
        raise UseError("photo_missing", "No photo is given.", "Give at least one.")
    return several


def _photo(given: Name | Photo) -> Photo:
    return given if isinstance(given, Photo) else load_photo(Path(given))


def _camera(given: Name | Camera | None) -> Camera | None:
    return given if given is None or isinstance(given, Camera) else load_profile(Path(given))


def _bars(given: Bars | Sequence[Bars], sheet: str | None) -> tuple[Bars, ...]:
    """Return readings of both bars as pairs; whether they can be meant is judged with the sheet."""
    if sheet is not None and len(given):
        raise UseError(
            "bars_twice",
            f"The bars are given by hand and by the record of sheet {sheet}.",
            "Give bars_mm or sheet.",
        )
    pairs: Any = [given] if len(given) and isinstance(given[0], int | float) else given
    try:
        return tuple((float(x), float(y)) for x, y in pairs)
    except (TypeError, ValueError) as error:
        raise UseError(
            "bars_absurd",
            f"bars_mm = {given!r} are not readings of both check bars.",
            "Give (x, y) in millimetres, or several such pairs.",
        ) from error


@contextmanager
def _one_family() -> Iterator[None]:
    """Raise what the target's package says as errors of this one, so that callers need no other."""
    try:
        yield
    except (SightingError, CameraError) as error:
        raise PhotoError(error.code, error.text, error.cure) from error
    except TargetError as error:
        raise UseError(error.code, error.text, error.cure) from error
