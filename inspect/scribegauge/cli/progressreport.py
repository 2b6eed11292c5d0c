"""``scribegauge progress``: one pupil's plates over the weeks."""

from pathlib import Path

import click

from scribegauge.cli.intake import FILE
from scribegauge.cli.keeping import ledger_file, ledger_option


@click.command("progress")
@click.argument("code")
@click.option("--report", type=FILE, metavar="FILE.html", help="Write a page with charts.")
@ledger_option
def command(code: str, report: Path | None, ledger: Path | None) -> None:
    """Say how a pupil's work changes, which habits show, and what to practise next.

    Goes by the readings in the ledger; `check --keep CODE` puts them there.

    Example: scribegauge progress A-12 --report a-12.html
    """
    from scribegauge.ledger.plates import attempts
    from scribegauge.ledger.store import opened
    from scribegauge.progress.page import progress_page
    from scribegauge.progress.summary import summary_of, text_of
    from scribegauge.report.atomic import check_place, write_aside

    if report is not None:
        check_place(report)
    with opened(ledger_file(ledger), must_exist=True) as connection:
        made = attempts(connection, code)
    if report is not None:
        write_aside(report, progress_page(code, made))
    click.echo(text_of(summary_of(code, made)), nl=False)
