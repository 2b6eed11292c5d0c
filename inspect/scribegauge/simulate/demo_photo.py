"""Make the demo's photo again: ``python -m scribegauge.simulate.demo_photo OUT.jpg``.

An evening class in clockmaking: pupil A-12 scribed a motion-work bracket on blued brass and set
the square wrong once, so that side E-F came out 0.3 mm too long.
"""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

from scribegauge.simulate.bench import LIGHTS, Bench, scene_for_layout
from scribegauge.simulate.hand import Hand
from scribegauge.simulate.render import render
from scribegauge.simulate.scene import CameraModel, Prick, Profile, Scene, ScribedArc
from scribegauge.simulate.sensor import CameraRecord, encode_jpeg

SEED = 219
# The layout's figure with side E-F 0.32 mm longer, every other side as intended, and the sum of
# squared changes of the angles least (largest 0.18 degrees).
SCRIBED_MM = (
    (10.032, 0.032),
    (34.031, 0.149),
    (44.0, 10.181),
    (44.0, 36.181),
    (0.0, 36.32),
    (0.0, 10.0),
)
_QUALITY = 86
_POST_HOLE_MM = 6.5


def demo_scene() -> Scene:
    """Return the scene of the demo's photo; its truth is `truth.truth_of`."""
    camera = CameraModel(
        size_px=(3000, 2250),
        f_px=2262.0,
        centre_px=(1507.0, 1119.0),
        dist=(0.048, -0.092, 0.0005, -0.0004, 0.028),
        blur_px=0.9,
    )
    bench = Bench(
        thickness_mm=1.2,
        margin_mm=6.0,
        print_scale=(1.0012, 0.9991),
        lamp=replace(LIGHTS["lamp"], azimuth_deg=-125.0, share=0.4, size=0.16),
        camera=camera,
        tilt_deg=(12.0, 16.0),
    )
    hand = Hand(corner_mm=0.012, rule_mm=0.006, width_mm=0.10, prick_mm=0.34, strays=9)
    scene = scene_for_layout(
        SCRIBED_MM, seed=SEED, size="M", finish="lacquer", bench=bench, hand=hand
    )
    return _with_post_hole(scene)


def demo_jpeg() -> bytes:
    """Return the demo's photo as a JPEG file with the camera's record."""
    scene = demo_scene()
    record = CameraRecord(focal_mm=4.3, taken="2026:03:17 19:42:05")
    return encode_jpeg(render(scene, SEED), scene.camera, quality=_QUALITY, record=record)


def main(arguments: list[str]) -> int:
    """Write the photo to the one path given; 2 when there is not exactly one."""
    if len(arguments) != 1:
        sys.stderr.write("usage: python -m scribegauge.simulate.demo_photo OUT.jpg\n")
        return 2
    Path(arguments[0]).write_bytes(demo_jpeg())
    return 0


def _with_post_hole(scene: Scene) -> Scene:
    """Add the circle of the post's hole and the prick that it was drawn from."""
    plate = scene.plate
    if plate is None:
        return scene
    middle = np.mean([line.start_mm for line in plate.lines[: len(SCRIBED_MM)]], axis=0)
    centre = (float(middle[0]), float(middle[1]))
    profile = Profile(width_mm=0.07, slope_left=0.3, slope_right=0.3)
    arcs = (ScribedArc("post hole", centre, _POST_HOLE_MM, 40.0, 360.0, profile),)
    pricks = (*plate.pricks, Prick("post", centre, 0.26))
    return replace(scene, plate=replace(plate, arcs=arcs, pricks=pricks))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
