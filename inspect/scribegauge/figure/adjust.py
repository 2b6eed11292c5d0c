"""Lines, face and motions by generalised least squares from the places of lines in all photos."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.accounts import (
    LEAST_MM2,
    LIFTED,
    MOVED,
    OTHER_STROKE_MM,
    WRONG_HEIGHT,
    Account,
)
from scribegauge.figure.parallax import Parallax

Array = NDArray[np.float64]

PLANE_SIZE = 3
# What each account leaves open of the plane beyond what was given.
LOOSE = {"height": WRONG_HEIGHT, "tilt": LIFTED}
NOTHING = np.zeros(PLANE_SIZE)


@dataclass(frozen=True, slots=True)
class Adjustment:
    """The most probable lines, face and motions.

    Attributes
    ----------
    change : ndarray, shape (3 P,)
        Of the plane's height (along z) and slopes, then shift and turn of each later photo's plate.
    u_plane : ndarray, shape (3,)
        Standard uncertainty of height and slopes.
    follows : ndarray, shape (2n, 2nP)
        How lines follow from each photo's, as in `scribegauge.figure.lift.Lift`.
    moved_mm : ndarray, shape (2nP,)
        How far plane and motions move the places of each photo's lines.
    optics : ndarray, shape (2nP, 2nP)
        Covariance of the places from the light and from other strokes at disputed sides.
    """

    change: Array
    u_plane: Array
    follows: Array
    moved_mm: Array
    optics: Array


def adjust(scene: Parallax, account: Account, optics: Array) -> Adjustment:
    """Solve for lines, face and motions under one account of the differences.

    Parameters
    ----------
    scene : Parallax
    account : Account
    optics : ndarray, shape (2nP, 2nP)
        Covariance of the places from the light.
    """
    another = np.diag(scene.at_sides(account.disputed, OTHER_STROKE_MM**2))
    first = _solve(scene, account, optics + another)
    spread = _spread(scene, account, first)
    return _solve(scene, account, optics + np.diag(spread))


def _solve(scene: Parallax, account: Account, optics: Array) -> Adjustment:
    """Find lines X b, plane and motions D t in places = X b - D t + noise, with t about nought."""
    moves = np.concatenate([scene.by_plane, scene.by_motion], axis=1)
    spread = np.zeros(moves.shape[1])
    spread[:PLANE_SIZE] = scene.u_plane**2 + LOOSE.get(account.cause, NOTHING) ** 2
    if account.cause == "moved":
        spread[PLANE_SIZE:] = np.tile(MOVED**2, scene.photos - 1)
    there = scene.there
    noise = scene.by_views + scene.fits + optics + LEAST_MM2 * np.eye(len(there))
    known = (noise + (moves * spread) @ moves.T)[np.ix_(there, there)]
    lines = np.tile(np.eye(2 * len(scene.across)), (scene.photos, 1))[there]
    shown = lines.any(axis=0)
    design = lines[:, shown]
    weighed = np.linalg.solve(known, design)
    by_places = np.linalg.solve(design.T @ weighed, weighed.T)
    follows = np.zeros((2 * len(scene.across), len(there)))
    follows[np.ix_(shown, there)] = by_places
    left = np.eye(len(known)) - design @ by_places
    pull = (moves[there] * spread).T @ np.linalg.solve(known, left)
    change = -pull @ scene.asides_mm[there]
    covariance = np.diag(spread) - pull @ moves[there] * spread
    u_plane = np.sqrt(np.maximum(np.diag(covariance)[:PLANE_SIZE], 0.0))
    return Adjustment(change, u_plane, follows, moves @ change, optics)


def apart(scene: Parallax, found: Adjustment) -> Array:
    """Return places (P, n, 2) once plane and motions are allowed for; NaN where unseen."""
    places = np.where(scene.there, scene.asides_mm + found.moved_mm, np.nan)
    return places.reshape(scene.photos, -1, 2)


def _spread(scene: Parallax, account: Account, found: Adjustment) -> Array:
    """Return the variance (2nP,) of disputed sides' places by how far photos put them apart."""
    variances = np.zeros((len(scene.across), 2))
    for side in account.disputed:
        variances[side] = np.nanvar(apart(scene, found)[:, side], axis=0, ddof=1)
    return np.tile(variances.ravel(), scene.photos)
