"""``scribegauge sheet``: printed sheets on record, so that bars are typed once."""

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from scribegauge.cli.options import PERCENT
from scribegauge.cli.sheetchoice import bars_options, folder_option, folder_or_usual

if TYPE_CHECKING:
    from scribetarget.sheetrecord import SheetRecord


class DayType(click.ParamType[date]):
    """A day, year first."""

    name = "DATE"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> date:
        """Return the day, or end with a sentence."""
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]
        try:
            return date.fromisoformat(value.strip())
        except ValueError:
            self.fail(
                f"{value!r} is not a day. Write year, month and day, e.g. 2026-10-05.", param, ctx
            )


@click.group("sheet")
def command() -> None:
    """Keep printed sheets on record, each by a name of your choice.

    `check --sheet NAME` and `camera --sheet NAME` then take the record instead of --bars.

    Example: scribegauge sheet add M-1 --size M --bars 100.1,99.9
    """


@command.command("add")
@click.argument("name")
@click.option(
    "--size",
    type=click.Choice(["S", "M", "L"], case_sensitive=False),
    required=True,
    metavar="S|M|L",
    help="Which sheet it is.",
)
@bars_options
@click.option("--measured", type=DayType(), help="When the bars were measured; left out, today.")
@click.option("--humidity", type=PERCENT, help="Of the room then, in % (optional).")
@click.option("--paper", default="", metavar="TEXT", help="What it is printed on.")
@click.option("--note", default="", metavar="TEXT", help="Whatever helps to know it again.")
@click.option("--replace", is_flag=True, help="Overwrite the record of this name: measured anew.")
@folder_option
def add(
    name: str,
    size: str,
    bars: tuple[tuple[float, float], ...],
    caliper_error: float | None,
    measured: date | None,
    humidity: float | None,
    paper: str,
    note: str,
    replace: bool,
    sheet_folder: Path | None,
) -> None:
    """Write down a printed sheet.

    Write the same name on the sheet itself. Measure the bars again after every print, and every
    few weeks: paper grows and shrinks with the damp.

    Example: scribegauge sheet add M-1 --size M --bars 100.1,99.9 --bars 100.12,99.9
    """
    from scribegauge.sheets.shelf import keep_sheet, refuse_future
    from scribetarget.printscale import CALIPER_ERROR_MM
    from scribetarget.sheetrecord import SheetRecord

    if not bars:
        raise click.MissingParameter(param_hint="'--bars'", param_type="option")
    today = datetime.now().astimezone().date()
    error_mm = CALIPER_ERROR_MM if caliper_error is None else caliper_error
    day = today if measured is None else measured
    record = SheetRecord(name, size, bars, error_mm, day, paper, note, humidity)
    refuse_future(record, today)
    path = keep_sheet(folder_or_usual(sheet_folder), record, replace=replace)
    click.echo(f"Wrote {path}. Use it with --sheet {name}.", err=True)


@command.command("list")
@folder_option
def list_all(sheet_folder: Path | None) -> None:
    """Show which sheets there are.

    Example: scribegauge sheet list
    """
    from scribegauge.report.sheettable import sheet_table
    from scribegauge.sheets.shelf import look_at_shelf

    folder = folder_or_usual(sheet_folder)
    shelf = look_at_shelf(folder)
    if shelf.records:
        click.echo(sheet_table(shelf.records, datetime.now().astimezone().date()), nl=False)
    for error in shelf.broken:
        click.echo(f"scribegauge: {error.text} {error.cure}", err=True)
    if not shelf.records and not shelf.broken:
        click.echo(f"No sheet is on record in {folder}.", err=True)


@command.command("show")
@click.argument("name")
@folder_option
def show(name: str, sheet_folder: Path | None) -> None:
    """Show one sheet's record.

    Example: scribegauge sheet show M-1
    """
    from scribetarget.sheetrecord import sheet_text

    click.echo(sheet_text(_record(sheet_folder, name)), nl=False)


@command.command("forget")
@click.argument("name")
@folder_option
def forget(name: str, sheet_folder: Path | None) -> None:
    """Remove one sheet's record.

    Example: scribegauge sheet forget M-1
    """
    from scribegauge.sheets.shelf import forget_sheet

    forget_sheet(folder_or_usual(sheet_folder), name)
    click.echo(f"Forgot {name}.", err=True)


def _record(sheet_folder: Path | None, name: str) -> "SheetRecord":
    from scribegauge.sheets.shelf import take_sheet

    today = datetime.now().astimezone().date()
    return take_sheet(folder_or_usual(sheet_folder), name, today)
