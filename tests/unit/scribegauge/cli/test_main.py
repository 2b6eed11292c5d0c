"""How commands end: exit status and one sentence, whatever happened inside."""

import subprocess
import sys
from collections.abc import Callable
from types import SimpleNamespace

import click
import pytest

from scribegauge.cli import main as main_module
from scribegauge.cli.main import COMMANDS, main
from scribegauge.errors import FileFormatError, PhotoError, UseError
from scribetarget.errors import BarsError, CameraError, CameraFileError, SightingError

Body = Callable[[], object]
Ending = Callable[[Body], None]


@pytest.fixture
def ending(monkeypatch: pytest.MonkeyPatch) -> Ending:
    """Make a command `end` whose body is given by the test."""

    def install(body: Body) -> None:
        command = click.Command("end", callback=body)
        monkeypatch.setitem(COMMANDS, "end", ("made.up.module", "Ends."))
        monkeypatch.setattr(
            main_module, "import_module", lambda _name: SimpleNamespace(command=command)
        )

    return install


def raising(error: BaseException) -> Body:
    def body() -> None:
        raise error

    return body


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (UseError("a", "No.", "Do."), 2),
        (FileFormatError("a", "No.", "Do."), 2),
        (BarsError("a", "No.", "Do."), 2),
        (CameraFileError("a", "No.", "Do."), 2),
        (PhotoError("a", "No.", "Do."), 3),
        (SightingError("a", "No.", "Do."), 3),
        (CameraError("a", "No.", "Do."), 3),
    ],
)
def test_an_error_is_one_sentence_with_its_cure(
    ending: Ending, capsys: pytest.CaptureFixture[str], error: Exception, code: int
) -> None:
    ending(raising(error))
    assert main(["end"]) == code
    captured = capsys.readouterr()
    assert captured.err == "scribegauge: No. Do.\n"
    assert captured.out == ""


@pytest.mark.parametrize(("result", "code"), [(None, 0), (0, 0), (1, 1), (3, 3)])
def test_a_command_returns_its_status(ending: Ending, result: int | None, code: int) -> None:
    ending(lambda: result)
    assert main(["end"]) == code


def test_a_missing_system_library_is_told_with_its_package(
    ending: Ending, capsys: pytest.CaptureFixture[str]
) -> None:
    missing = ImportError("libGL.so.1: cannot open shared object file: No such file or directory")
    ending(raising(missing))
    assert main(["end"]) == 70
    assert "apt-get install libgl1 libglib2.0-0" in capsys.readouterr().err


def test_a_missing_python_library_is_told(
    ending: Ending, capsys: pytest.CaptureFixture[str]
) -> None:
    ending(raising(ModuleNotFoundError("No module named 'reportlab'", name="reportlab")))
    assert main(["end"]) == 70
    assert "Install scribegauge again." in capsys.readouterr().err


def test_a_bug_is_told_and_shown_on_demand(
    ending: Ending, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    ending(raising(KeyError("side")))
    assert main(["end"]) == 70
    message = capsys.readouterr().err
    assert "KeyError: 'side'" in message
    assert "Traceback" not in message
    monkeypatch.setenv("SCRIBEGAUGE_TRACEBACK", "1")
    with pytest.raises(KeyError):
        main(["end"])


def test_interrupted_is_130(ending: Ending, capsys: pytest.CaptureFixture[str]) -> None:
    ending(raising(KeyboardInterrupt()))
    assert main(["end"]) == 130
    assert capsys.readouterr().err.strip() == "scribegauge: Interrupted."


@pytest.mark.parametrize(("value", "color"), [("1", False), ("", None)])
def test_no_color_is_obeyed(
    ending: Ending, monkeypatch: pytest.MonkeyPatch, value: str, color: object
) -> None:
    monkeypatch.setenv("NO_COLOR", value)
    seen = []
    ending(lambda: seen.append(click.get_current_context().color))
    main(["end"])
    assert seen == [color]


def test_an_unknown_command_is_wrong_use(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["traget"]) == 2
    assert "traget" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("args", "sentence"),
    [
        (["check"], "Missing argument 'PHOTO...'. See `scribegauge check --help`."),
        (
            ["check", "plate.jpg", "--layout", "a.toml", "--thickness", "80"],
            "Invalid value for '--thickness': a plate cannot be 80 mm thick here. Measure it with "
            "a caliper; from 0.05 to 10 mm can be judged.",
        ),
    ],
)
def test_wrong_use_is_one_sentence(
    capsys: pytest.CaptureFixture[str], args: list[str], sentence: str
) -> None:
    assert main(args) == 2
    assert capsys.readouterr().err == f"scribegauge: {sentence}\n"


def test_no_command_shows_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    assert capsys.readouterr().err.startswith("Usage: scribegauge ")


def test_help_lists_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    text = capsys.readouterr().out
    for name in COMMANDS:
        assert name in text


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_of_the_table_has_help(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([name, "--help"]) == 0
    assert f"scribegauge {name}" in capsys.readouterr().out


@pytest.mark.parametrize("args", [["--help"], ["target", "--size", "S", "--out", "-"]])
def test_a_closed_pipe_is_not_outside(args: list[str]) -> None:
    process = subprocess.Popen(
        [sys.executable, "-m", "scribegauge", *args],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    assert process.stdout is not None
    process.stdout.close()
    assert process.stderr is not None
    with process.stderr as stream:
        message = stream.read()
    assert process.wait() == 141
    assert message == b""
