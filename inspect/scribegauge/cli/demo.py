"""``scribegauge demo``: the whole job once, on a plate from an evening class in clockmaking."""

import sys
import tomllib
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from scribegauge.pipeline import Request

FOLDER = Path("scribegauge-demo")


@click.command("demo")
def command() -> int:
    """Measure the bundled photo and leave table, reading and overlay in scribegauge-demo/.

    Pupil A-12 of an evening class in clockmaking scribed a bracket; one side came out too long.

    Example: scribegauge demo
    """
    from scribegauge.figure.layoutfile import read_layout
    from scribegauge.photo.load import photo_from_bytes
    from scribegauge.pipeline import Request, check
    from scribegauge.report.atomic import make_folder, write_aside
    from scribegauge.report.outputs import Outputs, write_outputs
    from scribegauge.report.table import table

    data = files("scribegauge") / "demo"
    given = tomllib.loads((data / "demo-given.toml").read_text(encoding="utf-8"))
    photo_bytes = (data / "demo-plate.jpg").read_bytes()
    layout_text = (data / "demo-layout.toml").read_text(encoding="utf-8")
    make_folder(FOLDER)
    layout = read_layout(layout_text, "demo-layout.toml")
    bars = (float(given["bars_mm"][0]), float(given["bars_mm"][1]))
    request = Request(layout, float(given["thickness_mm"]), (bars,), None)
    photo = photo_from_bytes(photo_bytes, "demo-plate.jpg")
    reading = check((photo,), request)
    outputs = Outputs(FOLDER / "reading.json", FOLDER / "overlay.png", None)
    write_outputs(outputs, photo, reading)
    words = table(reading)
    write_aside(FOLDER / "table.txt", words.encode())
    write_aside(FOLDER / "demo-plate.jpg", photo_bytes)
    write_aside(FOLDER / "demo-layout.toml", layout_text.encode())
    click.echo(words)
    click.echo(_what_to_look_at(request))
    return 0


def _what_to_look_at(request: "Request") -> str:
    bars = ",".join(f"{bar:g}" for bar in request.bars_mm[0])
    return (
        f"Look at {FOLDER}/overlay.png: the dashed figure is the intended bracket,\n"
        "the thin lines are the scribed ones as found, and the side that is too long is\n"
        f"named where it lies. The numbers above are in {FOLDER}/table.txt and,\n"
        f"for scripts, in {FOLDER}/reading.json. Measure the same yourself with\n"
        f"  {_program()} check {FOLDER}/demo-plate.jpg \\\n"
        f"  --layout {FOLDER}/demo-layout.toml --thickness {request.thickness_mm:g} --bars {bars}"
    )


def _program() -> str:
    """Give the program's name as it was called, so that the command can be copied."""
    called = sys.argv[0]
    return called if Path(called).stem == "scribegauge" else "scribegauge"
