"""What is said of the sheet, and of bars that have grown old."""

from dataclasses import replace
from datetime import date

import pytest

from scribegauge.report.reading import SheetReading
from scribegauge.report.sheetwords import bars_outgrown, bars_text, sheet_reading
from scribetarget.printscale import scale_from_bars, unmeasured_scale
from scribetarget.sheetrecord import SheetRecord, sheet_scale
from scribetarget.spec import load_specs

SPEC = load_specs()["M"]


def scale(days):
    record = SheetRecord("M-1", "M", ((100.1, 99.9),), 0.02, date(2026, 3, 1))
    return sheet_scale(record, SPEC, date.fromordinal(date(2026, 3, 1).toordinal() + days))


def test_a_record_is_written_down_with_its_day():
    kept = sheet_reading(scale(3))
    assert kept == SheetReading("M-1", ((100.1, 99.9),), 0.02, "2026-03-01")
    assert bars_text(kept) == "100.1 and 99.9 mm (sheet M-1, measured 2026-03-01, caliper ±0.02 mm)"


def test_bars_by_hand_are_written_down_with_all_readings():
    typed = sheet_reading(scale_from_bars(SPEC, [(100.1, 99.9), (100.11, 99.94)], 0.05))
    assert typed == SheetReading("", ((100.1, 99.9), (100.11, 99.94)), 0.05, None)
    assert bars_text(typed) == "100.105 and 99.92 mm (mean of 2 readings, caliper ±0.05 mm)"
    assert sheet_reading(unmeasured_scale()) is None


@pytest.mark.parametrize(("days", "when"), [(90, "90 days before"), (-90, "90 days after")])
def test_bars_that_the_season_has_outgrown_are_told(days, when):
    (told,) = bars_outgrown(scale(days))
    assert told.code == "bars_outgrown"
    assert f"{when} the photo" in told.text
    assert "0.10 % of every length" in told.text  # twice 502 ppm


def test_bars_of_the_week_are_not():
    assert list(bars_outgrown(scale(7))) == []
    assert list(bars_outgrown(replace(unmeasured_scale(), outgrown=True))) == []
