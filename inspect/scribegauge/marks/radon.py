"""Sums along every straight line of a picture, strip by strip: the fast discrete Radon transform."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray


def strip_sums(
    image: NDArray[np.float32], levels: int, first: int
) -> Iterator[NDArray[np.float32]]:
    """Sum the picture along all near-horizontal falling lines within strips of columns.

    Parameters
    ----------
    image : ndarray, shape (H, W), float32
        W must be a multiple of ``2 ** levels``.
    levels : int
        The last strips are ``2 ** levels`` columns wide.
    first : int
        Yield the sums of every level from this one on, strips of ``2 ** first`` columns first.

    Yields
    ------
    ndarray, shape (W / 2**level, 2**level, H), float32
        Element ``[j, s, y]`` is the sum over strip j along the digital line that enters its first
        column at row y and leaves its last column at row ``y + s``; rows below the picture
        count as zero.

    References
    ----------
    M. L. Brady, A fast discrete approximation algorithm for the Radon transform, SIAM J. Comput.
    27 (1998) 107-119, doi:10.1137/S0097539793256673.
    """
    width = image.shape[1]
    if width % (1 << levels):
        msg = f"width {width} is not a multiple of {1 << levels}"
        raise ValueError(msg)
    sums = np.ascontiguousarray(image.T)[:, None, :]
    for level in range(1, levels + 1):
        sums = _join_pairs(sums)
        if level >= first:
            yield sums


def _join_pairs(sums: NDArray[np.float32]) -> NDArray[np.float32]:
    """Join each pair of neighbouring strips into one of twice the width."""
    strips, slopes, height = sums.shape
    left, right = sums[0::2], sums[1::2]
    joined = np.zeros((strips // 2, 2 * slopes, height), np.float32)
    for slope in range(2 * slopes):
        drop = (slope + 1) // 2
        joined[:, slope] = left[:, slope // 2]
        if drop < height:
            joined[:, slope, : height - drop] += right[:, slope // 2, drop:]
    return joined
