"""The plate on the paper: its shadow, its edge walls, its face with all marks."""

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.engrave import Mark, PlatePixels, engrave, prepare_marks
from scribegauge.simulate.finish import FINISHES, METALS, Texture, flat_rough, mottle, texture_of
from scribegauge.simulate.pinhole import camera_centre_mm
from scribegauge.simulate.polygon import inside_by_mm, outward_normals, turned
from scribegauge.simulate.scene import PlateModel, Scene
from scribegauge.simulate.shine import arriving, lamp_place_mm, metal_radiance, on_paper

Array = NDArray[np.float64]

_AROUND_MM = 10.0  # how far from the plate its shadow is worked out
_CONTACT_LOST = 0.55  # of the sky's light, at the foot of the wall
_GLOSS = 0.03  # mirrored by the surface of a lacquer, refractive index 1.4
_WALL_SKY, _WALL_LAMP = 0.25, 0.5  # a sawn edge: rough, and seen nearly along


@dataclass(frozen=True, slots=True)
class LaidPlate:
    """A plate with every chance detail fixed, and where camera and lamp stand in its frame."""

    model: PlateModel
    marks: tuple[Mark, ...]
    texture: Texture
    seed: int
    outline_mm: Array
    camera_mm: Array
    lamp_mm: Array


def lay_plate(
    scene: Scene, plate: PlateModel, *, middle_mm: float, pixel_mm: float, seed: int
) -> LaidPlate:
    """Fix a plate's chance details; `pixel_mm` is the size of a pixel on it."""
    finish = FINISHES[plate.finish]
    rng = np.random.default_rng([seed, 13])
    return LaidPlate(
        model=plate,
        marks=prepare_marks(plate, seed),
        texture=texture_of(finish, plate.grain_deg, rng).seen_by(pixel_mm),
        seed=seed,
        outline_mm=np.array(plate.outline_mm, dtype=np.float64),
        camera_mm=_in_plate(scene, camera_centre_mm(scene.pose)),
        lamp_mm=_in_plate(scene, lamp_place_mm(scene.lamp, middle_mm)),
    )


def add_plate(
    picture: NDArray[np.float32], ray: Array, scene: Scene, laid: LaidPlate, middle_mm: float
) -> None:
    """Draw the plate over rows of the picture that show the paper already.

    Parameters
    ----------
    picture : ndarray, shape (h, w, 3), float32
        Changed in place.
    ray : ndarray, shape (2, h + 2, w + 2), float64
        Directions of view per unit of depth, target frame, one pixel more on every side.
    scene : Scene
    laid : LaidPlate
    middle_mm : float
        Half the side of the board.
    """
    centre = camera_centre_mm(scene.pose)
    depth = -centre[2] - laid.model.thickness_mm
    around = np.flatnonzero(_around(scene, laid, centre[:2, None, None] - ray * centre[2]))
    if not len(around):
        return
    steps = _steps(ray, around, depth)
    seen = ray.reshape(2, -1)[:, around]
    face, base = centre[:2, None] + seen * depth, centre[:2, None] - seen * centre[2]
    row, column = np.divmod(around, ray.shape[2])
    flat = picture.reshape(-1, 3)
    around = (row - 1) * picture.shape[1] + column - 1
    on_base, wall = _inside(scene, laid, base)
    on_face, _ = _inside(scene, laid, face)
    pixel = np.sqrt(np.abs(steps[0] * steps[3] - steps[1] * steps[2]))
    base_share = np.clip(on_base / pixel + 0.5, 0.0, 1.0)
    face_share = np.clip(on_face / pixel + 0.5, 0.0, 1.0)
    shaded = flat[around] * _shadow(scene, laid, base, on_base)[:, None]
    walls = _wall_rgb(scene, laid, wall)
    mixed = shaded + np.maximum(base_share - face_share, 0.0)[:, None] * (walls - shaded)
    shown = np.flatnonzero(face_share > 0)
    metal = _face_rgb(scene, laid, face[:, shown], tuple(s[shown] for s in steps), middle_mm)
    mixed[shown] += face_share[shown, None] * (metal - mixed[shown])
    flat[around] = mixed


def _face_rgb(
    scene: Scene, laid: LaidPlate, face: Array, steps: tuple[Array, ...], middle_mm: float
) -> Array:
    given = on_paper(face, scene.lamp, scene.shadows, middle_mm)
    place = _in_plate(scene, np.vstack([face, np.full(face.shape[1], -laid.model.thickness_mm)]))
    lamp = scene.lamp
    light = arriving(place, laid.camera_mm, lamp, given, laid.lamp_mm)
    finish = FINISHES[laid.model.finish]
    x, y = place[0], place[1]
    slope = laid.texture.at(x, y)
    shine = metal_radiance(slope, light, lamp, flat_rough(finish, laid.model.grain_deg))
    shine *= mottle(x, y, laid.seed)
    metal = np.array(METALS[laid.model.metal])
    rgb: Array = shine[:, None] * (metal if finish.lacquer is None else np.array(finish.lacquer))
    if finish.lacquer is not None:
        gloss = metal_radiance(slope, light, lamp, replace(flat_rough(finish, 0.0), diffuse=0.0))
        rgb += _GLOSS * gloss[:, None]
    pixels = PlatePixels(x, y, _turned_steps(scene, steps), light)
    cut = engrave(laid.marks, pixels, lamp, lacquered=finish.lacquer is not None)
    if cut is not None:
        rgb[cut.index] *= 1.0 - cut.share[:, None]
        rgb[cut.index] += cut.radiance[:, None] * metal
    return rgb


def _steps(
    ray: Array, index: NDArray[np.int64], depth_mm: float
) -> tuple[Array, Array, Array, Array]:
    """(dx/du, dy/du, dx/dv, dy/dv) [mm] at a depth, from central differences."""
    flat, width = ray.reshape(2, -1), ray.shape[2]
    du = (flat[:, index + 1] - flat[:, index - 1]) * (depth_mm / 2)
    dv = (flat[:, index + width] - flat[:, index - width]) * (depth_mm / 2)
    return du[0], du[1], dv[0], dv[1]


def _turned_steps(scene: Scene, steps: tuple[Array, ...]) -> tuple[Array, Array, Array, Array]:
    du = turned(np.column_stack(steps[:2]), -scene.plate_turn_deg)
    dv = turned(np.column_stack(steps[2:]), -scene.plate_turn_deg)
    return du[:, 0], du[:, 1], dv[:, 0], dv[:, 1]


def _in_plate(scene: Scene, points: Array) -> Array:
    """Take points of the target frame, shape (3,) or (3, N), into the plate's; z stays."""
    x, y = points[0] - scene.plate_origin_mm[0], points[1] - scene.plate_origin_mm[1]
    angle = math.radians(scene.plate_turn_deg)
    cos, sin = math.cos(angle), math.sin(angle)
    return np.stack([cos * x + sin * y, cos * y - sin * x, points[2]])


def _around(scene: Scene, laid: LaidPlate, base: Array) -> NDArray[np.bool_]:
    """Tell which pixels lie on or near the plate; never the padding."""
    x, y, _ = _in_plate(scene, np.stack([base[0], base[1], base[0]]))
    low, high = laid.outline_mm.min(axis=0) - _AROUND_MM, laid.outline_mm.max(axis=0) + _AROUND_MM
    inside: NDArray[np.bool_] = (x > low[0]) & (x < high[0]) & (y > low[1]) & (y < high[1])
    inside[[0, -1], :] = False
    inside[:, [0, -1]] = False
    return inside


def _inside(scene: Scene, laid: LaidPlate, points: Array) -> tuple[Array, NDArray[np.int64]]:
    x, y, _ = _in_plate(scene, np.vstack([points, points[:1]]))
    return inside_by_mm(x, y, laid.outline_mm)


def _shadow(scene: Scene, laid: LaidPlate, base: Array, on_base: Array) -> Array:
    """Share of the light that the plate leaves to the paper beside it."""
    thickness, lamp = laid.model.thickness_mm, scene.lamp
    throw = thickness / math.tan(math.radians(lamp.elevation_deg))
    azimuth = math.radians(lamp.azimuth_deg)
    towards = throw * np.array([[math.cos(azimuth)], [math.sin(azimuth)]])
    behind, _ = _inside(scene, laid, base + towards)
    soft = thickness * (0.1 + 2.0 * lamp.size)
    lamp_left = 1.0 - np.clip(behind / soft + 0.5, 0.0, 1.0)
    near = np.exp(np.minimum(on_base, 0.0) / (1.2 * thickness))
    return lamp.share * lamp_left + (1.0 - lamp.share) * (1.0 - _CONTACT_LOST * near)


def _wall_rgb(scene: Scene, laid: LaidPlate, side: NDArray[np.int64]) -> Array:
    normals = turned(outward_normals(laid.outline_mm), scene.plate_turn_deg)
    azimuth = math.radians(scene.lamp.azimuth_deg)
    facing = normals @ np.array([math.cos(azimuth), math.sin(azimuth)])
    share = scene.lamp.share
    shine = _WALL_SKY * (1 - share) + _WALL_LAMP * share * np.maximum(facing, 0.0)
    rgb: Array = shine[side][:, None] * np.array(METALS[laid.model.metal])
    return rgb
