"""Everything that can go wrong for a user, each with its cure.

No import from the rest of the package, and none from a command line.
"""


class ScribegaugeError(Exception):
    """Base of the family: what is wrong, and what to do about it.

    Parameters
    ----------
    code : str
        Stable short name for scripts, listed in the README.
    text : str
        What is wrong, one sentence for a person.
    cure : str
        What to do about it, one sentence for a person.
    """

    def __init__(self, code: str, text: str, cure: str) -> None:
        super().__init__(f"{text} {cure}")
        self.code = code
        self.text = text
        self.cure = cure


class UseError(ScribegaugeError, ValueError):
    """The command or call was wrong (exit status 2)."""


class FileFormatError(UseError):
    """A layout, hints or other file of ours cannot be read (exit status 2)."""


class PhotoError(ScribegaugeError):
    """A photo that cannot be judged (exit status 3)."""
