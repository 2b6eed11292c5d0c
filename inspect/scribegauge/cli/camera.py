"""``scribegauge camera``: calibrate a camera from photos of the target alone."""

import sys
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from scribegauge.cli.intake import FILE, refuse_clashes
from scribegauge.cli.sheetchoice import SheetChoice, choose_sheet, sheet_options

if TYPE_CHECKING:
    from scribetarget.calibrate import Calibration
    from scribetarget.targetphoto import TargetPhoto


@click.command("camera")
@click.argument("photos", nargs=-1, required=True, type=FILE, metavar="PHOTO...")
@sheet_options
@click.option(
    "--out",
    type=FILE,
    required=True,
    metavar="FILE.json",
    help="Where the camera file goes; - for standard output.",
)
@click.option(
    "--coverage",
    type=FILE,
    metavar="FILE.png",
    help="Draw what the photos cover, and which one to add.",
)
def command(photos: tuple[Path, ...], out: Path, coverage: Path | None, **told: Any) -> None:
    """Calibrate a camera from 10 to 15 photos of the target lying flat and alone.

    Tilt the phone 10 to 35 degrees to different sides, fill the picture, keep the zoom as it is.
    `scribegauge check --camera FILE` then measures better with the same phone. Without --bars or
    --sheet how the sheet was stretched is worked out from the photos as well.

    Example: scribegauge camera ring-*.jpg --bars 100.1,99.9 --out phone.json
    """
    from scribegauge.report.atomic import check_place, write_together
    from scribegauge.report.cameratable import camera_table
    from scribegauge.report.coveragepicture import draw_coverage

    places = [out, *([coverage] if coverage else [])]
    refuse_clashes(photos, places)
    for place in places:
        check_place(place)
    sheet = choose_sheet(**told)
    result, skipped = _calibrate(photos, sheet)
    files = [(out, _camera_file(result))]
    if coverage:
        files.append((coverage, draw_coverage(result, skipped)))
    # Together, so that an interruption leaves either both or neither.
    write_together([(place, data) for place, data in files if str(place) != "-"])
    if "-" not in map(str, places):
        click.echo(camera_table(result, skipped), nl=False)
    for place, data in files:
        if str(place) == "-":
            click.echo(data, nl=False)
        else:
            click.echo(f"Wrote {place}.", err=True)


def _calibrate(
    photos: tuple[Path, ...], sheet: SheetChoice
) -> tuple["Calibration", list[tuple[str, str]]]:
    """Find the target in every photo, then solve all of them together."""
    from scribetarget.calibrate import calibrate

    with click.progressbar(
        length=len(photos) + 1,
        label="Looking at the photos",
        file=sys.stderr,
        hidden=not sys.stderr.isatty(),
    ) as bar:
        seen, skipped = _look(photos, bar.update)
        result = calibrate(seen, sheet.scale_today(seen[0].sighting.spec))
        bar.update(1)
    return result, skipped


def _camera_file(result: "Calibration") -> bytes:
    from scribetarget.camerafile import CameraFacts, camera_text

    used = tuple((each.name, each.sha256) for each in result.photos)
    day = datetime.now(UTC).date().isoformat()
    facts = CameraFacts(day, result.rms_px, used, result.advice)
    return camera_text(result.camera, facts).encode("ascii")


def _look(
    paths: tuple[Path, ...], step: Callable[[int], None]
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
    for path in paths:
        try:
            photo = _target_photo(path)
        except (PhotoError, SightingError) as error:
            skipped.append((path.name, error.text))
            step(1)
            continue
        twin = next((each.name for each in seen if each.sha256 == photo.sha256), None)
        if twin is None:
            seen.append(photo)
        else:
            skipped.append((path.name, f"The same photo as {twin}."))
        step(1)
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
