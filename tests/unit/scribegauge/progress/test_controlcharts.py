"""Control charts against published examples and tables."""

import json
from pathlib import Path

import numpy as np
import pytest

from scribegauge.progress.controlcharts import D2, D3, ewma_chart, individuals_chart

FILE = Path(__file__).parents[4] / "fixtures" / "reference" / "process_control.json"
ENTRIES = {entry["id"]: entry for entry in json.loads(FILE.read_text())["entries"]}


def test_ewma_is_the_handbook_s() -> None:
    entry = ENTRIES["ewma_chart"]
    known = entry["parameters"]
    values = np.array(entry["data"])
    chart = ewma_chart(values, known["target"], known["s"], known["weight"])
    assert chart.final_upper == pytest.approx(52.5884, abs=2e-4)
    assert chart.final_lower == pytest.approx(47.4115, abs=2e-4)
    printed = entry["published"]["ewma_2_decimals_with_start"][1:]
    np.testing.assert_allclose(chart.averages, printed, atol=entry["tolerance"]["ewma"])
    for number, lower, upper in entry["recomputed"]["time_varying_limits"]:
        assert chart.lower[number - 1] == pytest.approx(lower, abs=1e-5)
        assert chart.upper[number - 1] == pytest.approx(upper, abs=1e-5)


def test_individuals_are_the_handbook_s() -> None:
    entry = ENTRIES["individuals_and_moving_range"]
    chart = individuals_chart(np.array(entry["data"]))
    exact = entry["recomputed"]
    np.testing.assert_allclose(chart.ranges, exact["moving_ranges"], atol=1e-9)
    assert chart.centre == pytest.approx(50.81, abs=1e-9)
    assert chart.mean_range == pytest.approx(1.8778, abs=5e-5)
    # Printed with 1.128 for 2/√π, which moves them by 0.0017.
    assert chart.upper == pytest.approx(55.8041, abs=0.0018)
    assert chart.lower == pytest.approx(45.8159, abs=0.0018)
    assert chart.upper == pytest.approx(exact["UCL_exact_d2"], abs=1e-6)
    assert chart.lower == pytest.approx(exact["LCL_exact_d2"], abs=1e-6)
    assert chart.centre + 3 * chart.mean_range / 1.128 == pytest.approx(55.8041, abs=5e-5)
    assert chart.upper_range == pytest.approx(exact["MR_UCL"], abs=2e-3)


def test_constants_are_those_of_the_tables() -> None:
    (row,) = (r for r in ENTRIES["control_chart_constants"]["table"] if r["n"] == 2)
    assert pytest.approx(row["d2"], rel=1e-8) == D2
    assert pytest.approx(row["d3"], rel=1e-8) == D3
    assert pytest.approx(row["D4"], rel=1e-7) == 1 + 3 * D3 / D2


def test_a_range_needs_two_values() -> None:
    with pytest.raises(ValueError, match="two values"):
        individuals_chart(np.array([1.0]))
