"""``scribegauge table``: readings that were kept, as one table."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from scribegauge.cli.intake import FILE, refuse_clashes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from scribegauge.report.reading import Reading

# As report/csvtable.py has them; importing it here would make --help wait.
KINDS = ("reading", "side", "angle", "prick", "arc", "line", "meeting")


@click.command("table")
@click.argument("readings", nargs=-1, required=True, type=FILE, metavar="READING.json...")
@click.option(
    "--csv",
    "csv_file",
    type=FILE,
    metavar="FILE.csv",
    help="Put all readings into one CSV for a spreadsheet; - prints it.",
)
@click.option(
    "--only",
    "kinds",
    type=click.Choice(KINDS),
    multiple=True,
    metavar="KIND",
    help=f"Which rows go into the CSV: {', '.join(KINDS)}; may be repeated. Left out, all.",
)
def command(readings: tuple[Path, ...], csv_file: Path | None, kinds: tuple[str, ...]) -> None:
    """Show readings that `check --json` wrote, or put them into one CSV.

    A refused photo has its row too, so that no plate of a class goes missing.

    Example: scribegauge table class/*.json --csv class.csv --only side --only angle
    """
    from scribegauge.report.atomic import check_place
    from scribegauge.report.readingfile import load_reading

    if kinds and csv_file is None:
        raise click.UsageError("--only chooses rows of --csv, which is not given.")
    refuse_clashes(readings, [csv_file] if csv_file else [])
    if csv_file:
        check_place(csv_file)
    known = [load_reading(path) for path in readings]
    if csv_file is None:
        _print(readings, known)
    else:
        _write(csv_file, known, kinds or KINDS)


def _print(names: "Sequence[Path]", readings: "Sequence[Reading]") -> None:
    from scribegauge.report.table import table
    from scribegauge.report.words import one_line

    for k, (name, reading) in enumerate(zip(names, readings, strict=True)):
        if len(readings) > 1:
            click.echo("\n" * (k > 0) + f"== {one_line(name.name, 74)}\n")
        click.echo(table(reading), nl=False)


def _write(csv_file: Path, readings: "Sequence[Reading]", kinds: "Sequence[str]") -> None:
    from scribegauge.report.atomic import write_aside
    from scribegauge.report.csvtable import readings_csv

    data = readings_csv(readings, kinds)
    if str(csv_file) == "-":
        sys.stdout.buffer.write(data)
        return
    write_aside(csv_file, data)
    click.echo(f"Wrote {csv_file}.", err=True)
