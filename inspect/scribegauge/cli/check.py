"""``scribegauge check``: measure one plate."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from scribegauge.cli import exitcodes
from scribegauge.cli.figurechoice import choose_layout, figure_options
from scribegauge.cli.intake import FILE, refuse_clashes
from scribegauge.cli.keeping import check_keeping, keep_options, keep_reading
from scribegauge.cli.options import ERROR, THICKNESS, TRIALS
from scribegauge.cli.progress import waiting
from scribegauge.cli.sheetchoice import choose_sheet, sheet_options

if TYPE_CHECKING:
    from scribegauge.photo.record import Photo
    from scribegauge.pipeline import Request
    from scribegauge.report.outputs import Outputs
    from scribegauge.report.reading import Reading


@click.command("check")
@click.argument("photos", nargs=-1, required=True, type=FILE, metavar="PHOTO...")
@figure_options
@click.option("--thickness", type=THICKNESS, help="Thickness of the plate in mm.")
@click.option(
    "--thickness-error",
    type=ERROR,
    help="How far off that thickness may be at most, in mm; left out, 0.035.",
)
@sheet_options
@click.option("--camera", type=FILE, metavar="FILE", help="Camera profile from `camera`.")
@click.option("--hints", type=FILE, metavar="FILE", help="Where marks are that were not seen.")
@click.option(
    "--trials",
    type=TRIALS,
    help="Check U by so many random trials of all that goes into it (Monte Carlo), e.g. 100000.",
)
@click.option("--json", "json_file", type=FILE, metavar="FILE", help="Write the reading; - prints.")
@click.option("--overlay", type=FILE, metavar="FILE", help="Write the picture: .png or .svg.")
@click.option("--as-taken", is_flag=True, help="Draw it on the photo as taken, not straightened.")
@click.option("--report", type=FILE, metavar="FILE", help="Write all of it: .html or .pdf.")
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"], case_sensitive=False),
    default="a4",
    show_default=True,
    help="Paper of a .pdf report.",
)
@click.option(
    "--csv", "csv_file", type=FILE, metavar="FILE.csv", help="Write it for a spreadsheet."
)
@keep_options
@click.option("--quiet", "-q", is_flag=True, help="Print no table; the exit status tells.")
def command(
    photos: tuple[Path, ...],
    layout: Path | None,
    camera: Path | None,
    hints: Path | None,
    json_file: Path | None,
    overlay: Path | None,
    report: Path | None,
    csv_file: Path | None,
    as_taken: bool,
    paper: str,
    keep: str | None,
    ledger: Path | None,
    quiet: bool,
    **told: Any,
) -> int:
    """Measure every side and angle of a scribed plate in the target's window.

    Several photos of the same plate, lying still while lamp or camera moved, give one reading.

    Example: scribegauge check plate.jpg --layout bracket.toml --thickness 0.8 --bars 100.1,99.9
    --overlay plate.png
    """
    from scribegauge.report.atomic import check_place
    from scribegauge.report.outputs import Outputs
    from scribegauge.report.table import table

    outputs = Outputs(json_file, overlay, report, csv_file, as_taken, paper)
    given = (path for path in (layout, camera, hints) if path)
    refuse_clashes((*photos, *given), outputs.places)
    for place in outputs.places:
        check_place(place)
    check_keeping(keep, ledger)
    request = _pointed(_request(layout, camera, **told), hints, len(photos))
    reading = _measured(photos, request, outputs)
    if not quiet and not outputs.to_stdout:
        click.echo(table(reading), nl=False)
    if keep is not None:
        keep_reading(reading, keep, ledger)
    return _status(reading)


def _measured(photos: tuple[Path, ...], request: "Request", outputs: "Outputs") -> "Reading":
    """Measure, and write the files that were asked for, also those of a refusal."""
    from scribegauge.errors import PhotoError
    from scribegauge.photo.load import load_photo
    from scribegauge.photo.twins import refuse_twins
    from scribegauge.pipeline import check
    from scribegauge.report.outputs import write_outputs, write_refusal
    from scribetarget.errors import CameraError, SightingError

    loaded: list[Photo] = []
    try:
        with waiting("Measuring"):
            loaded.extend(load_photo(path) for path in photos)
            refuse_twins(loaded)
            reading = check(tuple(loaded), request)
    except (PhotoError, SightingError, CameraError) as error:
        write_refusal(outputs, error, request.layout.title, loaded)
        raise
    write_outputs(outputs, loaded[0], reading)
    return reading


def _request(
    layout: Path | None,
    camera: Path | None,
    thickness: float | None,
    thickness_error: float | None,
    trials: int | None,
    figure: str | None,
    sizes: tuple[str, ...],
    tolerance: str | None,
    **sheet: Any,
) -> "Request":
    """Put together what was told of plate and sheet."""
    from scribegauge.photo.profilefile import load_profile
    from scribegauge.pipeline import Request

    profile = load_profile(camera) if camera else None
    known = choose_sheet(**sheet)
    return Request(
        choose_layout(layout, figure, sizes, tolerance),
        thickness,
        known.bars_mm,
        profile,
        known.record,
        known.caliper_error_mm,
        _thickness_error_mm(thickness, thickness_error),
        known.today,
        trials=trials,
    )


def _pointed(request: "Request", hints: Path | None, photos: int) -> "Request":
    """Add where the person saw marks."""
    from dataclasses import replace

    from scribegauge.figure.hintsfile import load_hints

    if hints is None:
        return request
    return replace(request, hints=load_hints(hints, request.layout.names, photos))


def _thickness_error_mm(thickness: float | None, given: float | None) -> float:
    from scribegauge.errors import UseError
    from scribegauge.pipeline import THICKNESS_ERROR_MM

    if given is not None and thickness is None:
        raise UseError(
            "no_thickness",
            "There is a --thickness-error and no --thickness.",
            "Give the thickness that it belongs to, or neither.",
        )
    return THICKNESS_ERROR_MM if given is None else given


def _status(reading: "Reading") -> int:
    from scribegauge.report.marksentence import judged_marks

    verdicts = [side.verdict for side in reading.sides]
    verdicts += [angle.verdict for angle in reading.angles]
    verdicts += [verdict for _, verdict in judged_marks(reading)]
    outside = "outside" in verdicts
    return exitcodes.OUTSIDE if outside else exitcodes.OK
