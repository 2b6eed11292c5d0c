"""Everything wrong with a layout file, collected and said at once."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from scribegauge.errors import FileFormatError

_MOST_SHOWN: Final = 8


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong; `line` is counted from 1, None where it cannot be known."""

    key: str
    text: str
    cure: str
    line: int | None


def refuse(name: str, faults: Iterable[Fault], *, code: str = "layout_invalid") -> FileFormatError:
    """Make one error of all faults.

    Parameters
    ----------
    name : str
        The file's name.
    faults : iterable of Fault
        At least one.
    code : str
        The error's code.

    Returns
    -------
    FileFormatError
        To be raised by the caller.
    """
    every = list(faults)
    shown = [_sentence(fault) for fault in every[:_MOST_SHOWN]]
    if len(every) > _MOST_SHOWN:
        shown.append(f"and {len(every) - _MOST_SHOWN} more")
    cures = list(dict.fromkeys(fault.cure for fault in every[:_MOST_SHOWN]))
    return FileFormatError(code, f"{name}: {'; '.join(shown)}.", " ".join(cures))


def _sentence(fault: Fault) -> str:
    place = "" if fault.line is None else f"line {fault.line}, "
    return f"{place}{fault.key} {fault.text}"
