"""A plate of known truth, photographed twice, and the command line run in this process."""

import io
import sys
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, replace
from pathlib import Path
from unittest.mock import patch

import pytest

from scribegauge.cli.main import main
from scribegauge.simulate.bench import Bench, scene_for_layout
from scribegauge.simulate.hand import Hand
from scribegauge.simulate.render import render
from scribegauge.simulate.scene import CameraModel, Scene, Truth
from scribegauge.simulate.sensor import CameraRecord, encode_jpeg
from scribegauge.simulate.truth import truth_of

SEED = 4
# No two corners alike, so that only one way of naming them is right.
SCRIBED_MM = ((0.0, 0.0), (32.0, 0.0), (24.0, 20.0), (0.0, 20.0))
CAMERA = CameraModel(size_px=(1200, 900), f_px=930.0, centre_px=(599.5, 449.5))
PRINT_SCALE = (1.001, 0.998)
GIVEN = ("--thickness", "0.8", "--bars", "60.06,59.88")


@dataclass(frozen=True, slots=True)
class Ended:
    """How a command ended, and what it said."""

    status: int
    out: bytes
    err: str


@dataclass(frozen=True, slots=True)
class Shot:
    """One plate in two photos, the lamp moved between them."""

    truth: Truth
    photo: bytes
    other_lamp: bytes


def run_command(*args: str | Path, stdin: bytes = b"") -> Ended:
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    pipe = io.TextIOWrapper(io.BytesIO(stdin))
    with redirect_stdout(out), redirect_stderr(err), patch.object(sys, "stdin", pipe):
        status = main([str(arg) for arg in args])
    for stream in (out, err):
        stream.flush()
    return Ended(status, out.buffer.getvalue(), err.buffer.getvalue().decode())  # type: ignore[attr-defined]


@pytest.fixture(scope="session")
def run() -> Callable[..., Ended]:
    return run_command


def scene() -> Scene:
    bench = Bench(
        thickness_mm=0.8,
        margin_mm=6.0,
        print_scale=PRINT_SCALE,
        camera=CAMERA,
        tilt_deg=(12.0, 18.0),
    )
    hand = Hand(corner_mm=0.03, strays=2)
    return scene_for_layout(SCRIBED_MM, seed=SEED, size="S", finish="matte", bench=bench, hand=hand)


@pytest.fixture(scope="session")
def shot() -> Shot:
    first = scene()
    turned = replace(first, lamp=replace(first.lamp, azimuth_deg=first.lamp.azimuth_deg + 180))
    photos = [
        encode_jpeg(render(each, SEED + k), CAMERA, record=CameraRecord())
        for k, each in enumerate((first, turned))
    ]
    return Shot(truth_of(first), *photos)


@pytest.fixture
def folder(tmp_path: Path, shot: Shot, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Hold both photos and a layout with tolerances; it is the working folder."""
    monkeypatch.chdir(tmp_path)
    Path("plate.jpg").write_bytes(shot.photo)
    Path("other.jpg").write_bytes(shot.other_lamp)
    Path("layout.toml").write_text(layout(), encoding="utf-8")
    return tmp_path


def layout(
    vertices_mm: object = SCRIBED_MM,
    tolerance: str = "tolerance = { side_mm = 0.4, angle_deg = 1.5 }",
) -> str:
    points = ", ".join(f"[{x}, {y}]" for x, y in vertices_mm)  # type: ignore[attr-defined]
    return f'layout = 1\ntitle = "Clock foot"\n{tolerance}\n[polygon]\nvertices_mm = [{points}]\n'


@pytest.fixture(scope="session")
def layout_text() -> Callable[..., str]:
    """Return a function that writes a layout file's text; by default the scribed figure's."""
    return layout
