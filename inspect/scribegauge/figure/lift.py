"""Side lines that follow from several photos together, the face's height being found with them.

Every photo puts a line somewhere; how far aside and how much turned is told in millimetres at the
line's middle and at its end. The most probable lines are linear in these (best linear unbiased
estimate, with the correlations of all that several lines or photos share), so that whatever moves
a photo's lines can be followed to the joined ones.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Lift:
    """How n joined lines follow from those of P photos.

    Attributes
    ----------
    lines_mm : ndarray, shape (n, 2, 2), float64
        The joined lines; NaN where no photo shows one.
    anchors_mm : ndarray, shape (P, n, 2, 2), float64
        Each photo's lines, at the joined lines' ends.
    across : ndarray, shape (n, 2), float64
        Unit normals of the joined lines.
    follows : ndarray, shape (2n, 2nP), float64
        Joined middles and ends (side by side for each line) by those of each photo in turn.
    fits, optics : ndarray, shape (2n, 2n), float64
        Covariance of the joined lines' middles [mm] and turns [mm at an end] from what each photo's
        lines were uncertain by.
    loose : ndarray, shape (3,), float64
        What was left open of the face's height and slopes beyond what was given, where the photos
        contradict that.
    """

    lines_mm: Array
    anchors_mm: Array
    across: Array
    follows: Array
    fits: Array
    optics: Array
    loose: Array

    def follow(self, anchors_mm: Array) -> Array:
        """Return joined lines (..., n, 2, 2) for other anchors (P, ..., n, 2, 2)."""
        trials = (1,) * (anchors_mm.ndim - self.anchors_mm.ndim)
        shape = self.anchors_mm.shape
        change = anchors_mm - self.anchors_mm.reshape(shape[0], *trials, *shape[1:])
        aside = np.nan_to_num(asides(change, self.across))
        count = 2 * shape[1]
        photos = np.moveaxis(aside.reshape(*aside.shape[:-2], count), 0, -2)
        joined = photos.reshape(*photos.shape[:-2], -1) @ self.follows.T
        return shifted(self.lines_mm, self.across, joined.reshape(*joined.shape[:-1], -1, 2))


def asides(ends_mm: Array, across: Array) -> Array:
    """Return how far lines (..., n, 2, 2) lie aside: (..., n, 2) at the middle, and more at the end.

    Parameters
    ----------
    ends_mm : ndarray, shape (..., n, 2, 2)
        Away from where they are compared with.
    across : ndarray, shape (n, 2)
        Directions that count.
    """
    off = (ends_mm * across[:, None, :]).sum(axis=-1)
    return np.stack([off.mean(axis=-1), (off[..., 1] - off[..., 0]) / 2], axis=-1)


def shifted(lines_mm: Array, across: Array, aside_mm: Array) -> Array:
    """Return lines (..., n, 2, 2) moved aside by (..., n, 2) at the middle, and more at the end."""
    middle, end = aside_mm[..., 0], aside_mm[..., 1]
    off = np.stack([middle - end, middle + end], axis=-1)
    return np.asarray(lines_mm + off[..., None] * across[:, None, :])
