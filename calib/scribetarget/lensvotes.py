"""What each photo of a set tells of the lens by itself.

A photo alone tells some of the lens well and some hardly at all: an estimate with its information,
as a Gaussian about what was known before. Sets of photos are weighed by adding them up.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribetarget.bundle import Bundle
from scribetarget.camera import Camera

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# What half a turn of the picture mirrors: principal point and tangential terms.
MIRRORS = np.array([1.0, 1, -1, -1, 1, 1, -1, -1, 1])


@dataclass(frozen=True, slots=True)
class LensVotes:
    """What each photo tells of the lens.

    Attributes
    ----------
    known : ndarray, shape (9, 9), float64
        Information before any photo.
    information : ndarray, shape (V, 9, 9), float64
        What each photo adds to it.
    pulls : ndarray, shape (V, 9), float64
        The photo's information and the prior's, times how far it puts the lens from the prior's.
    """

    known: Array
    information: Array
    pulls: Array

    def weight(self, turned: Mask) -> float:
        """Return twice the logarithm of how probable the photos are, but for a constant.

        Only as many photos count as `turned` is long.
        """
        count = len(turned)
        signs = np.where(turned[:, None], MIRRORS, 1.0)
        mirrored = signs[:, :, None] * self.information[:count] * signs[:, None, :]
        pull = (signs * self.pulls[:count]).sum(axis=0)
        return float(pull @ np.linalg.solve(self.known + mirrored.sum(axis=0), pull))

    def quarrel(self, turned: Mask) -> float:
        """Return how far the photos lie apart: chi-square, about nine for each after the first."""
        own = zip(self.pulls, self.information, strict=True)
        alone = sum(float(pull @ np.linalg.solve(self.known + part, pull)) for pull, part in own)
        return max(alone - self.weight(turned), 0.0)

    def without(self, number: int) -> "LensVotes":
        """Return the votes of all photos but one."""
        keep = np.arange(len(self.pulls)) != number
        return LensVotes(self.known, self.information[keep], self.pulls[keep])


def lens_votes(alone: Sequence[Bundle], prior: Camera) -> LensVotes:
    """Take the votes of photos that were each adjusted alone, with that prior."""
    known = np.asarray(np.linalg.inv(prior.covariance), np.float64)
    after = np.array([np.linalg.inv(each.covariance[:9, :9]) for each in alone], np.float64)
    away = np.array([each.lens - prior.values for each in alone])
    return LensVotes(known, after - known, np.asarray(np.einsum("vij,vj->vi", after, away)))
