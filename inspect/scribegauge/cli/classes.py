"""``scribegauge class``: all plates of an evening."""

import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from scribegauge.cli.intake import FILE
from scribegauge.cli.keeping import ledger_file, ledger_option
from scribegauge.cli.sheetchoice import folder_option, folder_or_usual

if TYPE_CHECKING:
    from scribegauge.batch.evening import Evening, Finished, Run


@click.command("class")
@click.argument("folder", type=FILE)
@click.option(
    "--class", "class_file", type=FILE, required=True, metavar="FILE", help="The class file (TOML)."
)
@click.option("--out", type=FILE, metavar="FOLDER", help="Results; left out, FOLDER-results here.")
@click.option(
    "--workers", type=click.IntRange(1, 64), metavar="N", help="Processes; left out, one per core."
)
@click.option("--scheduler", metavar="ADDRESS", help="Measure on a dask cluster instead.")
@click.option("--keep", is_flag=True, help="Keep all readings in the ledger, too.")
@ledger_option
@folder_option
def command(
    folder: Path,
    class_file: Path,
    out: Path | None,
    workers: int | None,
    scheduler: str | None,
    keep: bool,
    ledger: Path | None,
    sheet_folder: Path | None,
) -> None:
    """Measure all plates of a class and lay the results out on one page.

    Each pupil's photos lie in a folder named by the pupil's code, or have names that begin with it.
    Stopped at any moment, the same command goes on where it was.

    Example: scribegauge class monday --class monday.toml --keep
    """
    from scribegauge.batch.classfile import load_class
    from scribegauge.batch.evening import look_what_is_left
    from scribegauge.batch.handedin import look_through
    from scribegauge.batch.layout import lay_out
    from scribegauge.report.atomic import make_folder

    today = datetime.now().astimezone().date()
    what = load_class(class_file, folder_or_usual(sheet_folder), today)
    handed_in = look_through(folder, list(what.settings))
    results = out or Path(f"{folder.resolve().name}-results")
    make_folder(results)
    evening = look_what_is_left(handed_in, what.settings, results)
    evening = _worked(evening, results, _runner(workers, scheduler))
    page = lay_out(what, handed_in, evening.finished, results)
    if keep:
        _keep(evening.finished, ledger)
    refused = sum(each.reading.status == "refused" for each in evening.finished)
    count = len(evening.finished)
    click.echo(f"{count - refused} of {count} plates measured. Open {page}.")


def _worked(evening: "Evening", results: Path, run: "Run") -> "Evening":
    """Measure what is left, with a bar on a terminal or a line for each plate elsewhere."""
    from scribegauge.batch.evening import work_through

    there, left = len(evening.jobs) - len(evening.left), len(evening.left)
    if there:
        click.echo(f"{there} of {len(evening.jobs)} plates are measured already.", err=True)
    done = 0

    def counted(step: Callable[["Finished"], None]) -> Callable[["Finished"], None]:
        def tell(finished: "Finished") -> None:
            nonlocal done
            done += 1
            step(finished)

        return tell

    try:
        with _telling(left) as step:
            return work_through(evening, results, run, counted(step))
    except KeyboardInterrupt:
        words = f"{there + done} of {len(evening.jobs)} plates are done; the same command goes on."
        click.echo(words, err=True)
        raise


@contextmanager
def _telling(left: int) -> Iterator[Callable[["Finished"], None]]:
    """Show how far the work is."""
    if left == 0 or not sys.stderr.isatty():
        yield _line
        return
    with click.progressbar(length=left, label="Measuring", file=sys.stderr, show_pos=True) as bar:
        yield lambda _finished: bar.update(1)


def _line(finished: "Finished") -> None:
    click.echo(f"{finished.pupil} {finished.photo}: {finished.reading.status}", err=True)


def _runner(workers: int | None, scheduler: str | None) -> "Run":
    """Choose who does the work."""
    from scribegauge.batch.engines import cores, over_cores
    from scribegauge.batch.job import measure_here, measure_sent, send

    if scheduler is not None:
        from scribegauge.batch.cluster import over_cluster

        return lambda jobs: over_cluster(measure_sent, send, jobs, scheduler)
    count = workers or cores()
    return lambda jobs: over_cores(measure_here, jobs, count)


def _keep(finished: Sequence["Finished"], ledger: Path | None) -> None:
    """Keep what was measured; what cannot be kept is told and stops nothing."""
    from scribegauge.batch.keep import keep_evening

    file = ledger_file(ledger)
    kept, troubles = keep_evening(finished, file)
    for trouble in troubles:
        click.echo(f"scribegauge: {trouble}", err=True)
    click.echo(f"In the ledger {file}: {kept}.", err=True)
