"""Printed sheets on record as a plain-text table for a terminal."""

from collections.abc import Sequence
from datetime import date

import numpy as np

from scribegauge.report.words import one_line
from scribetarget.sheetrecord import SheetRecord, sheet_scale
from scribetarget.spec import load_specs

COLUMNS = 80
NAME = 24
LENGTH_MM = 50.0
COVERAGE = 2.0


def sheet_table(records: Sequence[SheetRecord], today: date) -> str:
    """Set out which sheets there are, and what each is worth today.

    Parameters
    ----------
    records : sequence of SheetRecord
    today : date

    Returns
    -------
    str
        Lines of at most 80 columns; U is that of 50 mm from the sheet alone (k = 2).
    """
    head = f"{'sheet':<{NAME}} {'size':<5}{'bar x':>8}{'bar y':>8}  {'measured':<12}U/50 mm"
    return "\n".join([head, *(_row(record, today) for record in records)]) + "\n"


def _row(record: SheetRecord, today: date) -> str:
    scale = sheet_scale(record, load_specs()[record.size], today)
    x_mm, y_mm = np.mean(record.bars_mm, axis=0)
    wide_mm = COVERAGE * LENGTH_MM * float(np.sqrt(np.trace(scale.covariance) / 2))
    again = "  measure again" if scale.outgrown else ""
    start = (
        f"{one_line(record.name, NAME):<{NAME}} {record.size:<5}{x_mm:>8.2f}{y_mm:>8.2f}  "
        f"{record.measured.isoformat():<12}{wide_mm:.3f}{again}"
    )
    words = one_line(" ".join(text for text in (record.paper, record.note) if text), COLUMNS)
    room = COLUMNS - len(start) - 2
    return f"{start}  {one_line(words, room)}" if words and room > NAME else start
