"""Whether the sheet is shown on a screen: a screen's pixels leave a grid of one pitch in its white.

Paper has no period. The white border round every marker is searched along the sheet's x and y for a
frequency that stands out of the others, the same in all squares and in both directions: the pitch of a
screen's pixels, between 2.5 per millimetre (the coarsest) and what the photo can resolve. Pixels finer
than two and a half pixels of the photo, as phones have, do not show and cannot be told from paper.
"""

import cv2
import numpy as np
from numpy.typing import NDArray

from scribetarget.errors import SightingError
from scribetarget.sighting import Sighting
from scribetarget.spec import TargetSpec, corner_positions_mm, marker_squares
from scribetarget.warp import Warp, fit_warp
from scribetarget.window import QUIET_SQUARE
from scribetarget.wording import say

Array = NDArray[np.float64]

# Along a square's border, clear of the neighbours' ink, and across it, clear of both edges.
_FROM, _TO, _BORDER = 0.06, 0.94, QUIET_SQUARE / 2
_SPREAD = QUIET_SQUARE / 8
_COARSEST_PER_MM = 2.5
# In cycles per pixel; lens and colour filter leave nothing of finer patterns.
_FINEST_PER_PX = 0.4
# Mean power of dozens of strips scatters by a tenth or two about its neighbours; four times as much
# does not come from noise, the less so along x and y at once.
_STANDS_OUT = 4.0
_NEIGHBOURS = 12
# A screen's pixels are square: the pitch along x and along y falls into one bin or the next.
_SAME_BINS = 1
_FEWEST_STRIPS = 16
_SAMPLES = 192


def pitch_mm(
    grey: NDArray[np.uint8], spec: TargetSpec, marker_ids: NDArray[np.int64], warp: Warp
) -> float | None:
    """Return the pitch of a screen's pixels, None when no grid shows.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    spec : TargetSpec
    marker_ids : ndarray, shape (M,), int64
        Markers that were read: their squares are uncovered.
    warp : Warp
        From millimetres as drawn to the picture.

    Returns
    -------
    float or None
        In millimetres as drawn.
    """
    squares = marker_squares(spec, marker_ids).astype(np.float64)
    if 2 * len(squares) < _FEWEST_STRIPS:
        return None
    axes = warp.axes_px((squares + 0.5) * spec.square_mm, spec.square_mm)
    px_per_mm = float(np.sqrt(np.abs(np.linalg.det(axes))).mean()) / spec.square_mm
    finest = _FINEST_PER_PX * px_per_mm
    length_mm = (_TO - _FROM) * spec.square_mm
    per_mm = np.arange(_COARSEST_PER_MM, finest, 0.5 / length_mm)
    if len(per_mm) < 2 * _NEIGHBOURS:
        return None
    heights = [
        _height(_strips(grey, squares, along, spec, warp), length_mm, per_mm) for along in (0, 1)
    ]
    both = np.minimum(*(_neighbourhood(height) for height in heights))
    if both.max() <= _STANDS_OUT:
        return None
    # Within the bins that both directions share, the height itself tells the middle.
    shared = np.where(both > _STANDS_OUT, heights[0] * heights[1], 0.0)
    return 1 / float(per_mm[int(np.argmax(shared))])


def refuse_screen(grey: NDArray[np.uint8], sighting: Sighting) -> None:
    """Raise ``screen_shown`` when the sheet is no paper.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    sighting : Sighting
        What was seen in it.

    Raises
    ------
    SightingError
    """
    spec, shape = sighting.spec, (grey.shape[0], grey.shape[1])
    drawn = corner_positions_mm(spec, sighting.corner_ids)
    warp = fit_warp(drawn, sighting.corners_px, sighting.sigma_px, shape)
    pitch = pitch_mm(grey, spec, sighting.marker_ids, warp)
    if pitch is not None:
        raise SightingError(
            "screen_shown",
            say(
                "The target is shown on a screen, not printed: pixels of {pitch_mm:.2f} mm show in its "
                "white.",
                pitch_mm=pitch,
            ),
            say(
                "Print it and lay the plate on the paper: glass lies between a screen's picture and the "
                "plate, and lifts the plate by an unknown height."
            ),
        )


def _strips(
    grey: NDArray[np.uint8], squares: Array, along: int, spec: TargetSpec, warp: Warp
) -> Array:
    """Return grey levels (K, samples) along both borders of each square, along x (0) or y (1)."""
    run = np.linspace(_FROM, _TO, _SAMPLES)
    parts = []
    for border in (_BORDER, 1 - _BORDER):
        total = np.zeros((len(squares), _SAMPLES))
        for aside in (-_SPREAD, 0.0, _SPREAD):
            place = np.empty((len(squares), _SAMPLES, 2))
            place[..., along] = squares[:, None, along] + run
            place[..., 1 - along] = squares[:, None, 1 - along] + border + aside
            px = warp.to_picture_px(place.reshape(-1, 2) * spec.square_mm)
            x, y = (part.reshape(len(squares), -1).astype(np.float32) for part in px.T)
            total += cv2.remap(grey.astype(np.float32), x, y, cv2.INTER_LINEAR)
        parts.append(total / 3)
    return np.concatenate(parts)


def _height(strips: Array, length_mm: float, per_mm: Array) -> Array:
    """Return mean power at each frequency over the median of its neighbours'."""
    along = np.linspace(-1.0, 1.0, strips.shape[1])
    smooth = np.vander(along, 5)
    rest = strips.T - smooth @ np.linalg.lstsq(smooth, strips.T)[0]
    rest *= np.hanning(len(along))[:, None]
    at_mm = (along + 1) / 2 * length_mm
    waves = np.exp(-2j * np.pi * per_mm[:, None] * at_mm)
    # One strip with a speck in it must not count for many.
    size = rest.std(axis=0)
    power = (np.abs(waves @ (rest / np.maximum(size, 0.1))) ** 2).mean(axis=1)
    padded = np.pad(power, _NEIGHBOURS, mode="reflect")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * _NEIGHBOURS + 1)
    return np.asarray(power / np.maximum(np.median(windows, axis=1), 1e-9))


def _neighbourhood(height: Array) -> Array:
    """Return the largest height within a bin."""
    padded = np.pad(height, _SAME_BINS)
    return np.asarray(
        np.lib.stride_tricks.sliding_window_view(padded, 2 * _SAME_BINS + 1).max(axis=1)
    )
