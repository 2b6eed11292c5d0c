"""``scribegauge ledger``: readings kept over a winter."""

from datetime import date
from pathlib import Path

import click

from scribegauge.cli import exitcodes
from scribegauge.cli.intake import FILE
from scribegauge.cli.keeping import ledger_file, ledger_option
from scribegauge.cli.sheet import DayType


@click.group("ledger")
def command() -> None:
    """Keep readings over a winter, by pupils' codes, in one file.

    `check --keep CODE` and `class --keep` put readings in; `progress CODE` shows them.

    Example: scribegauge ledger list
    """


@command.command("add")
@click.argument("code")
@click.argument("readings", nargs=-1, required=True, type=FILE, metavar="READING.json...")
@click.option("--made", type=DayType(), help="When the plate was made; left out, the photo's day.")
@click.option("--replace", is_flag=True, help="Let a reading take the place of the same photo's.")
@ledger_option
def add(
    code: str, readings: tuple[Path, ...], made: date | None, replace: bool, ledger: Path | None
) -> None:
    """Keep readings that `check --json` wrote.

    Example: scribegauge ledger add A-12 plate.json
    """
    from scribegauge.ledger.entries import entry_of
    from scribegauge.ledger.store import opened
    from scribegauge.ledger.transfer import take_in
    from scribegauge.report.readingfile import load_reading

    entries = [entry_of(code, load_reading(path), made) for path in readings]
    with opened(ledger_file(ledger)) as connection:
        counts = take_in(connection, entries, replace=replace)
    click.echo(_counted(counts.new, counts.replaced, counts.there), err=True)


@command.command("list")
@click.argument("code", required=False)
@ledger_option
def list_all(code: str | None, ledger: Path | None) -> None:
    """Show the pupils, or one pupil's plates.

    Example: scribegauge ledger list A-12
    """
    from scribegauge.ledger.plates import entries, pupils
    from scribegauge.ledger.store import opened

    with opened(ledger_file(ledger), must_exist=True) as connection:
        if code is not None:
            for entry in entries(connection, code):
                known = {"photo": "", "given": " (given)", "kept": " (day it was kept)"}
                photos = " ".join(sha[:12] for sha in entry.photos)
                click.echo(f"{entry.made}{known[entry.made_by]}  {entry.title}  photo {photos}")
            return
        for line in pupils(connection):
            plates = f"{line.plates} plate{'s' * (line.plates > 1)}"
            click.echo(f"{line.pupil}  {plates}  {line.first} to {line.last}")


@command.command("export")
@click.argument("code", required=False)
@click.option("--json", "json_file", type=FILE, metavar="FILE.jsonl", help="JSON, a plate a line.")
@click.option("--csv", "csv_file", type=FILE, metavar="FILE.csv", help="For a spreadsheet.")
@ledger_option
def export(
    code: str | None, json_file: Path | None, csv_file: Path | None, ledger: Path | None
) -> None:
    """Write everything, or all of one pupil, to a file; both kinds can be imported again.

    Example: scribegauge ledger export A-12 --csv a-12.csv
    """
    from scribegauge.ledger.plates import entries
    from scribegauge.ledger.store import opened
    from scribegauge.ledger.transfer import to_json_lines, to_table
    from scribegauge.report.atomic import write_together

    if json_file is None and csv_file is None:
        raise click.UsageError("Say where to: --json FILE.jsonl, --csv FILE.csv, or both.")
    with opened(ledger_file(ledger), must_exist=True) as connection:
        plates = list(entries(connection, code))
    files = []
    if json_file is not None:
        files.append((json_file, "".join(to_json_lines(plates)).encode()))
    if csv_file is not None:
        files.append((csv_file, to_table(plates)))
    write_together(files)
    click.echo(f"Wrote {len(plates)} plate{'' if len(plates) == 1 else 's'}.", err=True)


@command.command("import")
@click.argument("file", type=FILE)
@click.option("--replace", is_flag=True, help="Let a reading take the place of the same photo's.")
@ledger_option
def import_file(file: Path, replace: bool, ledger: Path | None) -> None:
    """Take in what `ledger export` wrote: FILE.jsonl or FILE.csv, all of it or nothing.

    Example: scribegauge ledger import a-12.csv
    """
    from scribegauge.errors import UseError
    from scribegauge.ledger.store import opened
    from scribegauge.ledger.transfer import from_json_lines, from_table, take_in

    try:
        text = file.read_text(encoding="utf-8-sig", errors="replace")
    except OSError as error:
        raise UseError(
            "import_missing",
            f"There is no file {str(file)!r} to read.",
            "Give a file that `scribegauge ledger export` wrote.",
        ) from error
    read = from_table if file.suffix.lower() == ".csv" else from_json_lines
    with opened(ledger_file(ledger)) as connection:
        counts = take_in(connection, read(text), replace=replace)
    click.echo(_counted(counts.new, counts.replaced, counts.there), err=True)


@command.command("verify")
@ledger_option
def verify_file(ledger: Path | None) -> int:
    """Look whether the file is whole and every reading can be read.

    Example: scribegauge ledger verify
    """
    from scribegauge.ledger.store import opened
    from scribegauge.ledger.upkeep import verify

    with opened(ledger_file(ledger), must_exist=True) as connection:
        found = verify(connection)
    for fault in found.faults:
        click.echo(f"scribegauge: {fault}", err=True)
    if found.faults:
        click.echo("Put the last good backup in its place, or export what can be read.", err=True)
        return exitcodes.WRONG_USE
    click.echo(f"{found.pupils} pupils, {found.plates} plates, {found.photos} photos: all sound.")
    return exitcodes.OK


@command.command("backup")
@click.argument("file", type=FILE)
@ledger_option
def backup(file: Path, ledger: Path | None) -> None:
    """Copy the ledger to a new file, also while others use it.

    Example: scribegauge ledger backup ledger-2026-11.sqlite3
    """
    from scribegauge.ledger.store import opened
    from scribegauge.ledger.upkeep import back_up

    with opened(ledger_file(ledger), must_exist=True) as connection:
        back_up(connection, file)
    click.echo(f"Wrote {file}.", err=True)


@command.command("forget")
@click.argument("code", required=False)
@ledger_option
def forget_pupil(code: str | None, ledger: Path | None) -> None:
    """Remove all of one pupil for good, from the file, its free pages and its log.

    Without a code, clears what an interrupted removal may have left. Backups and exports are other
    files: delete them yourself.

    Example: scribegauge ledger forget A-12
    """
    from scribegauge.ledger.store import opened
    from scribegauge.ledger.upkeep import clear_traces, forget

    with opened(ledger_file(ledger), must_exist=True) as connection:
        if code is None:
            clear_traces(connection)
            click.echo("Cleared.", err=True)
            return
        count = forget(connection, code)
    plates = f"{count} plate{'' if count == 1 else 's'}"
    click.echo(f"Removed {code} and {plates}. Backups and exports still hold them.", err=True)


def _counted(new: int, replaced: int, there: int) -> str:
    words = [f"kept {new}"]
    words += [f"replaced {replaced}"] if replaced else []
    words += [f"{there} there already, not counted twice"] if there else []
    return f"{', '.join(words).capitalize()}."
