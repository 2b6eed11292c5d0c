"""The command line: which commands there are, and how each ends.

Nothing but click is imported before a command is chosen, so that ``--help`` answers at once.
"""

import os
import sys
from collections.abc import Sequence
from importlib import import_module

import click

from scribegauge.cli import exitcodes
from scribegauge.errors import ScribegaugeError
from scribetarget.errors import TargetError

# name: (module with a click command called `command`, one line of help)
COMMANDS = {
    "camera": ("scribegauge.cli.camera", "Calibrate a camera from photos of the target alone."),
    "check": ("scribegauge.cli.check", "Measure one plate from one or more photos of it."),
    "class": ("scribegauge.cli.classes", "Measure all plates of a class, and lay them out."),
    "construction": (
        "scribegauge.cli.construction",
        "List, print and check constructions with straightedge and dividers.",
    ),
    "exercise": (
        "scribegauge.cli.exercise",
        "Write a construction as a task to print, with its steps drawn.",
    ),
    "figures": (
        "scribegauge.cli.figures",
        "List, write and draw figures by name and size; check a layout file.",
    ),
    "demo": ("scribegauge.cli.demo", "Do the whole job once, on a bundled photo."),
    "ledger": ("scribegauge.cli.ledger", "Keep readings over a winter, by pupils' codes."),
    "progress": (
        "scribegauge.cli.progressreport",
        "Show how one pupil's work changes, and what to practise next.",
    ),
    "schema": ("scribegauge.cli.schema", "Print what a reading file holds, for scripts."),
    "sheet": (
        "scribegauge.cli.sheet",
        "Keep printed sheets on record, so that bars need no typing.",
    ),
    "table": ("scribegauge.cli.table", "Put kept readings into one table, or one CSV."),
    "target": ("scribegauge.cli.target", "Draw the scale target to print and lay the plate in."),
}

DISK_CURE = "See whether the disk is full and the files may be read and written."
OPENCV_CURE = (
    "OpenCV wants libraries of the system: on Debian, apt-get install libgl1 libglib2.0-0."
)


class LazyGroup(click.Group):
    """A group that imports a command's module when it is called for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one command."""
        if cmd_name not in COMMANDS:
            return None
        module, _ = COMMANDS[cmd_name]
        command: click.Command = import_module(module).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands from the table alone."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, words) for name, (_, words) in COMMANDS.items()])


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="scribegauge", message="%(prog)s %(version)s")
def group() -> None:
    """Measure a scribed practice plate from a photo of it.

    Exit status: 0 within or nothing to judge, 1 something outside, 2 wrong use, 3 this photo
    cannot be judged, 70 a fault of the program.

    Example: scribegauge check plate.jpg --layout bracket.toml --thickness 0.8 --bars 100.1,99.9
    """


def main(args: Sequence[str] | None = None) -> int:
    """Run one command line and return its exit status.

    Parameters
    ----------
    args : sequence of str, optional
        Without the program's name; by default those it was started with.
    """
    for library in ("OPENBLAS", "OMP", "MKL"):
        # Our matrices are small: with a thread for each core they wait for each other longer than
        # they compute, most of all on a busy machine.
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")
    code = _run(args)
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        code = _hush()
    return code


def _run(args: Sequence[str] | None) -> int:
    try:
        color = False if os.environ.get("NO_COLOR") else None  # click does not look at it
        result = group.main(args, prog_name="scribegauge", standalone_mode=False, color=color)
    except SystemExit as end:
        if end.code == 0:  # the shell asked how to complete a command
            return exitcodes.OK
        return _hush()  # click's answer to a closed pipe; its status 1 would say "outside"
    except (KeyboardInterrupt, Exception) as error:  # noqa: BLE001 - the last stop for all of them
        return _end(error)
    return result if isinstance(result, int) else exitcodes.OK


def _end(error: BaseException) -> int:
    """Tell a person in one sentence why the command ended, and return the exit status."""
    match error:
        case click.exceptions.NoArgsIsHelpError():
            error.show()
            return exitcodes.WRONG_USE
        case click.ClickException():
            text, code = _wrong_use(error), exitcodes.WRONG_USE
        case click.Abort() | KeyboardInterrupt():
            text, code = "Interrupted.", exitcodes.INTERRUPTED
        case ScribegaugeError() | TargetError():
            text, code = f"{error.text} {error.cure}", exitcodes.exit_code_of(error)
        case ImportError():
            text, code = _missing_library(error), exitcodes.FAULT
        case OSError():
            text, code = f"The system refuses ({error}). {DISK_CURE}", exitcodes.FAULT
        case _:
            text, code = _fault(error), exitcodes.FAULT
    click.echo(f"scribegauge: {text}", err=True)
    return code


def _wrong_use(error: click.ClickException) -> str:
    """Say what click found; a value that is wrong comes with its own cure, the rest with help."""
    text = " ".join(error.format_message().split())  # click sets choices in rows
    text = text if text.endswith((".", "!", "?")) else f"{text}."
    own_cure = isinstance(error, click.BadParameter) and not isinstance(
        error, click.MissingParameter
    )
    if own_cure or not isinstance(error, click.UsageError):
        return text
    path = error.ctx.command_path if error.ctx else "scribegauge"
    return f"{text} See `{path} --help`."


def _missing_library(error: ImportError) -> str:
    text = f"A library cannot be loaded ({error})."
    shared_object = ".so" in str(error) or error.name == "cv2"
    return f"{text} {OPENCV_CURE if shared_object else 'Install scribegauge again.'}"


def _fault(error: BaseException) -> str:
    if os.environ.get("SCRIBEGAUGE_TRACEBACK"):
        raise error
    what = f"{type(error).__name__}: {error}"
    cure = "Run it again with SCRIBEGAUGE_TRACEBACK=1 set and report what it prints."
    return f"A fault of the program itself ({what}). {cure}"


def _hush() -> int:
    """Send what is still buffered nowhere, or Python complains about the pipe when it ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return exitcodes.PIPE_CLOSED
