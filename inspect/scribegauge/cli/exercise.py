"""``scribegauge exercise``: a task on paper, its steps drawn one by one."""

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from scribegauge.cli import exitcodes
from scribegauge.cli.figurechoice import SIZE, sizes_given
from scribegauge.cli.intake import FILE

if TYPE_CHECKING:
    from scribegauge.construction.record import Construction

_PX_PER_MM: Final = 8.0


@click.command("exercise")
@click.argument("name")
@SIZE
@click.option(
    "--out",
    type=FILE,
    required=True,
    metavar="FILE",
    help="A .pdf to print, or the drawing at true scale: .svg or .dxf.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"], case_sensitive=False),
    default="a4",
    show_default=True,
    help="Paper in the printer.",
)
def command(name: str, sizes: tuple[str, ...], out: Path, paper: str) -> int:
    """Write a task with its steps, sizes, check measurements and room for code and date.

    NAME is a construction, as `scribegauge construction list` has them, a figure that one draws, or
    a construction file of one's own. In DXF every step has a layer.

    Example: scribegauge exercise square-on-side --size 40 --out square.pdf
    """
    from scribegauge.construction.plan import plan_of
    from scribegauge.drawings.exercise import board_items, exercise_of
    from scribegauge.drawings.exercisesheet import exercise_pages
    from scribegauge.drawings.files import drawing_file
    from scribegauge.drawings.record import Block, Page
    from scribegauge.errors import UseError
    from scribegauge.report.atomic import check_place, write_aside
    from scribetarget.paper import PAPERS

    check_place(out)
    construction = _construction(name)
    known = sizes_given(construction.sizes, sizes, construction.name)
    try:
        plan = plan_of(construction, known)
    except ValueError as error:
        cure = "Give other sizes with --size."
        raise UseError("figure_size", f"{construction.name} cannot be: {error}.", cure) from error
    exercise = exercise_of(construction, plan)
    printed = out.suffix.lower() == ".pdf"
    if out.suffix.lower() == ".dxf":
        pages: tuple[Page, ...] = (Page(0.0, 0.0, (Block(board_items(exercise)),)),)
    else:
        pages = exercise_pages(exercise, PAPERS[paper], grow=not printed)
    write_aside(out, drawing_file(pages, out.suffix, plan.title, _PX_PER_MM))
    scale = " Print it at actual size (100 %)." if printed else ""
    click.echo(f"Wrote {out}: {plan.title}, {exercise.sizes}.{scale}", err=True)
    return exitcodes.OK


def _construction(name: str) -> "Construction":
    """Return a construction by its own name, by a figure's, or from a file."""
    from scribegauge.construction.catalogue import names, shipped
    from scribegauge.construction.stepfile import load_construction
    from scribegauge.errors import UseError
    from scribegauge.figure.named import figure_names, named_figure

    if name.endswith(".toml"):
        return load_construction(Path(name))
    if name not in names() and name in figure_names():
        figure = named_figure(name)
        if not figure.construction:
            raise UseError(
                "construction_unknown",
                f"No construction draws the figure {name}.",
                f"Draw it with `scribegauge figures {name} --out FILE.pdf`, or name one of "
                "`scribegauge construction list`.",
            )
        return shipped(figure.construction)
    return shipped(name)
