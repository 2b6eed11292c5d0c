"""Measure a scribed practice plate from one photo of it.

    import scribegauge

    reading = scribegauge.check("plate.jpg", "bracket.toml", thickness_mm=0.8, bars_mm=(100.1, 99.9))

`check`, `read` and `write` are described in `scribegauge.api`, what they return in
`scribegauge.report.reading`. They are imported when first used, so that this import costs nothing.
"""

from typing import TYPE_CHECKING, Any

from scribegauge.errors import FileFormatError, PhotoError, ScribegaugeError, UseError

if TYPE_CHECKING:
    from scribegauge.api import check, read, write
    from scribegauge.report.reading import Reading

__all__ = [
    "FileFormatError",
    "PhotoError",
    "Reading",
    "ScribegaugeError",
    "UseError",
    "check",
    "read",
    "write",
]

_LATER = {
    "check": "scribegauge.api",
    "read": "scribegauge.api",
    "write": "scribegauge.api",
    "Reading": "scribegauge.report.reading",
}


def __getattr__(name: str) -> Any:
    """Import a public name when it is asked for (PEP 562)."""
    from importlib import import_module  # noqa: PLC0415 - not before it is needed

    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_LATER[name]), name)


def __dir__() -> list[str]:
    """List what is public, imported or not."""
    return sorted({*globals(), *__all__})
