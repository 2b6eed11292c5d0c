"""``scribegauge target``: the sheet to print."""

import sys
from pathlib import Path

import click


@click.command("target")
@click.option(
    "--size",
    type=click.Choice(["S", "M", "L"], case_sensitive=False),
    required=True,
    metavar="S|M|L",
    help="Window of 60 mm (S), 98 mm (M) or 152 mm (L).",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"], case_sensitive=False),
    default="a4",
    show_default=True,
    help="Paper in the printer.",
)
@click.option(
    "--out",
    type=click.Path(path_type=Path, allow_dash=True),
    required=True,
    metavar="FILE.pdf",
    help="Where the PDF goes; - for standard output.",
)
def command(size: str, paper: str, out: Path) -> None:
    """Draw the scale target as a PDF.

    Print it at actual size (100 %) and measure its two check bars with a caliper: --bars of the
    other commands takes the two readings.

    Example: scribegauge target --size M --out target-m.pdf
    """
    from scribegauge.report.atomic import write_aside
    from scribetarget.paper import PAPERS
    from scribetarget.sheet import draw_sheet
    from scribetarget.spec import load_specs

    pdf = draw_sheet(load_specs()[size], PAPERS[paper])
    if str(out) == "-":
        sys.stdout.buffer.write(pdf)
        return
    write_aside(out, pdf)
    click.echo(f"Wrote {out}. Print it at actual size (100 %), then measure both bars.", err=True)
