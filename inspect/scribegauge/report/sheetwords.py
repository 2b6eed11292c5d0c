"""What is said of the printed sheet and its check bars."""

from collections.abc import Iterator

import numpy as np

from scribegauge.report.reading import Reason, SheetReading
from scribetarget.printscale import PrintScale
from scribetarget.wording import plain, say, say_count

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
    words = [say("sheet {name}", name=sheet.name)] if sheet.name else []
    words += [say("measured {day}", day=sheet.measured)] if sheet.measured else []
    if count > 1:
        words.append(say_count("{count} reading", "mean of {count} readings", count))
    words.append(say("caliper ±{error} mm", error=plain(sheet.caliper_error_mm)))
    x, y = (plain(round(float(mean), 3)) for mean in (x_mm, y_mm))
    return say("{x} and {y} mm ({how})", x=x, y=y, how=", ".join(words))


def bars_outgrown(scale: PrintScale) -> Iterator[Reason]:
    """Warn of a sheet that may have changed since it was measured."""
    if scale.outgrown and scale.bars is not None:
        wide = COVERAGE * PERCENT * float(np.sqrt(np.trace(scale.climate) / 2))
        days = scale.bars.age_days
        if days > 0:
            when = say_count("{count} day before the photo", "{count} days before the photo", days)
        else:
            when = say_count("{count} day after the photo", "{count} days after the photo", -days)
        yield Reason(
            "bars_outgrown",
            say(
                "The check bars of sheet {name} were measured {when}. Paper grows and shrinks with the "
                "damp of the season, so U allows {percent:.2f} % of every length for it. Measure both "
                "again and write them down with `scribegauge sheet add --replace`.",
                name=scale.sheet,
                when=when,
                percent=wide,
            ),
        )
