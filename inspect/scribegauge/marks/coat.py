"""Whether the plate is coated (layout lacquer, marker ink), so that lines show bare metal."""

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.record import LineMark
from scribegauge.plate.face import Face

# A groove in bare metal has the metal's own tint however it is lit; one through a coat differs from
# the coat in tint or is several times as bright as it. As logarithms of ratios.
OTHER_TINT = 0.25
BRIGHTER = 0.9
BESIDE_MM = 0.35
SAMPLES = 200
MOST_LINES = 8


def is_coated(rgb: NDArray[np.uint8], face: Face, lines: tuple[LineMark, ...]) -> bool:
    """Tell from the colour of the clearest lines whether they were scribed through a coat.

    Parameters
    ----------
    rgb : ndarray, shape (H, W, 3), uint8
    face : Face
    lines : tuple of LineMark
        Clearest first.
    """
    clear = lines[:MOST_LINES]
    if not clear:
        return False
    steps = np.array([_colour_step(rgb, face, line) for line in clear])
    tint, brightness = np.median(np.abs(steps[:, 0])), np.median(steps[:, 1])
    return bool(tint > OTHER_TINT or brightness > BRIGHTER)


def _colour_step(rgb: NDArray[np.uint8], face: Face, line: LineMark) -> tuple[float, float]:
    """Return how tint (red to blue) and brightness change from beside the line to its middle."""
    share = np.linspace(0.1, 0.9, SAMPLES)[:, None]
    step = line.ends_mm[1] - line.ends_mm[0]
    path = line.ends_mm[0] + share * step
    across = BESIDE_MM * np.array([-step[1], step[0]]) / np.hypot(*step)
    colours = []
    for shift in (0.0, 1.0, -1.0):
        px = np.round(face.photo_from_plate(path + shift * across)).astype(int)
        x = np.clip(px[:, 0], 0, rgb.shape[1] - 1)
        y = np.clip(px[:, 1], 0, rgb.shape[0] - 1)
        colours.append(np.log(np.median(rgb[y, x].astype(np.float64), axis=0) + 4))
    middle, beside = colours[0], (colours[1] + colours[2]) / 2
    change = middle - beside
    return float(change[0] - change[2]), float(change.mean())
