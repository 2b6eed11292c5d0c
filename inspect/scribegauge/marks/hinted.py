"""Lines where a person said that there are some."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.lines import is_echo
from scribegauge.marks.metal import Metal
from scribegauge.marks.record import LineMark
from scribegauge.marks.seek import LEAST_COVERED, seek_line
from scribegauge.plate.face import Face

# A line found before that stays this close to what is seen at a hint is the line that was meant.
SAME_LINE_MM = 0.3
# And one that stays this close to the hint itself, where a second look shows nothing.
POINTED_MM = 0.5


def seek_hinted(
    grey: NDArray[np.uint8],
    face: Face,
    metal: Metal,
    known: Sequence[LineMark],
    rough_mm: Mapping[int, NDArray[np.float64]],
) -> dict[int, LineMark | None]:
    """Look for lines where a person pointed; a line must be as clear there as anywhere.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
    known : sequence of LineMark
        Found without being told.
    rough_mm : Mapping[int, ndarray (2, 2)]
        By the side's number: its line's ends, good to about a millimetre, plate frame.

    Returns
    -------
    dict of int to LineMark or None
        None where nothing stands out from the metal.
    """
    return {side: _one(grey, face, metal, known, ends) for side, ends in rough_mm.items()}


def _one(
    grey: NDArray[np.uint8],
    face: Face,
    metal: Metal,
    known: Sequence[LineMark],
    rough_mm: NDArray[np.float64],
) -> LineMark | None:
    line = seek_line(grey, face, metal, rough_mm)
    if line is None:
        # A strong line in the very middle of the look fills what it is compared with.
        near = [old for old in known if _covers(old, rough_mm)]
        meant = min(near, key=lambda old: _aside_mm(old, rough_mm), default=None)
        return None if meant is None else replace(meant, hinted=True)
    same = next((old for old in known if _aside_mm(old, line.ends_mm) < SAME_LINE_MM), None)
    if same is not None:
        return replace(same, hinted=True)
    return None if is_echo(line, known) else replace(line, hinted=True)


def _aside_mm(old: LineMark, ends_mm: NDArray[np.float64]) -> float:
    """Return how far two points lie off a known line at most."""
    step = old.ends_mm[1] - old.ends_mm[0]
    across = np.array([-step[1], step[0]]) / np.hypot(*step)
    return float(np.abs((ends_mm - old.ends_mm[0]) @ across).max())


def _covers(old: LineMark, ends_mm: NDArray[np.float64]) -> bool:
    """Tell whether a known line runs along most of the stretch between two points."""
    step = ends_mm[1] - ends_mm[0]
    length = float(np.hypot(*step))
    place = np.sort((old.ends_mm - ends_mm[0]) @ (step / length))
    covered = min(place[1], length) - max(place[0], 0.0)
    return covered > LEAST_COVERED * length and _aside_mm(old, ends_mm) < POINTED_MM
