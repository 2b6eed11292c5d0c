"""From which side the light falls, told by where the metal itself glows.

Rough metal throws light back about the mirror's direction, so the face is brightest on the side
towards the lamp, whatever the lamp is: a window's glow is only wider. The walls of a groove see the
same lamp, and which of them is lit follows from it.
"""

from dataclasses import dataclass
from math import erf, sqrt

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.plate.face import Face
from scribegauge.plate.resample import Grid, resample

STEP_MM = 0.5
# Grooves and scratches are narrow in a cell of this size, and its median passes them over.
CELL_MM = 5.0
EDGE_MARGIN_MM = 1.5
FEWEST_SAMPLES = 20
FEWEST_CELLS = 6
# What lens and finish alone may darken a plate from one side to the other [natural logarithm of
# the grey level]: a lens that falls by a tenth towards the corners, seen a fifth off its middle.
U_UNEVEN = 0.03


@dataclass(frozen=True, slots=True)
class Lamp:
    """How the face darkens.

    Attributes
    ----------
    fall : ndarray, shape (2,), float64
        Plate frame: how much the face darkens from one side to the other, along the direction away
        from the light [natural logarithm of the grey level].
    u_fall : float
        Its standard uncertainty along either axis.
    """

    fall: NDArray[np.float64]
    u_fall: float

    def away(self, towards: NDArray[np.float64]) -> float:
        """Return how surely a direction (2,) points away from the light: 1, or -1 towards it.

        It is the difference of both probabilities, for a normally distributed `fall`.
        """
        return erf(float(self.fall @ towards) / (self.u_fall * sqrt(2)))


#: Nothing is known of the light.
NO_LAMP = Lamp(np.zeros(2), 1.0)


def find_lamp(grey: NDArray[np.uint8], face: Face) -> Lamp:
    """Tell from which side the light falls on a bare metal face.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    """
    low = face.outline_mm.min(axis=0)
    size_mm = float(np.ptp(face.outline_mm, axis=0).max())
    columns, rows = np.ceil(np.ptp(face.outline_mm, axis=0) / STEP_MM).astype(int) + 1
    grid = Grid(low, np.array([1.0, 0.0]), np.array([0.0, 1.0]), STEP_MM, STEP_MM, columns, rows)
    shade = np.log(np.maximum(resample(grey, face, grid), 1.0))
    mask = np.zeros((rows, columns), np.uint8)
    cv2.fillPoly(mask, [np.round((face.outline_mm - low) / STEP_MM).astype(np.int32)], 1)
    margin = 2 * round(EDGE_MARGIN_MM / STEP_MM) + 1
    inside = cv2.erode(np.pad(mask, 1), np.ones((margin, margin), np.uint8))[1:-1, 1:-1] > 0
    places, levels = _cells(shade, inside)
    if len(levels) < FEWEST_CELLS:
        return NO_LAMP
    across = (places - places.mean(axis=0)) * STEP_MM / size_mm
    design = np.column_stack([np.ones(len(levels)), across])
    solution, *_ = np.linalg.lstsq(design, levels, rcond=None)
    rest = levels - design @ solution
    variance = float(rest @ rest) / (len(levels) - 3) * np.linalg.inv(design.T @ design)
    worst = float(np.linalg.eigvalsh(variance[1:, 1:])[-1])
    return Lamp(np.asarray(-solution[1:]), sqrt(worst + U_UNEVEN**2))


def _cells(
    shade: NDArray[np.float32], face: NDArray[np.bool_]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the middles (N, 2) (column, row) of the face's cells and their median shades (N,)."""
    step = round(CELL_MM / STEP_MM)
    places, levels = [], []
    for top in range(0, face.shape[0], step):
        for left in range(0, face.shape[1], step):
            inside = face[top : top + step, left : left + step]
            if np.count_nonzero(inside) >= FEWEST_SAMPLES:
                places.append((left + step / 2, top + step / 2))
                levels.append(float(np.median(shade[top : top + step, left : left + step][inside])))
    return np.array(places).reshape(-1, 2), np.array(levels)
