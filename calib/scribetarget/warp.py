"""A flat sheet seen through a lens that is not known yet: a homography, then a gentle bend.

Good to a few hundredths of a pixel over a whole photo, so it predicts where an unread corner
must be and shows which corner does not belong to the sheet. It is no camera: focal length and
pose stay mixed in the homography.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

# Spread allowed for the lens, lengths in half diagonals of the picture: radial terms in r2, r4,
# r6 and two tangential terms (phone lenses bend straight lines by a few per cent), and the place
# of the lens's axis (within a few hundredths of the sensor's middle).
_LENS_PRIOR = np.array([0.1, 0.1, 0.1, 0.003, 0.003, 0.01, 0.01])
_ROUNDS = 5
_NUDGE = 1e-6


@dataclass(frozen=True, slots=True)
class Warp:
    """Map from the sheet (millimetres as drawn) to the picture (pixels).

    Attributes
    ----------
    matrix : ndarray, shape (3, 3), float64
        Sheet to straight-lined picture, from the lens's axis, in half diagonals.
    lens : ndarray, shape (7,), float64
        Radial terms in r2, r4, r6, two tangential terms, and the lens's axis from the picture's
        middle in half diagonals.
    middle_px : ndarray, shape (2,), float64
        The picture's middle.
    half_diagonal_px : float
        From the middle to the picture's corner.
    """

    matrix: NDArray[np.float64]
    lens: NDArray[np.float64]
    middle_px: NDArray[np.float64]
    half_diagonal_px: float

    def to_picture_px(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return where points of the sheet, shape (N, 2) [mm], are in the picture, (N, 2) [px]."""
        return self.middle_px + _bent(self.matrix, self.lens, points_mm) * self.half_diagonal_px

    def axes_px(self, points_mm: NDArray[np.float64], step_mm: float) -> NDArray[np.float64]:
        """Return how the picture moves per `step_mm` along x and y: (N, 2, 2), one column each."""
        columns = [
            self.to_picture_px(points_mm + shift) - self.to_picture_px(points_mm - shift)
            for shift in np.eye(2) * step_mm / 2
        ]
        return np.stack(columns, axis=2)


def fit_warp(
    points_mm: NDArray[np.float64],
    points_px: NDArray[np.float64],
    sigma_px: NDArray[np.float64],
    shape: tuple[int, int],
) -> Warp:
    """Fit the map to points seen in a picture by weighted least squares.

    Parameters
    ----------
    points_mm, points_px : ndarray, shape (N, 2), float64
        The same points on the sheet as drawn and in the picture, N >= 4.
    sigma_px : ndarray, shape (N,), float64
        Standard uncertainty of each seen point.
    shape : (int, int)
        Height and width of the picture.

    Returns
    -------
    Warp
        Where the points do not show the lens, a prior holds its terms near nothing.
    """
    middle = (np.array([shape[1], shape[0]]) - 1) / 2
    half_diagonal = float(np.hypot(*middle))
    seen = (points_px - middle) / half_diagonal
    # Centred and scaled sheet coordinates keep the ninth matrix element away from zero.
    origin, unit = points_mm.mean(axis=0), float(np.ptp(points_mm))
    sheet = (points_mm - origin) / unit
    start, _ = cv2.findHomography(sheet, seen, 0)
    state = np.concatenate([start.reshape(-1)[:8] / start[2, 2], np.zeros(7)])
    weight = np.repeat(half_diagonal / sigma_px, 2)
    for _ in range(_ROUNDS):
        residual = seen.reshape(-1) - _predict(state, sheet)
        slopes = [_predict(state + nudge, sheet) for nudge in np.eye(15) * _NUDGE]
        jacobian = (np.stack(slopes, axis=1) - _predict(state, sheet)[:, None]) / _NUDGE
        rows = np.vstack([jacobian * weight[:, None], np.eye(15)[8:] / _LENS_PRIOR[:, None]])
        aim = np.concatenate([residual * weight, -state[8:] / _LENS_PRIOR])
        state = state + np.linalg.lstsq(rows, aim)[0]
    centring = np.array([[1, 0, -origin[0]], [0, 1, -origin[1]], [0, 0, unit]]) / unit
    return Warp(_matrix(state) @ centring, state[8:], middle, half_diagonal)


def _matrix(state: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.append(state[:8], 1.0).reshape(3, 3)


def _predict(state: NDArray[np.float64], sheet: NDArray[np.float64]) -> NDArray[np.float64]:
    return _bent(_matrix(state), state[8:], sheet).reshape(-1)


def _bent(
    matrix: NDArray[np.float64], lens: NDArray[np.float64], points: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Project and bend points, (N, 2); Brown's lens model."""
    flat = points @ matrix[:, :2].T + matrix[:, 2]
    x, y = (flat[:, :2] / flat[:, 2:]).T
    r2 = x * x + y * y
    swell = 1 + r2 * (lens[0] + r2 * (lens[1] + r2 * lens[2]))
    bent_x = x * swell + 2 * lens[3] * x * y + lens[4] * (r2 + 2 * x * x) + lens[5]
    bent_y = y * swell + lens[3] * (r2 + 2 * y * y) + 2 * lens[4] * x * y + lens[6]
    return np.column_stack([bent_x, bent_y])
