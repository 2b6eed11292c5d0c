"""Where the ledger is, and putting a reading into it."""

import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from scribegauge.cli.intake import FILE

if TYPE_CHECKING:
    from scribegauge.report.reading import Reading

Command = TypeVar("Command", bound=Callable[..., Any])

LEDGER_VARIABLE = "SCRIBEGAUGE_LEDGER"


def ledger_option(command: Command) -> Command:
    """Add --ledger."""
    return click.option(
        "--ledger",
        type=FILE,
        metavar="FILE",
        help=f"The ledger's file, also by {LEDGER_VARIABLE}; left out, with your other data.",
    )(command)


def keep_options(command: Command) -> Command:
    """Add --keep and --ledger to a command that measures one plate."""
    command = ledger_option(command)
    return click.option(
        "--keep",
        metavar="CODE",
        help="Keep the reading in the ledger, as a plate of the pupil with this code, e.g. A-12.",
    )(command)


def ledger_file(given: Path | None) -> Path:
    """Return the ledger's file: as given, as the variable says, or the usual one."""
    from scribegauge.ledger.store import usual_file

    named = os.environ.get(LEDGER_VARIABLE, "").strip()
    return given or (Path(named) if named else usual_file())


def check_keeping(code: str | None, ledger: Path | None) -> None:
    """Find out before the work whether a reading could be kept.

    Raises
    ------
    UseError
        ``pupil_code``, ``ledger_without_keep``.
    """
    from scribegauge.errors import UseError
    from scribegauge.ledger.record import check_code

    if code is not None:
        check_code(code)
    elif ledger is not None:
        raise UseError(
            "ledger_without_keep",
            "There is a --ledger and nothing to keep in it.",
            "Add --keep with the pupil's code, or leave --ledger out.",
        )


def keep_reading(
    reading: "Reading", code: str, ledger: Path | None, made: date | None = None
) -> None:
    """Keep one reading and say so on standard error."""
    from scribegauge.ledger.entries import entry_of
    from scribegauge.ledger.plates import keep
    from scribegauge.ledger.store import opened

    entry = entry_of(code, reading, made)
    file = ledger_file(ledger)
    with opened(file) as connection:
        kept = keep(connection, entry)
    if kept.what == "there":
        words = f"This photo is in the ledger already, kept on {kept.entry.kept[:10]}; not counted twice."
    else:
        words = f"Kept as a plate of {code}, made on {entry.made}, in {file}."
    click.echo(words, err=True)
