"""The photo of a scene, row by row."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.lay import LaidPlate, add_plate, lay_plate
from scribegauge.simulate.paper import (
    cell_mm,
    desk_grain,
    ink_table,
    look_up,
    mixed_table,
    on_sheet,
)
from scribegauge.simulate.pinhole import camera_centre_mm, rays_mm
from scribegauge.simulate.scene import Scene
from scribegauge.simulate.sensor import expose
from scribegauge.simulate.shine import on_paper
from scribetarget.spec import load_specs

Array = NDArray[np.float64]

_BLOCK_PX = 200_000
# Fibonacci lattice: 55 different places along both axes of a pixel. Chessboard corners then stray
# by 0.006 px RMS from those of a lattice of 610; 21 samples leave 0.02 px.
_SAMPLES, _STEP = 55, 34


def render(scene: Scene, seed: int) -> NDArray[np.uint8]:
    """Take the photo of a scene.

    Parameters
    ----------
    scene : Scene
    seed : int
        Fixes noise, texture and every chance detail of the marks; the same scene and seed give
        the same picture.

    Returns
    -------
    ndarray, shape (H, W, 3), uint8, sRGB
    """
    return expose(radiance_of(scene, seed), scene.camera, np.random.default_rng([seed, 1]))


def radiance_of(scene: Scene, seed: int) -> NDArray[np.float32]:
    """Return the light in every pixel before lens and sensor, shape (H, W, 3); paper is about 1."""
    width, height = scene.camera.size_px
    middle_mm = load_specs()[scene.paper.size].side_mm / 2
    pixel_mm = -float(camera_centre_mm(scene.pose)[2]) / scene.camera.f_px
    laid: LaidPlate | None = None
    if scene.plate is not None:
        laid = lay_plate(scene, scene.plate, middle_mm=middle_mm, pixel_mm=pixel_mm, seed=seed)
    picture = np.empty((height, width, 3), np.float32)
    for rows, ray in _blocks(scene):
        picture[rows] = _paper_and_desk(scene, ray, middle_mm, seed)
        if laid is not None:
            add_plate(picture[rows], ray, scene, laid, middle_mm)
    picture *= np.array(scene.lamp.rgb, np.float32)
    return picture


def _blocks(scene: Scene) -> Iterator[tuple[slice, Array]]:
    """Rows of the picture with their rays, padded by one pixel on every side."""
    width, height = scene.camera.size_px
    count = max(1, _BLOCK_PX // width)
    for first in range(0, height, count):
        last = min(first + count, height)
        v, u = np.mgrid[first - 1 : last + 1, -1 : width + 1].astype(np.float64)
        yield slice(first, last), rays_mm(u, v, scene.camera, scene.pose)


def _paper_and_desk(scene: Scene, ray: Array, middle_mm: float, seed: int) -> NDArray[np.float32]:
    centre = camera_centre_mm(scene.pose)
    points = centre[:2, None, None] - ray * centre[2]
    x, y = points[:, 1:-1, 1:-1]
    ink = _ink_share(scene, points)
    paper = scene.paper
    grey = 1.0 - ink * (1.0 - paper.ink / paper.white)
    pixel_mm = -float(centre[2]) / scene.camera.f_px
    sheet = on_sheet(x, y, pixel_mm, paper)
    desk = np.array(paper.desk_rgb) / paper.white
    colour = (sheet * grey)[..., None] * np.ones(3)
    bare = sheet < 1
    if bare.any():
        grain = desk_grain(x[bare], y[bare], seed) * (1 - sheet[bare])
        colour[bare] += grain[:, None] * desk
    lamp, sky = on_paper(np.stack([x, y]), scene.lamp, scene.shadows, middle_mm)
    return (colour * (lamp + sky)[..., None]).astype(np.float32)


def _ink_share(scene: Scene, points: Array) -> Array:
    """Share of each pixel that is black: one look where all is alike, 55 where it is not."""
    paper = scene.paper
    x, y = points[:, 1:-1, 1:-1]
    xu, yu = (points[:, 1:-1, 2:] - points[:, 1:-1, :-2]) / 2
    xv, yv = (points[:, 2:, 1:-1] - points[:, :-2, 1:-1]) / 2
    half = (np.abs(xu) + np.abs(xv)).max() / 2, (np.abs(yu) + np.abs(yv)).max() / 2
    reach = int(np.ceil(max(half) / (cell_mm(paper.size) * min(paper.print_scale)))) + 1
    ink = look_up(ink_table(paper.size), x, y, paper).astype(np.float64)
    mixed = look_up(mixed_table(paper.size, reach), x, y, paper)
    x, y, xu, yu, xv, yv = (a[mixed] for a in (x, y, xu, yu, xv, yv))
    total = np.zeros(len(x))
    for number in range(_SAMPLES):
        du = (number + 0.5) / _SAMPLES - 0.5
        dv = (number * _STEP % _SAMPLES + 0.5) / _SAMPLES - 0.5
        total += look_up(ink_table(paper.size), x + xu * du + xv * dv, y + yu * du + yv * dv, paper)
    ink[mixed] = total / _SAMPLES
    return ink
