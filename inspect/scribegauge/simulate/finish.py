"""Metals and finishes: colours, micro-roughness, and the texture that a finish leaves."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.scene import Colour
from scribegauge.simulate.shine import Rough

Array32 = NDArray[np.float32]
Array64 = NDArray[np.float64]

# Reflectance in linear red, green, blue; after the measured n and k of brass (CuZn37), copper
# and iron, darkened a little for the thin oxide of a plate in use.
METALS: Mapping[str, Colour] = MappingProxyType(
    {
        "brass": (0.72, 0.58, 0.30),
        "copper": (0.74, 0.45, 0.34),
        "nickel silver": (0.62, 0.59, 0.53),
        "steel": (0.48, 0.47, 0.46),
    }
)

LACQUER_MM = 0.003
_PITCH_MM = 0.02
_TEXELS = 1024
_GROOVE_ROUGHNESS = 0.14
_EMERY_STROKES = 9000


@dataclass(frozen=True, slots=True)
class Finish:
    """A finish: its roughness, the texture's kind and spread of slope, a colour that covers it.

    ``lacquer`` is None for bare metal. ``bite`` is the slope of grooves over that on bare metal: a
    point goes through lacquer by its own weight and hardly into the metal.
    """

    along: float
    across: float
    diffuse: float
    texture: str
    texture_slope: float
    lacquer: Colour | None = None
    bite: float = 1.0


FINISHES: Mapping[str, Finish] = MappingProxyType(
    {
        "matte": Finish(0.24, 0.24, 0.35, "grain", 0.045),
        "brushed": Finish(0.10, 0.20, 0.20, "brush", 0.06),
        "emery": Finish(0.18, 0.20, 0.25, "emery", 0.11),
        "lacquer": Finish(0.10, 0.10, 1.0, "grain", 0.01, (0.022, 0.035, 0.13), 0.35),
    }
)


@dataclass(frozen=True, slots=True)
class Texture:
    """Slopes dz/dx, dz/dy of the finish in the plate frame, repeated every 20 mm."""

    slope_x: Array32
    slope_y: Array32

    def seen_by(self, pixel_mm: float) -> "Texture":
        """Average over one pixel's breadth, as a Gaussian of the same variance."""
        sigma = pixel_mm / _PITCH_MM / math.sqrt(12)
        return Texture(*(_blur(s, sigma, sigma) for s in (self.slope_x, self.slope_y)))

    def at(self, x_mm: Array64, y_mm: Array64) -> tuple[Array64, Array64]:
        """Return both slopes at points of one shape."""
        column = np.floor(x_mm / _PITCH_MM).astype(np.int64) % _TEXELS
        row = np.floor(y_mm / _PITCH_MM).astype(np.int64) % _TEXELS
        index = row * _TEXELS + column
        slope_x, slope_y = (s.ravel()[index] for s in (self.slope_x, self.slope_y))
        return slope_x.astype(np.float64), slope_y.astype(np.float64)


def flat_rough(finish: Finish, grain_deg: float) -> Rough:
    """Return the roughness of untouched surface."""
    return Rough(finish.along, finish.across, math.radians(grain_deg), finish.diffuse)


def groove_rough() -> Rough:
    """Return the roughness of a freshly cut wall, alike for every finish."""
    return Rough(_GROOVE_ROUGHNESS, _GROOVE_ROUGHNESS, 0.0, 0.12)


def texture_of(finish: Finish, grain_deg: float, rng: np.random.Generator) -> Texture:
    """Make the texture of a finish.

    Parameters
    ----------
    finish : Finish
    grain_deg : float
        Direction of brush or emery strokes in the plate frame.
    rng : numpy Generator
    """
    makers = {"grain": _grain, "brush": _brush, "emery": _emery}
    slope_x, slope_y = makers[finish.texture](math.radians(grain_deg), rng)
    scale = finish.texture_slope / math.sqrt(float(np.mean(slope_x**2 + slope_y**2)))
    return Texture((slope_x * scale).astype(np.float32), (slope_y * scale).astype(np.float32))


def mottle(x_mm: Array64, y_mm: Array64, seed: int) -> Array64:
    """Return slow changes of brightness about 1, a few per cent, from handling and tarnish."""
    rng = np.random.default_rng([seed, 77])
    change = np.ones_like(x_mm)
    for _ in range(5):
        turn, run_mm, phase = rng.uniform(0, 2 * np.pi), rng.uniform(8, 30), rng.uniform(0, 7)
        place = x_mm * math.cos(turn) + y_mm * math.sin(turn)
        change += 0.02 * np.sin(2 * np.pi * place / run_mm + phase)
    return change


def _grain(_grain_rad: float, rng: np.random.Generator) -> tuple[Array32, Array32]:
    return tuple(  # type: ignore[return-value]
        _blur(rng.standard_normal((_TEXELS, _TEXELS), dtype=np.float32), 1.2, 1.2) for _ in range(2)
    )


def _brush(grain_rad: float, rng: np.random.Generator) -> tuple[Array32, Array32]:
    """Long fine scratches along the grain; they slope across it."""
    noise = rng.standard_normal((_TEXELS, _TEXELS), dtype=np.float32)
    across = _blur(noise, 45.0, 0.7, grain_rad)
    return -across * np.float32(math.sin(grain_rad)), across * np.float32(math.cos(grain_rad))


def _emery(grain_rad: float, rng: np.random.Generator) -> tuple[Array32, Array32]:
    """Short, slightly curved strokes about one direction, from rubbing by hand."""
    slopes = [np.zeros((_TEXELS, _TEXELS), np.float32) for _ in range(2)]
    starts = rng.uniform(-100, _TEXELS, (_EMERY_STROKES, 2))
    turns = grain_rad + rng.normal(0, 0.35, _EMERY_STROKES)
    runs = rng.uniform(25, 160, _EMERY_STROKES)
    bends = rng.normal(0, 0.25, _EMERY_STROKES)
    depths = rng.normal(0, 1, _EMERY_STROKES)
    for start, turn, run, bend, depth in zip(starts, turns, runs, bends, depths, strict=True):
        steps = turn + bend * np.array([0.0, 0.5, 1.0])
        path = start + np.cumsum(run / 3 * np.column_stack([np.cos(steps), np.sin(steps)]), axis=0)
        course = [path.round().astype(np.int32)]
        cv2.polylines(slopes[0], course, False, -depth * math.sin(turn), 1)  # noqa: FBT003
        cv2.polylines(slopes[1], course, False, depth * math.cos(turn), 1)  # noqa: FBT003
    fine = rng.standard_normal((2, _TEXELS, _TEXELS), dtype=np.float32) * np.float32(0.25)
    return slopes[0] + fine[0], slopes[1] + fine[1]


def _blur(noise: Array32, along: float, across: float, turn_rad: float = 0.0) -> Array32:
    """Gaussian blur that wraps at the edges, so that the texture repeats without a seam."""
    column = np.fft.rfftfreq(noise.shape[1]).astype(np.float32)
    row = np.fft.fftfreq(noise.shape[0]).astype(np.float32)[:, None]
    cos, sin = np.float32(math.cos(turn_rad)), np.float32(math.sin(turn_rad))
    f_along, f_across = cos * column + sin * row, cos * row - sin * column
    power = (np.float32(along) * f_along) ** 2 + (np.float32(across) * f_across) ** 2
    gain = np.exp(np.float32(-2 * np.pi**2) * power)
    return np.fft.irfft2(np.fft.rfft2(noise) * gain, s=noise.shape).astype(np.float32)
