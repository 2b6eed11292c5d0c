"""One line's surroundings, straightened and set against the metal beside it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.plate.face import Face
from scribegauge.plate.resample import resample, strip_grid

HALF_WIDTH_MM = 0.7
STEP_ACROSS_MM = 0.02
# The groove and its burr lie within this; what lies outside is the metal it is compared with.
GROOVE_REACH_MM = 0.25
# The metal's shade changes over millimetres along the line.
SHADE_MM = 1.0
NOISE_MM = 4.0
LIMIT = 6.0
# A line turned by 0.01 against the strip moves 4 µm within a bin.
BIN_MM = 0.4


@dataclass(frozen=True, slots=True)
class Strip:
    """A straightened strip of the face.

    Attributes
    ----------
    start_mm, end_mm : ndarray, shape (2,), float64
        The line the strip follows.
    u_mm : ndarray, shape (U,), float64
        Distance along it from the start to the middle of each bin of 0.4 mm.
    v_mm : ndarray, shape (V,), float64
        Distance across, positive towards the left normal ``(-dy, dx)``.
    grey : ndarray, shape (V, U), float32
        Mean brightness of each bin minus that of the metal on both sides [grey levels].
    scaled : ndarray, shape (V, U), float32
        The same in units of the single pixel's noise, each pixel limited before the mean so that
        a glint does not outvote the line.
    noise : float
        Typical spread of single pixels of the metal beside the line [grey levels].
    metal_level : float
        Median brightness of the metal beside the line [grey levels].
    """

    start_mm: NDArray[np.float64]
    end_mm: NDArray[np.float64]
    u_mm: NDArray[np.float64]
    v_mm: NDArray[np.float64]
    grey: NDArray[np.float32]
    scaled: NDArray[np.float32]
    noise: float
    metal_level: float


def cut_strip(
    picture: NDArray[np.uint8],
    face: Face,
    start_mm: NDArray[np.float64],
    end_mm: NDArray[np.float64],
    half_width_mm: float = HALF_WIDTH_MM,
) -> Strip:
    """Cut a strip at the photo's own resolution along the line, at 0.02 mm across it.

    Parameters
    ----------
    picture : ndarray, shape (H, W), uint8
    face : Face
    start_mm, end_mm : ndarray, shape (2,), float64
        Plate frame.
    half_width_mm : float
    """
    step_u = 1 / face.scale_px_per_mm
    grid = strip_grid(start_mm, end_mm, half_width_mm, step_u, STEP_ACROSS_MM)
    raw = resample(picture, face, grid)
    v = np.asarray((np.arange(grid.rows) - (grid.rows - 1) / 2) * grid.step_v_mm, np.float64)
    grey = np.asarray(raw - _metal_shade(raw, v, SHADE_MM / step_u), np.float32)
    beside = np.abs(v) > GROOVE_REACH_MM
    level = np.median(np.abs(grey[beside]), axis=0)
    smooth = cv2.blur(level[None, :], (_odd(NOISE_MM / step_u), 1), borderType=cv2.BORDER_REFLECT)
    # A quarter grey level: rounding alone leaves 0.29.
    noise = np.maximum(1.4826 * smooth[0], 0.25)
    scaled = np.clip(grey / noise, -LIMIT, LIMIT)
    count = max(2, round(grid.columns * step_u / BIN_MM))
    edges = np.round(np.linspace(0, grid.columns, count + 1)).astype(np.intp)
    return Strip(
        start_mm=start_mm,
        end_mm=end_mm,
        u_mm=((edges[1:] + edges[:-1] - 1) / 2) * step_u,
        v_mm=v,
        grey=_bin_means(grey, edges),
        scaled=_bin_means(scaled, edges),
        noise=float(np.median(noise)),
        metal_level=float(np.median(raw[beside])),
    )


def _bin_means(picture: NDArray[np.float32], edges: NDArray[np.intp]) -> NDArray[np.float32]:
    """Average columns between edges."""
    sums = np.add.reduceat(picture, edges[:-1], axis=1)
    return np.asarray(sums / np.diff(edges), np.float32)


def _metal_shade(
    raw: NDArray[np.float32], v_mm: NDArray[np.float64], length: float
) -> NDArray[np.float32]:
    """Return the shade of bare metal under the line from the medians on both sides."""
    sides = []
    for side in (-1, 1):
        flank = (side * v_mm > GROOVE_REACH_MM) & (side * v_mm < HALF_WIDTH_MM + 0.01)
        level = np.median(raw[flank], axis=0)[None, :].astype(np.float32)
        sides.append(cv2.blur(level, (_odd(length), 1), borderType=cv2.BORDER_REFLECT)[0])
    middle = (GROOVE_REACH_MM + min(HALF_WIDTH_MM, float(v_mm[-1]))) / 2
    weight = (v_mm / middle + 1)[:, None] / 2
    return np.asarray(sides[0] * (1 - weight) + sides[1] * weight, np.float32)


def _odd(length: float) -> int:
    """Return the odd whole number at or above a length."""
    return 2 * int(length / 2) + 1
