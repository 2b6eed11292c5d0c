"""How uncertain a figure's side lines are by themselves, from one photo or from several."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.figure.lift import Lift
from scribegauge.figure.lineerrors import alike
from scribegauge.figure.lines import normals

Matrix = NDArray[np.float64]

# Of a line that was not seen, which has no share in anything.
NO_LINE = np.array([[0.0, 0.0], [1.0, 0.0]])


def line_covariances(fit: FigureFit) -> tuple[Matrix, Matrix]:
    """Return covariances of the lines' offsets [mm] and turns [rad] from the fits and the optics.

    Parameters
    ----------
    fit : FigureFit

    Returns
    -------
    two of ndarray, shape (2n, 2n)
        Offset and turn of each line as `scribegauge.figure.lines.moved` takes them.
    """
    lift = fit.merged.lift
    return _by_one_photo(fit) if lift is None else _by_several(fit, lift)


def _by_several(fit: FigureFit, lift: Lift) -> tuple[Matrix, Matrix]:
    """Turn what is known at middle and end [mm] into offset and turn of the figure's own lines."""
    lines = np.where(np.isnan(fit.lines_mm), NO_LINE, fit.lines_mm)
    half = np.hypot(*(lines[:, 1] - lines[:, 0]).T) / 2
    way = np.sign((normals(lines) * lift.across).sum(axis=1))
    size = np.column_stack([way, 1 / half]).ravel()
    both = np.outer(size, size)
    return lift.fits * both, lift.optics * both


def _by_one_photo(fit: FigureFit) -> tuple[Matrix, Matrix]:
    n = len(fit.merged.lines)
    fits, turns, offsets = np.zeros((2 * n, 2 * n)), np.zeros(n), np.zeros(n)
    for side, line in enumerate(fit.merged.lines):
        if line is not None:
            at = slice(2 * side, 2 * side + 2)
            fits[at, at] = line.covariance
            length = float(np.hypot(*(line.ends_mm[1] - line.ends_mm[0])))
            turns[side] = line.u_optics_turn_mm / (length / 2)
            offsets[side] = line.u_optics_mm
    across = normals(np.where(np.isnan(fit.lines_mm), NO_LINE, fit.lines_mm))
    together = alike([None if line is None else line.look for line in fit.merged.lines], across)
    optics = np.zeros((2 * n, 2 * n))
    optics[0::2, 0::2] = together * np.outer(offsets, offsets)
    optics[1::2, 1::2] = np.diag(turns**2)
    return fits, optics
