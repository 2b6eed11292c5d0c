"""Numbers on the command line: strict, and told in a sentence."""

import click
import pytest
from click.testing import CliRunner

from scribegauge.cli.options import BARS, ERROR, PERCENT, THICKNESS, TRIALS


@click.command()
@click.option("--bars", type=BARS)
@click.option("--thickness", type=THICKNESS, default="0.8", show_default=True)
@click.option("--error", type=ERROR)
@click.option("--percent", type=PERCENT)
def command(bars, thickness, error, percent):
    click.echo(repr((bars, thickness) if error is percent is None else (error, percent)))


def run(*args):
    return CliRunner().invoke(command, args)


@pytest.mark.parametrize(
    ("text", "bars"),
    [
        ("100.1,99.8", (100.1, 99.8)),
        (" 60 , 60.05 ", (60.0, 60.05)),
        ("100.,99", (100.0, 99.0)),
        ("60,60", (60.0, 60.0)),
    ],
)
def test_bars(text, bars):
    result = run("--bars", text)
    assert result.exit_code == 0
    assert result.stdout == f"{(bars, 0.8)!r}\n"


@pytest.mark.parametrize(
    ("text", "cure"),
    [
        ("100,1 99,9", "100.1,99.9"),
        ("100,1,99,9", "100.1,99.9"),
        ("100,1;99,9", "100.1,99.9"),
        ("100.1 99.9", "100.1,99.9"),
        ("100.1x99.9", "100.1,99.9"),
        ("100.1mm,99.9mm", "100.1,99.9"),
        ("100.1", "both bars"),
        ("", "both bars"),
        ("99,98", "one length with a decimal comma"),
        ("100,1", "100.0,1.0"),
        ("10.01,9.98", "cannot be 10.01 mm"),  # centimetres
        ("100.1,3.93", "cannot be 3.93 mm"),  # inches
        ("1001.0,999.0", "cannot be 1001 mm"),
        ("100.1,0", "cannot be 0 mm"),
        ("-100,99", "no unit"),
        ("nan,nan", "both bars"),
        ("inf,100", "both bars"),
        ("1e2,1e2", "both bars"),
        ("1_00,100", "both bars"),
        ("१००,१००", "both bars"),  # digits of another script
        ("99,100,101", "both bars"),
    ],
)
def test_bars_that_mean_something_else(text, cure):
    result = run(f"--bars={text}")
    assert result.exit_code == 2
    assert cure in result.stderr
    assert result.stderr.count("Error:") == 1


@pytest.mark.parametrize(("text", "mm"), [("0.8", 0.8), (".5", 0.5), ("0.05", 0.05), ("10", 10.0)])
def test_thickness(text, mm):
    assert run("--thickness", text).stdout == f"(None, {mm})\n"


@pytest.mark.parametrize(
    ("text", "cure"),
    [
        ("0,8", "e.g. 0.8."),
        ("1,25", "e.g. 1.25."),
        ("0.8mm", "no unit"),
        ("", "no unit"),
        ("nan", "no unit"),
        ("1e0", "no unit"),
        ("-1", "no unit"),
        ("0", "from 0.05 to 10"),
        ("0.04", "from 0.05 to 10"),  # inches
        ("80", "from 0.05 to 10"),
        ("10.01", "from 0.05 to 10"),
    ],
)
def test_thickness_that_cannot_be(text, cure):
    result = run(f"--thickness={text}")
    assert result.exit_code == 2
    assert cure in result.stderr


def test_help_names_the_units():
    text = run("--help").stdout
    assert "--bars X,Y" in text
    assert "--thickness MM" in text


@pytest.mark.parametrize(("text", "error_mm"), [("0.02", 0.02), ("±0.03", 0.03), (" .5 ", 0.5)])
def test_errors_of_instruments(text, error_mm):
    assert run("--error", text).stdout == f"{(error_mm, None)!r}\n"


@pytest.mark.parametrize(
    ("text", "cure"),
    [("0,02", "e.g. 0.02"), ("20um", "e.g. 0.02"), ("0", "0.001"), ("2", "0.5 mm")],
)
def test_no_error_is_refused_with_the_cure(text, cure):
    result = run("--error", text)
    assert result.exit_code == 2
    assert cure in result.stderr


@pytest.mark.parametrize(("text", "percent"), [("45", 45.0), ("45 %", 45.0), ("0", 0.0)])
def test_percentages(text, percent):
    assert run("--percent", text).stdout == f"{(None, percent)!r}\n"


@click.command()
@click.option("--trials", type=TRIALS)
def tries(trials):
    click.echo(repr(trials))


@pytest.mark.parametrize(("text", "count"), [("20000", 20_000), (" 1000000 ", 1_000_000)])
def test_trials(text, count):
    assert CliRunner().invoke(tries, ["--trials", text]).stdout == f"{count}\n"


@pytest.mark.parametrize(
    "text", ["", "many", "19999", "1000001", "1e5", "100_000", "-30000", "2.5"]
)
def test_trials_that_are_none(text):
    result = CliRunner().invoke(tries, ["--trials", text])
    assert result.exit_code == 2
    assert "whole number from 20000 to 1000000" in result.stderr
