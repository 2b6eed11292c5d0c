"""Name and version of this program, for what it writes."""

from importlib.metadata import PackageNotFoundError, version


def program() -> str:
    """Return e.g. ``scribegauge 0.1.0``."""
    try:
        return f"scribegauge {version('scribegauge')}"
    except PackageNotFoundError:  # run from a source tree that was never installed
        return "scribegauge"
