"""Marks on the plate as the pixels see them: which pixels, and how bright the cut metal is."""

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.finish import FINISHES, LACQUER_MM, groove_rough
from scribegauge.simulate.groove import (
    Relief,
    Stroke,
    groove_relief,
    lit_in_groove,
    prick_relief,
    stroke_along,
)
from scribegauge.simulate.scene import Lamp, PlateModel, Prick, ScribedArc, ScribedLine
from scribegauge.simulate.shine import Arriving, metal_radiance

Array = NDArray[np.float64]

_SAMPLES = 34  # a Fibonacci lattice: 34 different places along both axes of a pixel


@dataclass(frozen=True, slots=True)
class Place:
    """Points in the terms of one mark: along its course, across it, and the unit vector across."""

    along_mm: Array
    across_mm: Array
    nx: Array
    ny: Array


class Mark(Protocol):
    """Something scribed, ready to be drawn."""

    @property
    def reach_mm(self) -> float:
        """How far from its course the mark changes the plate."""

    def place(self, x_mm: Array, y_mm: Array) -> Place:
        """Find points of the plate in the mark's own terms."""

    def near(self, x_mm: Array, y_mm: Array, spare_mm: float) -> NDArray[np.bool_]:
        """Tell which points lie within reach and a bit."""

    def relief(self, place: Place) -> Relief:
        """Return the mark's surface."""


@dataclass(frozen=True, slots=True)
class Straight:
    """A line ready to be drawn."""

    start: Array
    unit: Array
    length_mm: float
    stroke: Stroke

    @property
    def reach_mm(self) -> float:
        """See `Mark`."""
        return self.stroke.reach_mm

    def place(self, x_mm: Array, y_mm: Array) -> Place:
        """See `Mark`."""
        dx, dy = x_mm - self.start[0], y_mm - self.start[1]
        ux, uy = self.unit
        along, across = dx * ux + dy * uy, dy * ux - dx * uy
        return Place(along, across, np.full_like(along, -uy), np.full_like(along, ux))

    def near(self, x_mm: Array, y_mm: Array, spare_mm: float) -> NDArray[np.bool_]:
        """See `Mark`."""
        dx, dy = x_mm - self.start[0], y_mm - self.start[1]
        ux, uy = self.unit
        close: NDArray[np.bool_] = np.abs(dy * ux - dx * uy) < self.reach_mm + spare_mm
        along = dx[close] * ux + dy[close] * uy
        close[close] = (along > -spare_mm) & (along < self.length_mm + spare_mm)
        return close

    def relief(self, place: Place) -> Relief:
        """See `Mark`."""
        return groove_relief(place.along_mm, place.across_mm, self.stroke)


@dataclass(frozen=True, slots=True)
class Round:
    """An arc ready to be drawn."""

    arc: ScribedArc
    stroke: Stroke

    @property
    def reach_mm(self) -> float:
        """See `Mark`."""
        return self.stroke.reach_mm

    def place(self, x_mm: Array, y_mm: Array) -> Place:
        """See `Mark`."""
        dx, dy = x_mm - self.arc.centre_mm[0], y_mm - self.arc.centre_mm[1]
        distance = np.maximum(np.hypot(dx, dy), 1e-9)
        way = math.copysign(1.0, self.arc.sweep_deg)
        turn = np.arctan2(dy, dx) - math.radians(self.arc.start_deg)
        along = self.arc.radius_mm * np.mod(way * turn, 2 * np.pi)
        across = way * (self.arc.radius_mm - distance)
        return Place(along, across, -way * dx / distance, -way * dy / distance)

    def near(self, x_mm: Array, y_mm: Array, spare_mm: float) -> NDArray[np.bool_]:
        """See `Mark`."""
        distance = np.hypot(x_mm - self.arc.centre_mm[0], y_mm - self.arc.centre_mm[1])
        close: NDArray[np.bool_] = np.abs(distance - self.arc.radius_mm) < self.reach_mm + spare_mm
        return close

    def relief(self, place: Place) -> Relief:
        """See `Mark`."""
        return groove_relief(place.along_mm, place.across_mm, self.stroke)


@dataclass(frozen=True, slots=True)
class Pit:
    """A prick ready to be drawn."""

    prick: Prick

    @property
    def reach_mm(self) -> float:
        """See `Mark`."""
        return 0.7 * self.prick.diameter_mm

    def place(self, x_mm: Array, y_mm: Array) -> Place:
        """See `Mark`; `across_mm` is the distance from the centre."""
        dx, dy = x_mm - self.prick.centre_mm[0], y_mm - self.prick.centre_mm[1]
        distance = np.maximum(np.hypot(dx, dy), 1e-9)
        return Place(np.zeros_like(dx), distance, dx / distance, dy / distance)

    def near(self, x_mm: Array, y_mm: Array, spare_mm: float) -> NDArray[np.bool_]:
        """See `Mark`."""
        reach = self.reach_mm + spare_mm
        dx, dy = x_mm - self.prick.centre_mm[0], y_mm - self.prick.centre_mm[1]
        close: NDArray[np.bool_] = dx * dx + dy * dy < reach * reach
        return close

    def relief(self, place: Place) -> Relief:
        """See `Mark`; the far rim gives the room for light, the near one for the shaded side."""
        flat = prick_relief(place.across_mm, self.prick)
        far = np.where(flat.cut, self.prick.diameter_mm / 2 + place.across_mm, 0.0)
        return Relief(flat.height_mm, flat.across, flat.along, flat.cut, far, flat.room_right)


@dataclass(frozen=True, slots=True)
class PlatePixels:
    """Pixels of the plate's face: centres and steps in the plate frame, and their light.

    ``step`` is (dx/du, dy/du, dx/dv, dy/dv) [mm]; all arrays have shape (N,).
    """

    x_mm: Array
    y_mm: Array
    step: tuple[Array, Array, Array, Array]
    light: Arriving


@dataclass(frozen=True, slots=True)
class Cut:
    """Cut metal in pixels: which of them, the share of area, and the radiance it adds."""

    index: NDArray[np.int64]
    share: Array
    radiance: Array


def prepare_marks(plate: PlateModel, seed: int) -> tuple[Mark, ...]:
    """Fix every chance detail of a plate's marks; one random stream per mark.

    On a lacquered plate a scratch that does not reach the metal leaves nothing to be seen.
    """
    skin_mm = 0.0 if FINISHES[plate.finish].lacquer is None else LACQUER_MM
    marks: list[Mark] = []
    for number, line in enumerate(plate.lines):
        if _depth_mm(line) < skin_mm:
            continue
        marks.append(_straight(line, np.random.default_rng([seed, 11, number])))
    for number, arc in enumerate(plate.arcs):
        length = abs(math.radians(arc.sweep_deg)) * arc.radius_mm
        rng = np.random.default_rng([seed, 12, number])
        marks.append(Round(arc, stroke_along(arc.profile, length, rng)))
    marks.extend(Pit(prick) for prick in plate.pricks)
    return tuple(marks)


def engrave(
    marks: tuple[Mark, ...], pixels: PlatePixels, lamp: Lamp, *, lacquered: bool
) -> Cut | None:
    """Shade every mark over the pixels it touches; the deepest wins where marks cross.

    Parameters
    ----------
    marks : tuple of Mark
    pixels : PlatePixels
    lamp : Lamp
    lacquered : bool
        A burr under lacquer keeps its cover: only the groove itself is bare.
    """
    spare = float(np.max(np.hypot(pixels.step[0], pixels.step[1]))) if len(pixels.x_mm) else 0.0
    near = [mark.near(pixels.x_mm, pixels.y_mm, spare) for mark in marks]
    index = np.flatnonzero(np.any(near, axis=0)) if near else np.zeros(0, np.int64)
    if not len(index):
        return None
    x, y = _sample_points(pixels, index)
    light = _light_of(pixels.light, index)
    height, radiance = np.zeros_like(x), np.zeros_like(x)
    touched = np.zeros(x.shape, bool)
    for mark, close in zip(marks, near, strict=True):
        rows = np.flatnonzero(close[index])
        if not len(rows):
            continue
        place = mark.place(x[rows], y[rows])
        relief = mark.relief(place)
        bare = relief.cut if lacquered else relief.across != 0
        deeper = bare & ((relief.height_mm < height[rows]) | ~touched[rows])
        shade = _shade(place, relief, _light_of(light, rows), lamp)
        height[rows] = np.where(deeper, relief.height_mm, height[rows])
        radiance[rows] = np.where(deeper, shade, radiance[rows])
        touched[rows] |= deeper
    return Cut(index, touched.mean(axis=1), radiance.mean(axis=1))


def _shade(place: Place, relief: Relief, light: Arriving, lamp: Lamp) -> Array:
    lx, ly, lz = light.to_lamp
    lit = lit_in_groove(relief, lx * place.nx + ly * place.ny, lz)
    gx = relief.across * place.nx - relief.along * place.ny
    gy = relief.across * place.ny + relief.along * place.nx
    return metal_radiance((gx, gy), light, lamp, groove_rough(), lit.astype(np.float64))


def _sample_points(pixels: PlatePixels, index: NDArray[np.int64]) -> tuple[Array, Array]:
    number = np.arange(_SAMPLES)
    du = (number + 0.5) / _SAMPLES - 0.5
    dv = np.mod(number * 21 + 0.5, _SAMPLES) / _SAMPLES - 0.5
    xu, yu, xv, yv = (step[index, None] for step in pixels.step)
    x = pixels.x_mm[index, None] + xu * du + xv * dv
    y = pixels.y_mm[index, None] + yu * du + yv * dv
    return x, y


def _light_of(light: Arriving, index: NDArray[np.int64]) -> Arriving:
    """Pick pixels, as columns that broadcast against their samples."""

    def pick(value: Array) -> Array:
        return value[index].reshape(-1, 1)

    return Arriving(
        to_lamp=(pick(light.to_lamp[0]), pick(light.to_lamp[1]), pick(light.to_lamp[2])),
        lamp_slope=(pick(light.lamp_slope[0]), pick(light.lamp_slope[1])),
        sky_slope=(pick(light.sky_slope[0]), pick(light.sky_slope[1])),
        lamp_peak=pick(light.lamp_peak),
        lamp=pick(light.lamp),
        sky=pick(light.sky),
    )


def _depth_mm(line: ScribedLine) -> float:
    profile = line.profile
    harmonic = 1.0 / profile.slope_left + 1.0 / profile.slope_right
    return profile.width_mm / harmonic


def _straight(line: ScribedLine, rng: np.random.Generator) -> Straight:
    start = np.array(line.start_mm)
    way = np.array(line.end_mm) - start
    length = float(np.linalg.norm(way))
    stroke = stroke_along(line.profile, length, rng, fade=line.fade, breaks_mm=line.breaks_mm)
    return Straight(start, way / length, length, stroke)
