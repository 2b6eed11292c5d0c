"""Which sheet was photographed: its bars given by hand, or its record by name."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from scribegauge.cli.intake import FILE
from scribegauge.cli.options import BARS, ERROR

if TYPE_CHECKING:
    from scribetarget.printscale import PrintScale
    from scribetarget.sheetrecord import SheetRecord
    from scribetarget.spec import TargetSpec

Command = TypeVar("Command", bound=Callable[..., Any])

FOLDER_VARIABLE = "SCRIBEGAUGE_SHEETS"


@dataclass(frozen=True, slots=True)
class SheetChoice:
    """What was said of the sheet: readings of its bars, its record, or nothing.

    Attributes
    ----------
    bars_mm : tuple of (x, y)
    caliper_error_mm : float
    record : SheetRecord or None
    today : date
    """

    bars_mm: tuple[tuple[float, float], ...]
    caliper_error_mm: float
    record: "SheetRecord | None"
    today: date

    def scale_today(self, spec: "TargetSpec") -> "PrintScale":
        """Return what is known of the sheet's print scale now.

        Raises
        ------
        BarsError
            ``bars_absurd``.
        SheetError
            ``sheet_other_size``.
        """
        from scribetarget.printscale import scale_from_bars, unmeasured_scale
        from scribetarget.sheetrecord import sheet_scale

        if self.record is not None:
            return sheet_scale(self.record, spec, self.today)
        if self.bars_mm:
            return scale_from_bars(spec, self.bars_mm, self.caliper_error_mm)
        return unmeasured_scale()


def bars_options(command: Command) -> Command:
    """Add --bars and --caliper-error."""
    for add in (
        click.option(
            "--caliper-error",
            type=ERROR,
            help="How far off that caliper may be at most, in mm; left out, 0.02.",
        ),
        click.option(
            "--bars",
            type=BARS,
            multiple=True,
            help="Both check bars of the sheet by caliper, in mm; several readings are averaged.",
        ),
    ):
        command = add(command)
    return command


def folder_option(command: Command) -> Command:
    """Add --sheet-folder."""
    return click.option(
        "--sheet-folder",
        type=FILE,
        envvar=FOLDER_VARIABLE,
        metavar="FOLDER",
        help=f"Where the records of sheets are, also by {FOLDER_VARIABLE}; left out, with your "
        "other data.",
    )(command)


def sheet_options(command: Command) -> Command:
    """Add what says which sheet was photographed."""
    named = click.option(
        "--sheet", metavar="NAME", help="Instead of --bars: the sheet's record from `sheet add`."
    )
    return bars_options(named(folder_option(command)))


def choose_sheet(
    bars: tuple[tuple[float, float], ...],
    caliper_error: float | None,
    sheet: str | None,
    sheet_folder: Path | None,
) -> SheetChoice:
    """Make out what was said of the sheet.

    Raises
    ------
    UseError
        ``bars_twice`` when bars and a record are given, ``no_bars`` when a caliper's error has
        nothing to belong to, ``sheet_folder``.
    SheetError
        When there is no such record.
    """
    from scribegauge.errors import UseError
    from scribegauge.sheets.shelf import take_sheet
    from scribetarget.printscale import CALIPER_ERROR_MM

    if sheet is not None and (bars or caliper_error is not None):
        raise UseError(
            "bars_twice",
            f"The bars are given by hand and by the record of sheet {sheet}.",
            "Give --bars (with --caliper-error) or --sheet; after measuring anew, write it down "
            "with `scribegauge sheet add --replace`.",
        )
    if caliper_error is not None and not bars:
        raise UseError(
            "no_bars", "There is a --caliper-error and no --bars.", "Give the readings with --bars."
        )
    error_mm = CALIPER_ERROR_MM if caliper_error is None else caliper_error
    today = datetime.now().astimezone().date()
    folder = folder_or_usual(sheet_folder)
    record = None if sheet is None else take_sheet(folder, sheet, today)
    return SheetChoice(bars, error_mm, record, today)


def folder_or_usual(sheet_folder: Path | None) -> Path:
    """Return the folder of the records."""
    from scribegauge.sheets.shelf import usual_folder

    return usual_folder() if sheet_folder is None else sheet_folder
