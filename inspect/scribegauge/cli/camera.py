"""``scribegauge camera``: calibrate a camera from photos of the target alone."""

import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from scribegauge.cli.options import BARS

if TYPE_CHECKING:
    from scribetarget.targetphoto import TargetPhoto


@click.command("camera")
@click.argument(
    "photos", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="PHOTO..."
)
@click.option(
    "--bars",
    type=BARS,
    multiple=True,
    required=True,
    help="Both check bars of the sheet by caliper, in mm; several readings are averaged.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, allow_dash=True),
    required=True,
    metavar="FILE.json",
    help="Where the camera file goes; - for standard output.",
)
def command(photos: tuple[Path, ...], bars: tuple[tuple[float, float], ...], out: Path) -> None:
    """Calibrate a camera from 10 to 15 photos of the target lying flat and alone.

    Tilt the phone 10 to 35 degrees to different sides, fill the picture, keep the zoom as it is.
    `scribegauge check --camera FILE` then measures better with the same phone.

    Example: scribegauge camera ring-*.jpg --bars 100.1,99.9 --out phone.json
    """
    from scribegauge.report.atomic import check_place, write_aside
    from scribegauge.report.cameratable import camera_table
    from scribetarget.calibrate import calibrate
    from scribetarget.camerafile import CameraFacts, camera_text
    from scribetarget.printscale import scale_from_bars

    check_place(out)
    seen, skipped = _look(photos)
    result = calibrate(seen, scale_from_bars(seen[0].sighting.spec, bars))
    used = tuple((each.name, each.sha256) for each in result.photos)
    facts = CameraFacts(datetime.now(UTC).date().isoformat(), result.rms_px, used, result.advice)
    text = camera_text(result.camera, facts)
    if str(out) == "-":
        click.echo(text, nl=False)
    else:
        write_aside(out, text.encode("ascii"))
        click.echo(camera_table(result, skipped), nl=False)
        click.echo(f"Wrote {out}.", err=True)


def _look(
    paths: tuple[Path, ...],
) -> tuple[list["TargetPhoto"], list[tuple[str, str]]]:
    """Find the target in every photo; a photo without it is kept apart with the reason."""
    from scribegauge.errors import PhotoError
    from scribegauge.photo.load import load_photo
    from scribetarget.calibrate import refuse_too_few
    from scribetarget.errors import SightingError

    for path in paths:
        if str(path) != "-" and not path.exists():
            load_photo(path)  # says so before any work is done
    seen: list[TargetPhoto] = []
    skipped: list[tuple[str, str]] = []
    for number, path in enumerate(paths, 1):
        _tell_progress(f"photo {number} of {len(paths)}")
        try:
            photo = _target_photo(path)
        except (PhotoError, SightingError) as error:
            skipped.append((path.name, error.text))
            continue
        twin = next((each.name for each in seen if each.sha256 == photo.sha256), None)
        if twin is None:
            seen.append(photo)
        else:
            skipped.append((path.name, f"The same photo as {twin}."))
    _tell_progress("")
    refuse_too_few(seen, skipped)
    return seen, skipped


def _target_photo(path: Path) -> "TargetPhoto":
    from scribegauge.photo.load import load_photo
    from scribetarget.detect import find_target
    from scribetarget.targetphoto import TargetPhoto

    photo = load_photo(path)
    facts, (height, width) = photo.facts, photo.grey.shape
    return TargetPhoto(
        name=photo.name,
        sha256=photo.sha256,
        width_px=width,
        height_px=height,
        camera_name=f"{facts.maker} {facts.model}".strip(),
        focal_35mm=facts.focal_35mm,
        sighting=find_target(photo.grey),
    )


def _tell_progress(text: str) -> None:
    """Keep one line of a terminal up to date; say nothing into a file or pipe."""
    if sys.stderr.isatty():
        click.echo(f"\r{text:<24}" + ("" if text else "\r"), nl=False, err=True)
