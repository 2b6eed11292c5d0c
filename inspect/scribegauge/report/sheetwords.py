"""What is said of the printed sheet and its check bars."""

from collections.abc import Iterator

import numpy as np

from scribegauge.report.reading import Reason, SheetReading
from scribetarget.printscale import PrintScale

COVERAGE = 2.0
PERCENT = 100.0


def sheet_reading(scale: PrintScale) -> SheetReading | None:
    """Write down by which bars a sheet was known, None when they were not measured."""
    if scale.bars is None:
        return None
    return SheetReading(
        name=scale.sheet,
        bars_mm=scale.bars.readings_mm,
        caliper_error_mm=scale.bars.caliper_error_mm,
        measured=None if scale.measured is None else scale.measured.isoformat(),
    )


def bars_text(sheet: SheetReading) -> str:
    """Say which bars were used, e.g. ``100.1 and 99.9 mm (sheet M-1, measured 2026-10-05)``."""
    x_mm, y_mm = np.mean(sheet.bars_mm, axis=0)
    count = len(sheet.bars_mm)
    words = [f"sheet {sheet.name}"] if sheet.name else []
    words += [f"measured {sheet.measured}"] if sheet.measured else []
    words += [f"mean of {count} readings"] if count > 1 else []
    words.append(f"caliper ±{sheet.caliper_error_mm:g} mm")
    return f"{round(x_mm, 3):g} and {round(y_mm, 3):g} mm ({', '.join(words)})"


def bars_outgrown(scale: PrintScale) -> Iterator[Reason]:
    """Warn of a sheet that may have changed since it was measured."""
    if scale.outgrown and scale.bars is not None:
        wide = COVERAGE * PERCENT * float(np.sqrt(np.trace(scale.climate) / 2))
        days = scale.bars.age_days
        when = f"{days} days before the photo" if days > 0 else f"{-days} days after the photo"
        yield Reason(
            "bars_outgrown",
            f"The check bars of sheet {scale.sheet} were measured {when}. Paper grows and shrinks "
            f"with the damp of the season, so U allows {wide:.2f} % of every length for it. "
            "Measure both again and write them down with `scribegauge sheet add --replace`.",
        )
