"""Corners of the ring in a picture: refined, then only those that belong to the flat sheet."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribetarget.saddle import Saddles, refine_saddles, settled
from scribetarget.spec import TargetSpec, corner_positions_mm
from scribetarget.warp import Warp, fit_warp

MIN_CORNERS = 12  # as many again as homography and lens have unknowns, per axis
_MARGIN_PX = 8.0  # a window must be able to see both edges
MIN_CONTRAST = 20.0  # grey levels; a dozen times the noise of a phone picture in room light
# Ink over paper stays the same however a sheet is lit; a corner half covered or under glare has
# less contrast for its brightness than the others.
_CONTRAST_SHARE = 0.7
_RESIDUAL_RATIO = 2.5  # of the usual misfit: a finger's or shadow's edge crosses the window
_MOVE_SHARE = 0.2  # of a square: farther from its place is another feature
_OUTLIER_SIGMAS = 4.5
# Window fits of noise-free drawings are 0.003 to 0.005 px off (RMS), 0.010 where edges run along the
# pixel grid and blur is 2 px.
_MODEL_FLOOR_PX = 0.005
_ENOUGH_SPARE = 40  # degrees of freedom that make the scatter about the sheet's map a fair judge


@dataclass(frozen=True, slots=True)
class SeenCorners:
    """Every corner that the picture should show.

    Attributes
    ----------
    ids : ndarray, shape (N,), int64
    saddles : Saddles
        In the same order.
    kept : ndarray, shape (N,), bool
        True for corners that look right and belong to the flat sheet.
    sigma_px : ndarray, shape (N,), float64
        Standard uncertainty, from the window's noise and the scatter about the sheet's map.
    """

    ids: NDArray[np.int64]
    saddles: Saddles
    kept: NDArray[np.bool_]
    sigma_px: NDArray[np.float64]


def see_corners(grey: NDArray[np.uint8], spec: TargetSpec, warp: Warp) -> SeenCorners:
    """Refine every corner in the picture and mark those that belong to the flat sheet.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    spec : TargetSpec
    warp : Warp
        Where the sheet is, good to 2 px.
    """
    ids = np.array(spec.corner_ids, dtype=np.int64)
    places_mm = corner_positions_mm(spec, ids)
    inside = inside_picture(warp.to_picture_px(places_mm), grey.shape[:2])
    ids, places_mm = ids[inside], places_mm[inside]
    guesses = warp.to_picture_px(places_mm)
    axes = warp.axes_px(places_mm, spec.square_mm)
    cells = np.rint(places_mm / spec.square_mm).astype(np.int64)
    saddles = refine_saddles(grey, guesses, axes, cells.sum(axis=1) % 2 == 0)
    squares_px = np.sqrt(np.abs(np.linalg.det(axes)))
    good = _look_right(saddles, np.linalg.norm(saddles.corners_px - guesses, axis=1), squares_px)
    kept, gain = _keep_flat(saddles, good, places_mm, grey.shape[:2])
    return SeenCorners(ids, saddles, kept, gain * np.hypot(saddles.sigma_px, _MODEL_FLOOR_PX))


def _look_right(
    saddles: Saddles, moved_px: NDArray[np.float64], squares_px: NDArray[np.float64]
) -> NDArray[np.bool_]:
    relative = saddles.contrast / np.maximum(saddles.mean_level, 1.0)
    usual_residual = float(np.median(saddles.residual))
    right: NDArray[np.bool_] = (
        (saddles.contrast > MIN_CONTRAST)
        & (relative > _CONTRAST_SHARE * float(np.median(relative)))
        & (saddles.residual < _RESIDUAL_RATIO * usual_residual)
        & settled(saddles)
        & (moved_px < _MOVE_SHARE * squares_px)
    )
    return right


def _keep_flat(
    saddles: Saddles,
    good: NDArray[np.bool_],
    places_mm: NDArray[np.float64],
    shape: tuple[int, int],
) -> tuple[NDArray[np.bool_], float]:
    """Drop corners off the sheet's map one at a time; return the rest and the scatter's gain.

    Noise in one window does not show what all pixels of an edge share (the colour filter's
    phase on an edge along the grid, a ripple of the paper); the scatter about the map does.
    """
    kept = good.copy()
    sigma = np.hypot(saddles.sigma_px, _MODEL_FLOOR_PX)
    gain = 1.0
    while (spare := 2 * int(kept.sum()) - 15) > 2 * MIN_CORNERS - 15:
        warp = fit_warp(places_mm[kept], saddles.corners_px[kept], sigma[kept], shape)
        off = np.linalg.norm(saddles.corners_px - warp.to_picture_px(places_mm), axis=1) / sigma
        # The median of a Rayleigh distribution is 1.18 sigma; losing freedom narrows it.
        usual = float(np.median(off[kept])) / 1.18 * np.sqrt(2 * kept.sum() / spare)
        worst = int(np.argmax(np.where(kept, off, 0.0)))
        if off[worst] <= _OUTLIER_SIGMAS * max(usual, 1.0):
            scatter = float(np.sqrt((off[kept] ** 2).sum() / spare))
            gain = scatter if spare >= _ENOUGH_SPARE else max(scatter, 1.0)
            break
        kept[worst] = False
    return kept, gain


def inside_picture(places_px: NDArray[np.float64], shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Return which places, shape (N, 2) [px], are far enough inside to be refined."""
    limit = np.array([shape[1], shape[0]]) - 1 - _MARGIN_PX
    within = (places_px > _MARGIN_PX) & (places_px < limit)
    return np.asarray(within.all(axis=1), dtype=np.bool_)
