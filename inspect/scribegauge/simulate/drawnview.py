"""A sheet and a camera of known truth, seen from drawn poses: corners as numbers, no pictures."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from scribegauge.plate.face import Face, scale_at
from scribetarget.camera import Camera
from scribetarget.camerafit import U_REFOCUS, U_STABILISER, camera_for_photo
from scribetarget.lens import project
from scribetarget.pose import solve_view
from scribetarget.printscale import PrintScale, scale_from_bars, unmeasured_scale
from scribetarget.priors import camera_from_exif
from scribetarget.sighting import Sighting
from scribetarget.spec import TargetSpec, corner_positions_mm, load_specs

Array = NDArray[np.float64]

SIZE_PX = (4000, 3000)
FOCAL_35MM = 27.0
# A phone's lens and what ten photos of the target leave uncertain of it.
LENS = np.array([3040.0, 1.0008, 2006.0, 1493.0, 0.062, -0.118, 0.0006, -0.0004, 0.041])
U_LENS = np.array([9.0, 3e-5, 1, 1, 0.0004, 0.0013, 1e-5, 1e-5, 0.0015])
SIGMA_PX = 0.04
PLATE_MM = 48.0


@dataclass(frozen=True, slots=True)
class World:
    """What the photos of one plate have in common.

    Attributes
    ----------
    spec : TargetSpec
    camera : Camera
        As the person's profile or the photos' own record has it.
    scale : PrintScale
        As the check bars have it.
    lens : ndarray, shape (9,)
        As it really is.
    stretch : ndarray, shape (2,)
        Of the print, as it really is.
    """

    spec: TargetSpec
    camera: Camera
    scale: PrintScale
    lens: Array
    stretch: Array


def draw_world(rng: np.random.Generator, *, profile: bool, bars: bool) -> World:
    """Draw lens and sheet from what is known of them with or without a profile and bars."""
    spec = load_specs()["S"]
    if profile:
        known = Camera(*SIZE_PX, LENS, np.diag(U_LENS**2), "profile", "")
        camera = camera_for_photo(known, *SIZE_PX, "")
    else:
        known = camera = camera_from_exif(*SIZE_PX, FOCAL_35MM, "")
    readings = [(spec.check_bar_mm, spec.check_bar_mm)]
    scale = scale_from_bars(spec, readings) if bars else unmeasured_scale()
    lens = rng.multivariate_normal(known.values, known.covariance)
    return World(spec, camera, scale, lens, rng.multivariate_normal(scale.values, scale.covariance))


def draw_photo(world: World, rng: np.random.Generator) -> tuple[Array, Face]:
    """Return one photo's true view parameters (17,), and the paper's plane as its corners show it."""
    lens = world.lens.copy()
    if world.camera.source == "profile":
        lens[0] += rng.normal(0.0, U_REFOCUS * world.camera.values[0])
        lens[2:4] += rng.normal(0.0, U_STABILISER * max(SIZE_PX), 2)
    values = np.concatenate([lens, _pose(world, lens[0], rng), world.stretch])
    view = solve_view(_sighting(world.spec, values, rng), world.camera, world.scale)
    middle = world.spec.side_mm / 2 * view.values[15:]
    outline = middle + PLATE_MM / 2 * np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]])
    return values, Face(view, 0.0, 0.0, outline, scale_at(view, 1.0, middle), 1.0)


def _pose(world: World, focal_px: float, rng: np.random.Generator) -> Array:
    """Return rotation vector and translation of a camera that has the ring nearly fill the picture."""
    tilt, towards, turn = np.radians([rng.uniform(0, 30), rng.uniform(0, 360), rng.uniform(0, 360)])
    across = Rotation.from_rotvec(tilt * np.array([np.cos(towards), np.sin(towards), 0.0]))
    rotation = across * Rotation.from_rotvec([0.0, 0.0, turn])
    diagonal = world.spec.side_mm * np.sqrt(2)
    distance = focal_px * diagonal / (SIZE_PX[1] * rng.uniform(0.75, 0.95))
    aim = world.spec.side_mm / 2 + rng.uniform(-4, 4, 2)
    shift = np.array([0.0, 0.0, distance]) - rotation.apply([*aim, 0.0])
    return np.concatenate([rotation.as_rotvec(), shift])


def _sighting(spec: TargetSpec, values: Array, rng: np.random.Generator) -> Sighting:
    ids = np.array(spec.corner_ids)
    flat = corner_positions_mm(spec, ids) * values[15:]
    seen = project(values, np.column_stack([flat, np.zeros(len(ids))]))
    return Sighting(
        spec=spec,
        corner_ids=ids,
        corners_px=seen + rng.normal(0.0, SIGMA_PX, seen.shape),
        sigma_px=np.full(len(ids), SIGMA_PX),
        marker_ids=np.array(spec.printed_marker_ids),
        square_px=float(values[0] * spec.square_mm / values[14]),
        blur_px=1.0,
        contrast=150.0,
        white_level=200.0,
        black_level=50.0,
        clipped_share=0.0,
    )
