"""What is wrong with lens or sheet is wrong in every photo: one cause in several views at once."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scribetarget.camera import Camera
from scribetarget.camerafit import half_turned
from scribetarget.view import View

Array = NDArray[np.float64]

# Causes that are the same in all photos of one plate.
SHARED = ("bars", "caliper", "climate", "lens", "focal", "sheet")
OF_THE_LENS = ("lens", "focal")
# Principal point and tangential distortion change sign in a picture turned by half a turn.
HALF_TURN = np.array([1.0, 1, -1, -1, 1, 1, -1, -1, 1])


def joint_covariance(cause: str, views: Sequence[View]) -> Array:
    """Return how one cause moves the views of all photos together.

    Parameters
    ----------
    cause : str
        A name of `View.parts`.
    views : sequence of View, length P

    Returns
    -------
    ndarray, shape (17 P, 17 P)
        Covariance of all views' parameters; what a view's part holds beyond its root is that
        photo's own. Where it is not known how photos share a cause, P times each part: it bounds
        the square of any sum (Cauchy and Schwarz) and is exact where photos contribute alike.
    """
    roots = _roots(cause, views)
    if roots is None:
        together = len(views) if cause in SHARED else 1
        return _apart([together * view.parts[cause] for view in views])
    own = [view.parts[cause] - root @ root.T for view, root in zip(views, roots, strict=True)]
    shared = np.concatenate(roots)
    return np.asarray(shared @ shared.T + _apart(own))


def _apart(parts: Sequence[Array]) -> Array:
    """Return covariances of independent groups along the diagonal."""
    size = len(parts[0])
    joint = np.zeros((size * len(parts), size * len(parts)))
    for photo, part in enumerate(parts):
        at = slice(size * photo, size * (photo + 1))
        joint[at, at] = part
    return joint


def _roots(cause: str, views: Sequence[View]) -> list[Array] | None:
    """Return how each view moves with the same inputs, or None where that is not known."""
    roots = [view.roots[cause] for view in views if cause in view.roots]
    if len(roots) < len(views) or len({root.shape for root in roots}) > 1:
        return None
    if cause not in OF_THE_LENS:
        return roots
    turns = [_turn_between(views[0].camera, view.camera) for view in views]
    known = [turn for turn in turns if turn is not None]
    if len(known) < len(turns):
        return None
    # A guessed camera is turned with its picture: all of its signs are +1.
    inputs = roots[0].shape[1]
    return [
        root * (turn if inputs == len(turn) else 1.0)
        for root, turn in zip(roots, known, strict=True)
    ]


def _turn_between(first: Camera, other: Camera) -> Array | None:
    """Return the signs (9,) that take one photo's lens errors to another's; None: another lens."""
    if (first.source, first.name) != (other.source, other.name):
        return None
    if _alike(first, other):
        return np.ones(9)
    if first.source == "profile" and _alike(half_turned(first), other):
        return HALF_TURN
    return None


def _alike(first: Camera, other: Camera) -> bool:
    same_size = (first.width_px, first.height_px) == (other.width_px, other.height_px)
    return same_size and bool(np.allclose(first.values, other.values, rtol=1e-9, atol=1e-12))
