"""The JSON Schema of the reading file, for scripts that want to check one."""

from importlib.resources import files


def schema_text() -> str:
    """Return the schema (JSON Schema, draft 2020-12) as packed with the program."""
    place = files("scribegauge.report") / "reading.schema.json"
    return place.read_text(encoding="utf-8")
