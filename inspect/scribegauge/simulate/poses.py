"""Plates of known truth seen from drawn poses, as numbers only: no pictures are made.

Everything that the budget calls uncertain is drawn from what the budget says of it: lens, sheet,
thickness, seat, corners and lines. Corners and lines are projected by the true camera and then go
the way of every photo, from the pose to sides and angles with their U.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from scribegauge.figure.accounts import LAMPS, PAIR
from scribegauge.figure.assign import Placement
from scribegauge.figure.fit import angles_of, area_sign, fit_figure, sides_of
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.lineerrors import optics_errors
from scribegauge.figure.lines import moved, normals
from scribegauge.figure.several import Settled, settle
from scribegauge.marks.optics import SEEN_OFF_MIDDLE, STEADY_TURN
from scribegauge.marks.record import LineMark
from scribegauge.plate.face import (
    U_SEATING_MM,
    U_UNKNOWN_THICKNESS_MM,
    UNKNOWN_THICKNESS_MM,
    Face,
    scale_at,
)
from scribegauge.uncertainty.budget import make_budget
from scribegauge.uncertainty.figuremodel import apart
from scribegauge.uncertainty.propagation import Budget
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
U_THICKNESS_MM = 0.02
SIGMA_PX = 0.04
U_FIT_MM = 0.001
# The figure's corners lie so far from the middle of the window.
RADII_MM = (14.0, 19.0)
PLATE_MM = 48.0
LOOKS = ("dark", "bright", "double")


@dataclass(frozen=True, slots=True)
class Mishap:
    """What went wrong beyond what the budget allows for.

    Attributes
    ----------
    raised_mm : float
        How much higher the face lies than its thickness says.
    slopes : (float, float)
        Of the face beyond those of a plate that lies well.
    moved_mm : (float, float)
    moved_rad : float
        Of the plate, about its middle, before the second photo.
    stroke_mm : float
        By how much the last photo's first side is another stroke.
    """

    raised_mm: float = 0.0
    slopes: tuple[float, float] = (0.0, 0.0)
    moved_mm: tuple[float, float] = (0.0, 0.0)
    moved_rad: float = 0.0
    stroke_mm: float = 0.0


NONE = Mishap()


@dataclass(frozen=True, slots=True)
class Given:
    """What the person of one trial gave."""

    profile: bool = True
    bars: bool = True
    thickness: bool = True
    photos: int = 1
    mishap: Mishap = NONE


@dataclass(frozen=True, slots=True)
class Trial:
    """One plate, measured.

    Attributes
    ----------
    error : ndarray, shape (2n,)
        Sides [mm], then angles [rad]: measured minus true.
    budget : Budget
    settled : Settled
    """

    error: Array
    budget: Budget
    settled: Settled


@dataclass(frozen=True, slots=True)
class Plate:
    """A scribed plate as it really lies.

    Attributes
    ----------
    vertices_mm : ndarray, shape (n, 2)
        In the plate.
    height_mm : float
        Of the face at the middle, above the paper.
    slopes : ndarray, shape (2,)
        About the middle.
    middle_mm : ndarray, shape (2,)
    """

    vertices_mm: Array
    height_mm: float
    slopes: Array
    middle_mm: Array

    def places_mm(self, points_mm: Array) -> Array:
        """Return where points (N, 2) of the plate are in the target's frame, (N, 3)."""
        a, b = self.slopes
        along_x = np.array([1.0, 0.0, a]) / np.hypot(1.0, a)
        upwards = np.cross(along_x, np.array([0.0, 1.0, b]))
        along_y = np.cross(upwards / np.linalg.norm(upwards), along_x)
        middle = np.array([*self.middle_mm, -self.height_mm])
        x, y = (points_mm - self.middle_mm).T
        return middle + np.outer(x, along_x) + np.outer(y, along_y)


@dataclass(frozen=True, slots=True)
class World:
    """What the photos of one plate have in common."""

    spec: TargetSpec
    camera: Camera
    scale: PrintScale
    lens: Array
    stretch: Array


def try_plate(given: Given, seed: int) -> Trial:
    """Draw a plate and its photos, and measure it.

    Parameters
    ----------
    given : Given
    seed : int
        The same seed gives the same trial.
    """
    rng = np.random.default_rng([seed, 17])
    world = _world(given, rng)
    plate, thickness_mm, u_thickness_mm = _plate(given, world, rng)
    views = [_photo(given, world, rng) for _ in range(given.photos)]
    faces = [
        replace(face, thickness_mm=thickness_mm, u_thickness_mm=u_thickness_mm) for _, face in views
    ]
    rows = _rows(plate, [values for values, _ in views], faces, given.mishap, rng)
    return _measured(plate, rows, faces)


def _measured(plate: Plate, rows: list[list[LineMark]], faces: list[Face]) -> Trial:
    """Take the lines of all photos to sides and angles, and compare them with the truth."""
    settled = settle(rows, faces)
    names = tuple(chr(65 + k) for k in range(len(plate.vertices_mm)))
    layout = Layout("drawn", plate.vertices_mm, names, Tolerance(None, None))
    fit = fit_figure(layout, Placement(0.0, np.zeros(2), 1.0), settled.merged, ())
    budget = make_budget(fit, settled.faces)
    ends = np.stack([plate.vertices_mm, np.roll(plate.vertices_mm, -1, axis=0)], axis=1)
    clockwise = area_sign(plate.vertices_mm)
    true = np.concatenate([sides_of(ends), angles_of(ends, clockwise)])
    return Trial(apart(budget.values, true), budget, settled)


def _world(given: Given, rng: np.random.Generator) -> World:
    spec = load_specs()["S"]
    if given.profile:
        known = Camera(*SIZE_PX, LENS, np.diag(U_LENS**2), "profile", "")
        camera = camera_for_photo(known, *SIZE_PX, "")
    else:
        known = camera = camera_from_exif(*SIZE_PX, FOCAL_35MM, "")
    bars = [(spec.check_bar_mm, spec.check_bar_mm)]
    scale = scale_from_bars(spec, bars) if given.bars else unmeasured_scale()
    lens = rng.multivariate_normal(known.values, known.covariance)
    return World(spec, camera, scale, lens, rng.multivariate_normal(scale.values, scale.covariance))


def _plate(given: Given, world: World, rng: np.random.Generator) -> tuple[Plate, float, float]:
    """Return a plate as it lies, its thickness as given and the standard uncertainty of that."""
    count = int(rng.integers(3, 7))
    turn = 2 * np.pi * (np.arange(count) + rng.uniform(-0.2, 0.2, count)) / count
    reach = rng.uniform(*RADII_MM, count)[:, None]
    middle = world.spec.side_mm / 2 * world.stretch
    vertices = middle + reach * np.column_stack([np.cos(turn), np.sin(turn)])
    if given.thickness:
        thickness, u_thickness = float(rng.uniform(0.5, 2.0)), U_THICKNESS_MM
    else:
        thickness, u_thickness = UNKNOWN_THICKNESS_MM, U_UNKNOWN_THICKNESS_MM
    height = rng.normal(thickness, np.hypot(u_thickness, U_SEATING_MM / 2))
    slopes = rng.normal(0.0, U_SEATING_MM / PLATE_MM, 2) + given.mishap.slopes
    plate = Plate(vertices, float(height) + given.mishap.raised_mm, slopes, middle)
    return plate, thickness, u_thickness


def _photo(given: Given, world: World, rng: np.random.Generator) -> tuple[Array, Face]:
    """Return one photo's true view parameters, and the face as solved from its corners."""
    lens = world.lens.copy()
    if given.profile:
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


def _rows(
    plate: Plate, views: list[Array], faces: list[Face], mishap: Mishap, rng: np.random.Generator
) -> list[list[LineMark]]:
    """Return what each photo shows of the sides, laid on the faces as given."""
    true = np.stack([plate.vertices_mm, np.roll(plate.vertices_mm, -1, axis=0)], axis=1)
    marks = [[_mark(ends, rng) for ends in true] for _ in views]
    halves = np.hypot(*(true[:, 1] - true[:, 0]).T) / 2
    # Only of two lamps can one be opposite the other.
    lamps = [same for same in LAMPS.values() if same >= 0 or len(views) == PAIR]
    errors = optics_errors(marks, normals(true), float(rng.choice(lamps)))
    off = rng.multivariate_normal(np.zeros(len(errors)), errors).reshape(len(views), -1, 2)
    off += rng.normal(0.0, U_FIT_MM, off.shape)
    off[-1, 0, 0] += mishap.stroke_mm
    rows = []
    for photo, (values, face) in enumerate(zip(views, faces, strict=True)):
        seen = moved(true, off[photo, :, 0], off[photo, :, 1] / halves).reshape(-1, 2)
        there = _knocked(seen, plate.middle_mm, mishap) if photo else seen
        spots = project(values, plate.places_mm(there))
        ends = face.plate_from_photo(spots).reshape(-1, 2, 2)
        rows.append([replace(m, ends_mm=e) for m, e in zip(marks[photo], ends, strict=True)])
    return rows


def _knocked(points_mm: Array, middle_mm: Array, mishap: Mishap) -> Array:
    c, s = np.cos(mishap.moved_rad), np.sin(mishap.moved_rad)
    turned = (points_mm - middle_mm) @ np.array([[c, s], [-s, c]])
    return np.asarray(turned + middle_mm + mishap.moved_mm)


def _mark(ends_mm: Array, rng: np.random.Generator) -> LineMark:
    """Return a line of drawn look and width, as uncertain as such lines are."""
    look, width = str(rng.choice(LOOKS)), float(rng.uniform(0.05, 0.12))
    half = float(np.hypot(*(ends_mm[1] - ends_mm[0]))) / 2
    return LineMark(
        ends_mm=ends_mm,
        covariance=np.diag([U_FIT_MM, U_FIT_MM / half]) ** 2,
        u_optics_mm=SEEN_OFF_MIDDLE[look] * width,
        u_optics_turn_mm=STEADY_TURN * width,
        width_mm=width,
        contrast=-9.0,
        look=look,
        seen=1.0,
        log10_nfa=-9.0,
        hinted=False,
    )
