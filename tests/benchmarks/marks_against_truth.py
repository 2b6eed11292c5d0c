"""Arcs and pricks of photos against their truth: what is found, what is false, how far off.

Run from the project's root::

    .venv/bin/python tests/benchmarks/marks_against_truth.py PHOTOS [--cameras DIR] [--only NAME]

PHOTOS is a folder with a truth file NAME.json beside each NAME.jpg; DIR holds profiles CAMERA.camera.json
by the truth's camera. Each photo is checked alone, with its true thickness and check bars.
"""

import argparse
import json
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scribegauge.errors import ScribegaugeError
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.layoutfile import vertex_names
from scribegauge.photo.load import load_photo
from scribegauge.pipeline import Request, check
from scribegauge.report.reading import Reading
from scribetarget.camerafile import read_camera
from scribetarget.errors import TargetError

# A mark is found when it lies this close to a true one, false when it does not.
ARC_MM, PRICK_MM = 0.5, 0.25
BARS_MM = {"S": 60.0, "M": 100.0, "L": 100.0}

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Row:
    """One kind of mark in one photo: errors [mm] with their U, how many there were and were false."""

    group: str
    kind: str
    errors_mm: tuple[tuple[float, float], ...]
    there: int
    false: int


def plate_from_truth(truth: dict[str, Any]) -> Callable[[Any], Points]:
    """Return what takes the truth's plate frame to the target's."""
    turn = np.radians(truth["plate_rotation_deg"])
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    origin = np.array(truth["plate_origin"][:2])
    return lambda points: np.asarray(points) @ rotation.T + origin


def read(photo: Path, truth: dict[str, Any], cameras: Path | None) -> Reading:
    """Check one photo."""
    vertices = np.array(truth["ideal_mm"])
    layout = Layout(truth["figure"], vertices, vertex_names(len(vertices)), Tolerance(None, None))
    profile = None if cameras is None else cameras / f"{truth['camera']}.camera.json"
    camera = read_camera(profile.read_text("utf-8"), profile.name) if profile else None
    x, y = (round(BARS_MM[truth["target"]] * scale, 2) for scale in truth["print_scale"])
    request = Request(layout, truth["thickness_mm"], ((x, y),), camera)
    return check((load_photo(photo),), request)


def compare(truth: dict[str, Any], reading: Reading) -> Iterator[Row]:
    """Match arcs and pricks with the true ones, the nearest first."""
    place = plate_from_truth(truth)
    group = f"{truth['finish']}, {truth['light']}"
    true_arcs = [(*place(arc["centre"]), arc["radius"]) for arc in truth["arcs"]]
    seen_arcs = [(arc.x_mm, arc.y_mm, arc.radius_mm) for arc in reading.arcs]
    pairs = matched(true_arcs, seen_arcs, ARC_MM)
    false = len(seen_arcs) - len(pairs)
    radius, centre = [], []
    for k, m in pairs:
        arc, off = reading.arcs[m], np.subtract(seen_arcs[m], true_arcs[k])
        radius.append((float(off[2]), arc.U_radius_mm))
        centre.append((float(np.hypot(*off[:2])), arc.U_centre_mm))
    yield Row(group, "radius", tuple(radius), len(true_arcs), false)
    yield Row(group, "centre", tuple(centre), len(true_arcs), false)
    true_pricks = [place(prick["centre"]) for prick in truth["pricks"]]
    seen_pricks = [(prick.x_mm, prick.y_mm) for prick in reading.pricks]
    pairs = matched(true_pricks, seen_pricks, PRICK_MM)
    errors = [
        (float(off), reading.pricks[m].U_mm)
        for k, m in pairs
        for off in np.subtract(seen_pricks[m], true_pricks[k])
    ]
    yield Row(group, "prick", tuple(errors), len(true_pricks), len(seen_pricks) - len(pairs))


def matched(there: list[Any], seen: list[Any], within_mm: float) -> list[tuple[int, int]]:
    """Pair what is there with what was seen, each once, nearest first."""
    if not there or not seen:
        return []
    gaps = np.linalg.norm(np.array(there)[:, None] - np.array(seen)[None], axis=-1)
    pairs: list[tuple[int, int]] = []
    for flat in np.argsort(gaps, axis=None):
        k, m = (int(index) for index in np.unravel_index(flat, gaps.shape))
        if gaps[k, m] > within_mm:
            break
        if all(k != old and m != other for old, other in pairs):
            pairs.append((k, m))
    return pairs


def summary(name: str, rows: list[Row]) -> str:
    """Put some rows of one kind into a line."""
    per_mark = 2 if rows[0].kind == "prick" else 1
    errors = np.array([error for row in rows for error in row.errors_mm]).reshape(-1, 2)
    found, there = len(errors) // per_mark, sum(row.there for row in rows)
    line = (
        f"{name:18}{rows[0].kind:8}{found:4} of{there:4} found{sum(r.false for r in rows):4} false"
    )
    if not len(errors):
        return line
    rms = 1e3 * float(np.sqrt(np.mean(errors[:, 0] ** 2)))
    middle = 1e3 * float(np.median(np.abs(errors[:, 0])))
    within = 100 * float(np.mean(np.abs(errors[:, 0]) <= errors[:, 1]))
    return f"{line}   RMS {rms:5.1f} µm, median {middle:5.1f}, within U {within:3.0f} %"


def main() -> int:
    """Run the benchmark and write its table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("photos", type=Path)
    parser.add_argument("--cameras", type=Path)
    parser.add_argument("--only", default="")
    told = parser.parse_args()
    rows: list[Row] = []
    for photo in sorted(told.photos.glob("*.jpg")):
        if told.only not in photo.stem or not photo.with_suffix(".json").exists():
            continue
        truth = json.loads(photo.with_suffix(".json").read_text("utf-8"))
        try:
            rows += compare(truth, read(photo, truth, told.cameras))
        except (ScribegaugeError, TargetError) as error:
            sys.stdout.write(f"{photo.stem}: {error.code}\n")
    for kind in ("radius", "centre", "prick"):
        of_kind = [row for row in rows if row.kind == kind]
        for group in sorted({row.group for row in of_kind}):
            sys.stdout.write(summary(group, [r for r in of_kind if r.group == group]) + "\n")
        if of_kind:
            sys.stdout.write(summary("all", of_kind) + "\n\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
