"""What a person sees while a command works: on a terminal, on standard error, and gone afterwards."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

import click


@contextmanager
def waiting(words: str) -> Iterator[None]:
    """Show that something is being done, where somebody can see it.

    Parameters
    ----------
    words : str
        What is being done, without a full stop.
    """
    if not sys.stderr.isatty():
        yield
        return
    shown = f"{words} …"
    click.echo(shown, nl=False, err=True)
    try:
        yield
    finally:
        # Blanks and not an escape sequence: they are understood by every terminal.
        click.echo(f"\r{' ' * len(shown)}\r", nl=False, err=True)
