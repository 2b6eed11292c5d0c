"""``scribegauge check``: measure one plate."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from scribegauge.cli import exitcodes
from scribegauge.cli.intake import FILE, read_camera_file, refuse_clashes, refuse_twins
from scribegauge.cli.options import BARS, THICKNESS

if TYPE_CHECKING:
    from scribegauge.photo.record import Photo
    from scribegauge.report.reading import Reading


@click.command("check")
@click.argument("photos", nargs=-1, required=True, type=FILE, metavar="PHOTO...")
@click.option("--layout", required=True, type=FILE, metavar="FILE", help="The intended figure.")
@click.option("--thickness", type=THICKNESS, help="Thickness of the plate in mm.")
@click.option(
    "--bars",
    type=BARS,
    multiple=True,
    help="Both check bars of the sheet by caliper, in mm; several readings are averaged.",
)
@click.option("--camera", type=FILE, metavar="FILE", help="Camera profile from `camera`.")
@click.option("--json", "json_file", type=FILE, metavar="FILE", help="Write the reading; - prints.")
@click.option("--overlay", type=FILE, metavar="FILE.png", help="Write the annotated picture.")
@click.option("--report", type=FILE, metavar="FILE.html", help="Write a page to keep or send.")
def command(
    photos: tuple[Path, ...],
    layout: Path,
    thickness: float | None,
    bars: tuple[tuple[float, float], ...],
    camera: Path | None,
    json_file: Path | None,
    overlay: Path | None,
    report: Path | None,
) -> int:
    """Measure every side and angle of a scribed plate in the target's window.

    Several photos of the same plate, lying still while lamp or camera moved, give one reading.

    Example: scribegauge check plate.jpg --layout bracket.toml --thickness 0.8 --bars 100.1,99.9
    --overlay plate.png
    """
    from scribegauge.errors import PhotoError
    from scribegauge.figure.layoutfile import load_layout
    from scribegauge.photo.load import load_photo
    from scribegauge.pipeline import Request, check
    from scribegauge.report.atomic import check_place
    from scribegauge.report.outputs import Outputs, write_outputs, write_refusal
    from scribegauge.report.table import table
    from scribetarget.errors import CameraError, SightingError

    outputs = Outputs(json_file, overlay, report)
    refuse_clashes((*photos, layout, *([camera] if camera else [])), outputs.places)
    for place in outputs.places:
        check_place(place)
    profile = read_camera_file(camera) if camera else None
    request = Request(load_layout(layout), thickness, bars, profile)
    loaded: list[Photo] = []
    try:
        loaded.extend(load_photo(path) for path in photos)
        refuse_twins(loaded)
        reading = check(tuple(loaded), request)
    except (PhotoError, SightingError, CameraError) as error:
        write_refusal(outputs, error, request.layout.title, loaded)
        raise
    write_outputs(outputs, loaded[0], reading)
    if not outputs.to_stdout:
        click.echo(table(reading), nl=False)
    return _status(reading)


def _status(reading: "Reading") -> int:
    verdicts = [side.verdict for side in reading.sides]
    verdicts += [angle.verdict for angle in reading.angles]
    outside = "outside" in verdicts
    return exitcodes.OUTSIDE if outside else exitcodes.OK
