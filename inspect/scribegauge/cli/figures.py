"""``scribegauge figures``: figures by name and size, and layout files checked."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from scribegauge.cli import exitcodes
from scribegauge.cli.figurechoice import SIZE, TOLERANCE, VERTICES, sizes_given, tolerance_given
from scribegauge.cli.intake import FILE

if TYPE_CHECKING:
    from scribegauge.figure.layout import Layout

_PX_PER_MM: Final = 8.0


@click.command("figures")
@click.argument("name", required=False)
@SIZE
@VERTICES
@TOLERANCE
@click.option(
    "--out", type=FILE, metavar="FILE", help="A .toml layout, or a drawing: .svg .png .pdf .dxf."
)
@click.option(
    "--check",
    "checked",
    type=FILE,
    metavar="FILE",
    help="Find all faults of a layout or construction file.",
)
def command(
    name: str | None,
    sizes: tuple[str, ...],
    vertices: tuple[tuple[float, float], ...] | None,
    tolerance: str | None,
    out: Path | None,
    checked: Path | None,
) -> int:
    """List figures by name, write one as a layout file or a drawing, or check a file.

    Example: scribegauge figures rectangle --size 40,26 --tolerance m --out blank.toml
    """
    from scribegauge.errors import UseError

    if checked is not None and (name, sizes, vertices, tolerance, out) == (
        None,
        (),
        None,
        None,
        None,
    ):
        return _check(checked)
    if checked is not None or (name is not None and vertices is not None):
        raise UseError(
            "figure_twice",
            "--check takes a file alone, and a figure has either a name or --vertices.",
            "Leave one of them out.",
        )
    if name is None and vertices is None:
        if sizes or tolerance is not None:
            raise UseError("no_figure", "No figure is named.", "`scribegauge figures` lists them.")
        return _list(out)
    layout = _layout(name, sizes, vertices, tolerance)
    if out is None or str(out) == "-":
        click.echo(_text(layout, name), nl=False)
        return exitcodes.OK
    return _write(layout, name, out)


def _list(out: Path | None) -> int:
    """Print the figures with their sizes, or draw them all."""
    from scribegauge.drawings.figuresheet import figure_sheet
    from scribegauge.drawings.files import drawing_file
    from scribegauge.figure.named import figure_names, named_figure
    from scribegauge.report.atomic import write_aside

    if out is not None:
        page = figure_sheet()
        write_aside(out, drawing_file((page,), out.suffix, "Figures by name and size", _PX_PER_MM))
        click.echo(f"Wrote {out}.", err=True)
        return exitcodes.OK
    for name in figure_names():
        figure = named_figure(name)
        sizes = ", ".join(f"{key} = {value:g}" for key, value in figure.sizes.items())
        click.echo(f"{name:21}{figure.title:31}{sizes}")
    click.echo(
        "\n`scribegauge figures --out figures.svg` draws them all; mm are assumed in --size."
    )
    return exitcodes.OK


def _layout(
    name: str | None,
    sizes: tuple[str, ...],
    vertices: tuple[tuple[float, float], ...] | None,
    tolerance: str | None,
) -> "Layout":
    from scribegauge.errors import UseError
    from scribegauge.figure.named import figure_layout, named_figure, outline_layout

    allowed = tolerance_given(tolerance)
    if vertices is not None:
        if sizes:
            raise UseError("figure_size", "Corners have no --size.", "Leave --size out.")
        return outline_layout(vertices, allowed)
    figure = named_figure(name or "")
    return figure_layout(figure.name, sizes_given(figure.sizes, sizes, figure.name), allowed)


def _text(layout: "Layout", name: str | None) -> str:
    from scribegauge.figure.layoutwriting import layout_text
    from scribegauge.figure.named import named_figure

    return layout_text(layout, may_cross=name is not None and named_figure(name).may_cross)


def _write(layout: "Layout", name: str | None, out: Path) -> int:
    from scribegauge.drawings.figuresheet import figure_page
    from scribegauge.drawings.files import drawing_file
    from scribegauge.report.atomic import write_aside

    if out.suffix.lower() == ".toml":
        write_aside(out, _text(layout, name).encode())
    else:
        page = figure_page(layout)
        write_aside(out, drawing_file((page,), out.suffix, layout.title, _PX_PER_MM))
    click.echo(f"Wrote {out}: {layout.title}.", err=True)
    return exitcodes.OK


def _check(file: Path) -> int:
    """Say whether a layout or construction file can be used, with all its faults if not."""
    from scribegauge.construction.choice import chosen_by
    from scribegauge.construction.stepfile import read_construction, read_text
    from scribegauge.construction.telling import told
    from scribegauge.figure.layoutfile import load_layout
    from scribegauge.figure.layouttelling import layout_told

    text = read_text(file)
    if any(line.replace(" ", "").startswith("construction=") for line in text.splitlines()):
        click.echo(told(read_construction(text, file.name)), nl=False)
        return exitcodes.OK
    layout = load_layout(file)
    chosen = chosen_by(layout)
    click.echo(layout_told(layout), nl=False)
    if chosen is not None:
        click.echo(f"Drawn by: {chosen.construction.title}.")
    sys.stdout.flush()
    return exitcodes.OK
