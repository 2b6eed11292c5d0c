"""How the command line behaves in a terminal: help, completion, progress, no control characters."""

import io
import sys
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from scribegauge.cli.main import COMMANDS, group, main
from scribegauge.cli.progress import waiting

KEPT = Path(__file__).parents[4] / "fixtures" / "readings"


def commands() -> Iterator[tuple[str, click.Command]]:
    context = click.Context(group)
    yield "", group
    for name in COMMANDS:
        command = group.get_command(context, name)
        assert command is not None
        yield name, command
        if isinstance(command, click.Group):
            for below in command.commands.items():
                yield f"{name} {below[0]}", below[1]


ALL = dict(commands())


@pytest.mark.parametrize("name", ALL)
def test_every_help_has_an_example_that_can_be_given(name, capsys):
    assert main([*name.split(), "--help"]) == 0
    told = capsys.readouterr().out
    assert max(map(len, told.splitlines())) <= 80
    example = " ".join((ALL[name].help or "").partition("Example:")[2].split())
    assert example.startswith(f"scribegauge {name}".strip())


@pytest.mark.parametrize("name", [name for name in ALL if name])
def test_every_option_is_explained(name):
    options = [each for each in ALL[name].params if isinstance(each, click.Option)]
    assert [each.name for each in options if not each.help] == []


class Terminal(io.StringIO):
    """Standard error that says it is a terminal."""

    def isatty(self):
        return True


def test_progress_is_shown_on_a_terminal_and_wiped(monkeypatch):
    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    with waiting("Measuring"):
        assert screen.getvalue() == "Measuring …"
    assert screen.getvalue() == f"Measuring …\r{' ' * 11}\r"


def test_progress_is_wiped_before_an_error_is_told(monkeypatch):
    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    with pytest.raises(ValueError, match="no"), waiting("Measuring"):
        raise ValueError("no")
    assert screen.getvalue().endswith("\r")


def test_progress_goes_nowhere_else(capsys):
    with waiting("Measuring"):
        pass
    captured = capsys.readouterr()
    assert captured.out == captured.err == ""


@pytest.mark.parametrize("no_color", ["", "1"])
@pytest.mark.parametrize("name", ["heptagon", "pentagon", "refused"])
def test_no_control_characters_whatever_no_color_says(name, no_color, capsys, monkeypatch):
    monkeypatch.setenv("NO_COLOR", no_color)
    monkeypatch.setenv("FORCE_COLOR", "1")
    assert main(["table", str(KEPT / f"{name}.json")]) == 0
    text = capsys.readouterr().out
    assert text.replace("\n", "").isprintable()
    assert main(["table"]) == 2
    assert "\x1b" not in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "completed"),
    [
        ("scribegauge ta", ["plain,table", "plain,target"]),
        ("scribegauge check --quie", ["plain,--quiet"]),
        ("scribegauge check ", ["file,"]),
        ("scribegauge check plate.jpg --layout ", ["file,"]),
        ("scribegauge table a.json --only si", ["plain,side"]),
        ("scribegauge sheet f", ["plain,forget"]),
    ],
)
def test_the_shell_completes_commands_options_and_files(words, completed, capsys, monkeypatch):
    monkeypatch.setenv("_SCRIBEGAUGE_COMPLETE", "bash_complete")
    monkeypatch.setenv("COMP_WORDS", words)
    monkeypatch.setenv("COMP_CWORD", str(len(words.split(" ")) - 1))
    assert main([]) == 0
    assert capsys.readouterr().out.splitlines() == completed


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_what_the_readme_has_in_a_shell_s_own_file_prints_a_script(shell, capsys, monkeypatch):
    readme = (Path(__file__).parents[4] / "README.md").read_text(encoding="utf-8")
    assert f"{shell}_source" in readme
    monkeypatch.setenv("_SCRIBEGAUGE_COMPLETE", f"{shell}_source")
    assert main([]) == 0
    assert "_scribegauge_completion" in capsys.readouterr().out
