"""A pupil's winter as one page that needs nothing from elsewhere."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined

from scribegauge.progress.chart import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, Chart, draw_chart
from scribegauge.progress.record import Attempt, Measured
from scribegauge.progress.summary import Followed, Summary, habits_words, summary_of
from scribegauge.report.words import DASH, decimals_for

# Newest plates in the table; all are in the ledger's export.
MOST_ROWS = 60


@dataclass(frozen=True, slots=True)
class Panel:
    """One measure: its chart and the words round it."""

    followed: Followed
    chart: Chart


def progress_page(pupil: str, attempts: Sequence[Attempt]) -> bytes:
    """Write the page of one pupil.

    Parameters
    ----------
    pupil : str
    attempts : sequence of Attempt
        At least one, in the order they were made.

    Returns
    -------
    bytes
        HTML in UTF-8, charts as SVG within. The same plates give the same bytes.
    """
    summary = summary_of(pupil, attempts)
    template = _environment().get_template("progress.html.j2")
    return template.render(
        summary=summary,
        habits_words=habits_words(summary),
        panels=_panels(summary),
        rows=list(reversed(summary.attempts[-MOST_ROWS:])),
        frame={"W": WIDTH, "H": HEIGHT, "L": LEFT, "R": RIGHT, "T": TOP, "B": BOTTOM},
    ).encode()


def measured_words(number: Measured | None) -> str:
    """Write a number with its U, or a dash where there is none."""
    if number is None:
        return DASH
    digits = min(decimals_for(number.U), 3)
    return f"{number.value:.{digits}f} ± {number.U:.{digits}f}"


def _panels(summary: Summary) -> list[Panel]:
    charts = [(each, draw_chart(each.series, each.trend)) for each in summary.measures]
    return [Panel(each, chart) for each, chart in charts if chart is not None]


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("scribegauge.progress"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["measured"] = measured_words
    return environment
