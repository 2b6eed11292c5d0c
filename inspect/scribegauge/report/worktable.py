"""Circles and the hand's work in the plain-text table."""

from scribegauge.report.reading import Reading
from scribegauge.report.words import decimals_for, paragraph
from scribegauge.report.workwords import remarks

COLUMNS = 80
_NAME, _NUMBER, _SHOWN = 10, 12, 8


def arc_rows(reading: Reading) -> list[str]:
    """Set out circles and arcs."""
    if not reading.arcs:
        return []
    heads = ("radius", "U", "centre U", "sweep")
    rows = [f"{'Arc [mm]':{_NAME}}" + "".join(f"{head:>{_NUMBER}}" for head in heads)]
    for k, arc in enumerate(reading.arcs):
        places, centre = decimals_for(arc.U_radius_mm), decimals_for(arc.U_centre_mm)
        cells = (
            f"{arc.radius_mm:.{places}f}",
            f"{arc.U_radius_mm:.{places}f}",
            f"{arc.U_centre_mm:.{centre}f}",
            f"{arc.sweep_deg:.0f}°",
        )
        rows.append(f"{k + 1!s:{_NAME}}" + "".join(f"{cell:>{_NUMBER}}" for cell in cells))
    return rows


def work_rows(reading: Reading) -> list[str]:
    """Say what is remarkable about the hand's work, the first few things."""
    told = remarks(reading)
    rows = [row for remark in told[:_SHOWN] for row in paragraph(f"- {remark}", COLUMNS, "  ")]
    if len(told) > _SHOWN:
        rows.append(f"- and {len(told) - _SHOWN} more in the report and the JSON.")
    return ["The hand's work", *rows] if rows else []
