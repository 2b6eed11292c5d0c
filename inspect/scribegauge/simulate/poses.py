"""Plates of known truth seen from drawn poses, as numbers only: no pictures are made.

Everything that the budget calls uncertain is drawn from what the budget says of it: lens, sheet,
thickness, seat, corners and lines. Corners and lines are projected by the true camera and then go
the way of every photo, from the pose to sides and angles with their U.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.accounts import LAMPS
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
)
from scribegauge.simulate.drawnview import PLATE_MM, World, draw_photo, draw_world
from scribegauge.uncertainty.budget import make_budget
from scribegauge.uncertainty.figuremodel import apart
from scribegauge.uncertainty.propagation import Budget
from scribetarget.lens import project

Array = NDArray[np.float64]

U_THICKNESS_MM = 0.02
U_FIT_MM = 0.001
# The figure's corners lie so far from the middle of the window.
RADII_MM = (14.0, 19.0)
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
class Trial:
    """One plate, measured.

    Attributes
    ----------
    error : ndarray, shape (2n,)
        Sides [mm], then angles [rad]: measured minus true.
    budget : Budget
    settled : Settled
    plate : Plate
        The truth.
    """

    error: Array
    budget: Budget
    settled: Settled
    plate: Plate


def try_plate(given: Given, seed: int) -> Trial:
    """Draw a plate and its photos, and measure it.

    Parameters
    ----------
    given : Given
    seed : int
        The same seed gives the same trial.
    """
    rng = np.random.default_rng([seed, 17])
    world = draw_world(rng, profile=given.profile, bars=given.bars)
    plate, thickness_mm, u_thickness_mm = _plate(given, world, rng)
    views = [draw_photo(world, rng) for _ in range(given.photos)]
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
    return Trial(apart(budget.values, true), budget, settled, plate)


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


def _rows(
    plate: Plate, views: list[Array], faces: list[Face], mishap: Mishap, rng: np.random.Generator
) -> list[list[LineMark]]:
    """Return what each photo shows of the sides, laid on the faces as given."""
    true = np.stack([plate.vertices_mm, np.roll(plate.vertices_mm, -1, axis=0)], axis=1)
    marks = [[_mark(ends, rng) for ends in true] for _ in views]
    halves = np.hypot(*(true[:, 1] - true[:, 0]).T) / 2
    # A lamp on the opposite side makes errors smaller, which U does not count on.
    lamps = [same for same in LAMPS.values() if same >= 0]
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
