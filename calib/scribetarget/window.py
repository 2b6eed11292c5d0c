"""Which pixels round a chessboard corner tell where it is."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

QUIET_SQUARE = 0.125  # white border between a marker and the edge of its square, in squares
_REACH_SQUARE = 0.42  # window half-width: just clear of the next corner's influence


@dataclass(frozen=True, slots=True)
class Scene:
    """What does not change from step to step.

    Attributes
    ----------
    grey : ndarray, shape (H, W), uint8
    across : ndarray, shape (N, 2), float64
        Pixels per square across each of the two edges.
    dark_ahead : ndarray, shape (N,), bool
        True where the square towards +x, +y of the sheet is ink.
    reach_px : float
        Half-width of the windows, where the squares are large enough.
    """

    grey: NDArray[np.uint8]
    across: Array
    dark_ahead: NDArray[np.bool_]
    reach_px: float


@dataclass(frozen=True, slots=True)
class Windows:
    """Pixels used for each corner, padded to P with weight 0.

    Attributes
    ----------
    base_px : ndarray, shape (N, 2), float64
        The whole pixel next to each corner.
    x, y, weight, grey : ndarray, shape (N, P), float64
        Place in the picture [px], weight 0 to 1, grey level.
    reach : ndarray, shape (N, 1), float64
        Half-width of each window [px].
    """

    base_px: Array
    x: Array
    y: Array
    weight: Array
    grey: Array
    reach: Array


def cut_windows(scene: Scene, state: Array) -> Windows:
    """Choose the pixels near the two edges, clear of the markers, and fetch their grey levels.

    Parameters
    ----------
    scene : Scene
    state : ndarray, shape (N, 6 or more), float64
        Place (x, y) [px], directions across the two edges [rad], their blur [px].
    """
    grey, across = scene.grey, scene.across
    reach = np.minimum(scene.reach_px, _REACH_SQUARE * across.min(axis=1))
    base = np.rint(state[:, 0:2])
    half = math.ceil(float(reach.max()) * math.sqrt(2)) + 1
    offsets = np.arange(-half, half + 1, dtype=np.float64)
    dx, dy = (part.reshape(1, -1) for part in np.meshgrid(offsets, offsets))
    x, y = base[:, :1] + dx, base[:, 1:] + dy
    first, second = _distances(state, x, y)
    blur = state[:, 4:6].max(axis=1)
    band = 3.0 * blur + 1.5
    weight = _within(first, reach) * _within(second, reach)
    weight *= np.maximum(_within(first, band), _within(second, band))
    # The marker's own border is black all round and lies point-symmetric about the corner: a
    # trace of it does no harm when blur is as wide as the quiet border.
    quiet = np.maximum(QUIET_SQUARE * across - 2 * blur[:, None], QUIET_SQUARE / 2 * across)
    clear = np.maximum(_within(first, quiet[:, 0]), _within(second, quiet[:, 1]))
    weight *= np.where((first * second > 0) == scene.dark_ahead[:, None], 1.0, clear)
    height, width = grey.shape
    weight *= (x >= 0) & (x < width) & (y >= 0) & (y < height)
    used = int((weight > 0).sum(axis=1).max())
    chosen = np.argsort(weight <= 0, axis=1, kind="stable")[:, :used]
    x, y, weight = (np.take_along_axis(part, chosen, axis=1) for part in (x, y, weight))
    row = np.clip(y, 0, height - 1).astype(np.intp)
    column = np.clip(x, 0, width - 1).astype(np.intp)
    level = grey[row, column].astype(np.float64)
    return Windows(base, x, y, weight, level, reach[:, None])


def _distances(state: Array, x: Array, y: Array) -> tuple[Array, Array]:
    """Signed distance of pixels from the two edges, (N, P) each [px]."""
    along_x, along_y = x - state[:, :1], y - state[:, 1:2]
    turn = state[:, 2:4]
    first, second = (
        along_x * np.cos(turn[:, edge, None]) + along_y * np.sin(turn[:, edge, None])
        for edge in (0, 1)
    )
    return first, second


def _within(distance: Array, limit: Array) -> Array:
    """1 inside the limit, 0 outside, a ramp of one pixel between."""
    ramp: Array = np.clip(limit[:, None] + 0.5 - np.abs(distance), 0.0, 1.0)
    return ramp
