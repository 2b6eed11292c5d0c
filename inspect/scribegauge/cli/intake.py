"""Files named on the command line: which there are, and that no two get into each other's way."""

import os
from collections.abc import Sequence
from itertools import combinations
from pathlib import Path
from typing import Any, Final

import click
from click.shell_completion import CompletionItem


class FileType(click.ParamType[Path]):
    """The name of a file; ``-`` is standard input or output."""

    name = "FILE"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        """Return the path, or end with a sentence when the name is empty."""
        if isinstance(value, str) and not value.strip():
            self.fail("the file's name is empty. Give a name, or leave the option out.", param, ctx)
        return Path(value)

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Let the shell complete the names of files, as it does for other programs."""
        return [CompletionItem(incomplete, type="file")]


FILE: Final = FileType()


def refuse_clashes(inputs: Sequence[Path], outputs: Sequence[Path]) -> None:
    """See that nothing is written over something else of the same command.

    Parameters
    ----------
    inputs : sequence of Path
        Photos, layout, camera profile.
    outputs : sequence of Path

    Raises
    ------
    UseError
        ``stdin_twice``, ``output_twice`` or ``output_over_input``.
    """
    from scribegauge.errors import UseError

    if [str(path) for path in inputs].count("-") > 1:
        raise UseError(
            "stdin_twice",
            "'-' is given for two files, and standard input holds only one.",
            "Give the name of a file for the other.",
        )
    for first, second in combinations(outputs, 2):
        if _same_file(first, second):
            raise UseError(
                "output_twice",
                f"Two outputs would go to {str(first)!r}, and one would wipe out the other.",
                "Give each output its own file.",
            )
    for read in inputs:
        for written in outputs:
            if str(read) != "-" and _same_file(read, written):
                raise UseError(
                    "output_over_input",
                    f"{str(written)!r} is read by this command and would be overwritten.",
                    "Give the output another name.",
                )


def _same_file(first: Path, second: Path) -> bool:
    """Tell whether two names lead to one file; what is written to a device is not kept anyway."""
    if "-" in {str(first), str(second)}:
        return str(first) == str(second)
    try:
        if first.exists() and second.exists():
            return first.samefile(second) and first.is_file()
        return os.path.realpath(first) == os.path.realpath(second)
    except (OSError, ValueError):  # a name that cannot be is told by whoever opens it
        return False
