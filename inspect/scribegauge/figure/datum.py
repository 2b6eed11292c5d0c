"""Lays intended points over measured ones: by best fit or from one side, size fixed or free.

Points are complex numbers (x + iy), so that a turn with a change of size is one factor, and whole
stacks of trials are laid at once.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Complex = NDArray[np.complex128]
# Points that lie on one another have no direction [mm²].
_NO_DIRECTION = 1e-9


@dataclass(frozen=True, slots=True)
class Datum:
    """By what the intended figure is laid.

    Attributes
    ----------
    points : tuple of int
        Those that it is fitted to; with `side` only these two count, and the first one is kept.
    side : bool
    size_free : bool
    turn_rad : float
        How the figure is turned where points that lie on one another cannot tell.
    """

    points: tuple[int, ...]
    side: bool
    size_free: bool
    turn_rad: float = 0.0

    @property
    def determined(self) -> bool:
        """Whether anything is left to be off: one point alone always lies on itself."""
        return len(self.points) > 1

    @property
    def kept(self) -> tuple[int, ...]:
        """Points that lie on themselves, whatever was measured: the side's start, or both ends."""
        if not self.side:
            return ()
        return self.points if self.size_free else self.points[:1]


def factor(intended: Complex, measured: Complex, datum: Datum) -> Complex:
    """Return the turn, and with it the size, that lays intended points over measured ones.

    Parameters
    ----------
    intended : ndarray, shape (N,), complex
    measured : ndarray, shape (..., N), complex
    datum : Datum

    Returns
    -------
    ndarray, shape (...), complex
        Its absolute value is the scale factor, 1 where the size is fixed.

    References
    ----------
    In the plane the least-squares turn is that of sum(conj(p) q), the least-squares similarity
    sum(conj(p) q) / sum(|p|²), both about the means; Umeyama, IEEE PAMI 13 (1991) 376.
    """
    pick = list(datum.points)
    a, b = intended[pick], measured[..., pick]
    if datum.side:
        a, b = a[1:] - a[:1], b[..., 1:] - b[..., :1]
    else:
        a, b = a - a.mean(), b - b.mean(axis=-1, keepdims=True)
    overlap = np.asarray((np.conj(a) * b).sum(axis=-1))
    size = float((np.abs(a) ** 2).sum())
    if size < _NO_DIRECTION:
        return np.full(overlap.shape, np.exp(1j * datum.turn_rad), np.complex128)
    if datum.size_free:
        return np.asarray(overlap / size)
    return np.asarray(overlap / np.abs(overlap))


def laid(intended: Complex, measured: Complex, datum: Datum) -> Complex:
    """Return where the intended points come to lie, shape (..., N); see `factor`."""
    pick = list(datum.points)
    by = factor(intended, measured, datum)[..., None]
    if datum.side:
        return np.asarray(measured[..., pick[:1]] + by * (intended - intended[pick[0]]))
    middle = measured[..., pick].mean(axis=-1, keepdims=True)
    return np.asarray(middle + by * (intended - intended[pick].mean()))
