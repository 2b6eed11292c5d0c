"""The plate's face, straightened and freed of shading: each pixel against the metal beside it."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.plate.face import Face
from scribegauge.plate.resample import Grid, resample

# A groove is at least 0.05 mm wide and lens and pixels blur it to about 0.1 mm: 12 samples per
# millimetre keep all of it.
SAMPLES_PER_MM = 12.0
# Shading and reflections change over millimetres, grooves over tenths.
SHADING_MM = 0.5
NOISE_REGION_MM = 3.0
# The plate's own edge and burr are no marks; the outline is good to two of its samples (0.5 mm).
EDGE_MARGIN_MM = 0.9
# Beyond this many noise units a brighter pixel says no more: glints must not outvote the line.
LIMIT = 4.0


@dataclass(frozen=True, slots=True)
class Metal:
    """The face in noise units.

    Attributes
    ----------
    deviation : ndarray, shape (H, W), float32
        Brightness minus that of the metal around, over its local spread; 0 outside the mask.
    mask : ndarray, shape (H, W), float32
        1 on the face, 0 outside and near the plate's edge.
    grid : Grid
        Where the samples lie on the plate; columns along x, rows along y.
    """

    deviation: NDArray[np.float32]
    mask: NDArray[np.float32]
    grid: Grid

    def plate_from_sample(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take sample places (N, 2) (column, row) to plate points (N, 2) [mm]."""
        return self.grid.origin_mm + np.asarray(points, np.float64) * self.grid.step_u_mm


def look_at_metal(grey: NDArray[np.uint8], face: Face) -> Metal:
    """Resample the face at its useful resolution and take shading and contrast out.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    """
    step = 1 / SAMPLES_PER_MM
    low = face.outline_mm.min(axis=0)
    columns, rows = (np.ceil((face.outline_mm.max(axis=0) - low) / step)).astype(int) + 1
    grid = Grid(low, np.array([1.0, 0.0]), np.array([0.0, 1.0]), step, step, columns, rows)
    picture = resample(grey, face, grid)
    mask = np.zeros((rows, columns), np.uint8)
    cv2.fillPoly(mask, [np.round((face.outline_mm - low) / step).astype(np.int32)], 1)
    reach = round(EDGE_MARGIN_MM / step)
    mask = cv2.erode(np.pad(mask, 1), np.ones((2 * reach + 1, 2 * reach + 1), np.uint8))[1:-1, 1:-1]
    inside = mask.astype(np.float32)
    return Metal(in_noise_units(picture, inside), inside, grid)


def in_noise_units(
    picture: NDArray[np.float32], inside: NDArray[np.float32]
) -> NDArray[np.float32]:
    """Take shading and contrast out of a part of the face, as if there were nothing else.

    Parameters
    ----------
    picture : ndarray, shape (H, W), float32
        Grey levels, 12 samples per millimetre.
    inside : ndarray, shape (H, W), float32
        1 on the part.

    Returns
    -------
    ndarray, shape (H, W), float32
        Brightness minus that of the metal around, over its local spread; 0 outside.
    """
    shade = _mean_around(picture, inside, SHADING_MM * SAMPLES_PER_MM)
    known = inside > 0
    typical = float(np.median(np.abs(picture - shade)[known])) if known.any() else 1.0
    limit = 4 * max(typical, 0.3)
    # A bright line lifts the mean around it and would leave dark bands at its sides: the mean is
    # taken again with what stands out cut down.
    for _ in range(2):
        flat = np.clip(picture, shade - limit, shade + limit)
        shade = _mean_around(flat, inside, SHADING_MM * SAMPLES_PER_MM)
    deviation = (picture - shade) * inside
    # The mean of clipped absolute values is a spread that a few grooves cannot raise; 1.2533 makes
    # it the standard deviation of Gaussian noise.
    limited = np.minimum(np.abs(deviation), limit)
    spread = 1.2533 * _mean_around(limited, inside, NOISE_REGION_MM * SAMPLES_PER_MM)
    scaled = np.clip(deviation / np.maximum(spread, 0.4), -LIMIT, LIMIT)
    return np.asarray(scaled * inside, np.float32)


def _mean_around(
    picture: NDArray[np.float32], inside: NDArray[np.float32], sigma_px: float
) -> NDArray[np.float32]:
    """Return the Gaussian mean over the masked part only."""
    total = _blur(picture * inside, sigma_px)
    weight = _blur(inside, sigma_px)
    return np.asarray(total / np.maximum(weight, 1e-3), np.float32)


def _blur(picture: NDArray[np.float32], sigma_px: float) -> NDArray[np.float32]:
    """Blur widely at the cost of a narrow blur, by shrinking first where nothing is lost."""
    shrink = max(1, int(sigma_px / 4))
    if shrink == 1:
        return np.asarray(cv2.GaussianBlur(picture, (0, 0), sigma_px), np.float32)
    size = (max(1, picture.shape[1] // shrink), max(1, picture.shape[0] // shrink))
    small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
    small = cv2.GaussianBlur(small, (0, 0), sigma_px / shrink)
    full = cv2.resize(small, picture.shape[::-1], interpolation=cv2.INTER_LINEAR)
    return np.asarray(full, np.float32)
