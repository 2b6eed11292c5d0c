"""``scribegauge construction``: the constructions that come with the program, and one's own."""

from pathlib import Path

import click

from scribegauge.cli import exitcodes
from scribegauge.cli.intake import FILE


@click.group("construction")
def command() -> None:
    """List, print or check constructions with straightedge and dividers.

    Example: scribegauge construction list
    """


@command.command("list")
def list_all() -> None:
    """Name the constructions that come with the program, exact ones and those that come near.

    Example: scribegauge construction list
    """
    from scribegauge.construction.catalogue import names, shipped

    for name in names():
        construction = shipped(name)
        exact = "exact" if construction.exact else "near"
        click.echo(f"{name:27}{exact:6}{construction.title}")


@command.command("show")
@click.argument("name")
@click.option("--file", "as_file", is_flag=True, help="Print its file, to be changed and checked.")
def show(name: str, as_file: bool) -> None:
    """Say the steps of a construction that comes with the program.

    Example: scribegauge construction show fixed-opening-pentagon
    """
    from scribegauge.construction.catalogue import shipped, text_of
    from scribegauge.construction.telling import told

    click.echo(text_of(name) if as_file else told(shipped(name)), nl=False)


@command.command("check")
@click.argument("file", type=FILE)
def check(file: Path) -> int:
    """Find everything that is wrong with a construction file of one's own.

    Exit status 0 when it can be used, 2 when not.

    Example: scribegauge construction check my-own.toml
    """
    from scribegauge.construction.stepfile import check_construction, read_construction, read_text
    from scribegauge.construction.telling import told

    text = read_text(file)
    faults = check_construction(text, file.name)
    for fault in faults:
        line = "" if fault.line is None else f"{fault.line}:"
        click.echo(f"{file.name}:{line} {fault.key} {fault.text}. {fault.cure}", err=True)
    if faults:
        return exitcodes.WRONG_USE
    click.echo(told(read_construction(text, file.name)), nl=False)
    return exitcodes.OK
