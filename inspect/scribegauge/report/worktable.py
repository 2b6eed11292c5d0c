"""Circles and the hand's work in the plain-text table."""

from scribegauge.report.columns import COLUMNS, Row, grid, paragraph
from scribegauge.report.reading import Reading
from scribegauge.report.words import decimals_for
from scribegauge.report.workwords import remarks
from scribetarget.wording import digits, say, say_count

_SHOWN = 8


def arc_rows(reading: Reading) -> list[str]:
    """Set out circles and arcs."""
    rows = []
    for k, arc in enumerate(reading.arcs):
        places = decimals_for(arc.U_radius_mm)
        cells = (
            digits(arc.radius_mm, places),
            digits(arc.U_radius_mm, places),
            digits(arc.U_centre_mm, decimals_for(arc.U_centre_mm)),
            f"{arc.sweep_deg:.0f}°",
        )
        rows.append(Row(str(k + 1), cells))
    heads = [say("Arc [mm]"), say("radius"), "U", say("centre U"), say("sweep")]
    return grid(heads, rows) if rows else []


def work_rows(reading: Reading) -> list[str]:
    """Say what is remarkable about the hand's work, the first few things."""
    told = remarks(reading)
    rows = [row for remark in told[:_SHOWN] for row in paragraph(f"- {remark}", COLUMNS, "  ")]
    if len(told) > _SHOWN:
        more = say_count(
            "and {count} more in the report and the JSON.",
            "and {count} more in the report and the JSON.",
            len(told) - _SHOWN,
        )
        rows += paragraph(f"- {more}", COLUMNS, "  ")
    return [say("The hand's work"), *rows] if rows else []
