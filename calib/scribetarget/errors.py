"""What can go wrong with a target, a photo of it or a camera file, each with its cure.

No import from the rest of the package, and none from a command line.
"""


class TargetError(Exception):
    """A target, view or camera that cannot be used.

    Parameters
    ----------
    code : str
        Stable short name for scripts, e.g. ``no_target``.
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


class SightingError(TargetError):
    """The photo does not show a usable target."""


class CameraError(TargetError, ValueError):
    """A camera, or the photos given to calibrate it, cannot be used."""


class CameraFileError(TargetError, ValueError):
    """A camera file that is broken or belongs to another camera."""


class BarsError(TargetError, ValueError):
    """Check bar readings that cannot be those of a printed sheet."""


class SheetError(TargetError, ValueError):
    """A record of a printed sheet that is broken, unknown or another sheet's."""
