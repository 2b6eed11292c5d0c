"""Which way a picture is smeared: evenly, as out of focus, or along one direction, as moved.

Both edges of a chessboard corner have a blur across them, and a smear aslant to both adds what
neither edge shows: it draws ink together, or paper, depending on which pair of squares lies along it.
With u and v the distances from the two edges over their blurs and r the correlation of the point
spread in them, the corner is ``sign(u) sign(v)`` seen through a normal distribution,
``4 P(u, v; r) - 2 P(u) - 2 P(v) + 1``; at its middle that is ``(2 / pi) asin r`` (W. F. Sheppard,
Phil. Trans. R. Soc. A 192 (1899) 101-167), and near it ``4 p(u) p(v) r`` more than without.
Ink that spread, or a tone curve, darken or brighten all corners alike; a smear does the one to half of
them and the other to the rest.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import erf

from scribetarget.saddle import Saddles

Array = NDArray[np.float64]

# Half-width of the patch at the corner, in blurs, and samples across it: the bump is gone by there.
_REACH, _ACROSS = 2.5, 11
# Above this the direction along the smear is so much wider that the rest tells nothing.
_MOST_ALIKE = 0.98


@dataclass(frozen=True, slots=True)
class Smear:
    """The picture's point spread as an ellipse (standard deviations), pixel aperture included.

    Attributes
    ----------
    along_px, across_px : float
        Along its long axis and across it.
    direction_rad : float
        Of the long axis in the picture, atan2(y, x), 0 to pi.
    """

    along_px: float
    across_px: float
    direction_rad: float

    @property
    def path_px(self) -> float:
        """Length of an even movement that makes the one of the other: its variance is L² / 12."""
        return float(np.sqrt(12 * max(self.along_px**2 - self.across_px**2, 0.0)))


def find_smear(
    grey: NDArray[np.uint8], saddles: Saddles, kept: NDArray[np.bool_], axes_px: Array
) -> Smear:
    """Work out the point spread from all corners together.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    saddles : Saddles
        Corners found.
    kept : ndarray, shape (N,), bool
        Which of them to use, at least one.
    axes_px : ndarray, shape (N, 2, 2), float64
        Columns: one square along the sheet's x and y, as seen there [px].

    Returns
    -------
    Smear
    """
    inverse = np.linalg.inv(axes_px[kept])
    normals = inverse / np.linalg.norm(inverse, axis=2, keepdims=True)  # rows: across each edge
    blur = saddles.edge_blur_px[kept]
    alike = _correlations(grey, saddles, kept, normals)
    # Over the ring the lens's own unevenness points everywhere; one movement points one way.
    spread = np.empty((len(blur), 2, 2))
    spread[:, [0, 1], [0, 1]] = blur**2
    spread[:, [0, 1], [1, 0]] = (alike * blur.prod(axis=1))[:, None]
    back = np.linalg.inv(normals)
    ellipse = np.median(back @ spread @ back.swapaxes(1, 2), axis=0)
    sizes, axes = np.linalg.eigh(ellipse)
    across, along = np.sqrt(np.maximum(sizes, 0.0))
    return Smear(float(along), float(across), float(np.arctan2(axes[1, 1], axes[0, 1]) % np.pi))


def _correlations(
    grey: NDArray[np.uint8], saddles: Saddles, kept: NDArray[np.bool_], normals: Array
) -> Array:
    """Return the correlation (K,) of the point spread in the two edges' distances."""
    corners, blur = saddles.corners_px[kept], saddles.edge_blur_px[kept]
    ticks = np.linspace(-_REACH, _REACH, _ACROSS)
    u, v = (part.ravel() for part in np.meshgrid(ticks, ticks))
    apart = np.stack([u, v])[None] * blur[:, :, None]  # (K, 2, P) px across each edge
    places = (np.linalg.inv(normals) @ apart + corners[:, :, None]).astype(np.float32)
    level = cv2.remap(grey, places[:, 0], places[:, 1], cv2.INTER_LINEAR).astype(np.float64)
    dark_ahead = saddles.dark_ahead[kept]
    turn = np.where(dark_ahead, -1.0, 1.0)[:, None]
    half = np.maximum(saddles.contrast[kept], 1.0)[:, None] / 2
    seen = (level - saddles.mean_level[kept][:, None]) / half * turn
    cross = _profile(u) * _profile(v)
    bump = 4 * _density(u) * _density(v)
    shapes = np.column_stack([np.ones_like(cross), cross, u, v, 1 - cross**2, bump])
    height = np.linalg.lstsq(shapes, seen.T)[0][-1]
    # What is common to both kinds of corner is ink or tone, not smear.
    if dark_ahead.any() and not dark_ahead.all():
        ink = (np.median(height[dark_ahead]) - np.median(height[~dark_ahead])) / 2
        height = height - np.where(dark_ahead, ink, -ink)
    centre = np.clip(height * bump.max(), -1.0, 1.0)
    return np.asarray(np.clip(np.sin(np.pi / 2 * centre), -_MOST_ALIKE, _MOST_ALIKE))


def _profile(z: Array) -> Array:
    """Return an edge from -1 to 1 through a normal blur: erf(z / sqrt 2)."""
    return np.asarray(erf(z / np.sqrt(2)))


def _density(z: Array) -> Array:
    return np.asarray(np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi))
