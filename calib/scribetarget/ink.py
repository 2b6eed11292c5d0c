"""What is black on a printed target, as outlines in millimetres."""

from collections import defaultdict
from itertools import product

import cv2
import numpy as np
from numpy.typing import NDArray

from scribetarget.spec import DICTIONARY_NAME, TargetSpec, marker_positions_mm

MODULES = 8  # an AprilTag 36h11 as OpenCV reads it: 6 x 6 bits inside a border one bit wide

Point = tuple[int, int]


def black_outlines_mm(spec: TargetSpec) -> tuple[NDArray[np.float64], ...]:
    """Return the outlines of everything black on the ring.

    Neighbouring black modules of a marker are one shape, so that no printer can leave a hairline
    of white between them. To be filled by the even-odd rule: a white hole is an outline too.

    Returns
    -------
    tuple of ndarray, shape (K, 2), float64
        Closed polygons, last point not repeated, in the target frame [mm].
    """
    return (*_black_squares_mm(spec), *_markers_mm(spec))


def marker_bits(marker_id: int) -> NDArray[np.bool_]:
    """Return one marker, (8, 8), row by row from the top; True is black."""
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY_NAME))
    picture = dictionary.generateImageMarker(marker_id, MODULES, borderBits=1)
    return np.equal(np.asarray(picture, dtype=np.uint8), 0)


def cell_outlines(cells: NDArray[np.bool_]) -> tuple[NDArray[np.float64], ...]:
    """Trace the outlines of the True cells of a grid.

    Parameters
    ----------
    cells : ndarray, shape (rows, columns), bool

    Returns
    -------
    tuple of ndarray, shape (K, 2), float64
        Closed polygons (x, y) in units of one cell with corners only where the outline turns.
    """
    leaving = _edges(cells)
    outlines = []
    while leaving:
        start = point = next(iter(leaving))
        walk = []
        while True:
            walk.append(point)
            ends = leaving[point]
            following = ends.pop()
            if not ends:
                del leaving[point]
            point = following
            if point == start:
                break
        outlines.append(_turns_only(np.array(walk, dtype=np.float64)))
    return tuple(outlines)


def _edges(cells: NDArray[np.bool_]) -> dict[Point, list[Point]]:
    """Sides of True cells that face a False one, walked clockwise round the True cell."""
    padded = np.pad(cells, 1)
    leaving: dict[Point, list[Point]] = defaultdict(list)
    for row, column in np.argwhere(cells).tolist():
        corners = ((column, row), (column + 1, row), (column + 1, row + 1), (column, row + 1))
        facing = (
            (row, column + 1),
            (row + 1, column + 2),
            (row + 2, column + 1),
            (row + 1, column),
        )
        for side in range(4):
            if not padded[facing[side]]:
                leaving[corners[side]].append(corners[(side + 1) % 4])
    return leaving


def _turns_only(walk: NDArray[np.float64]) -> NDArray[np.float64]:
    before = walk - np.roll(walk, 1, axis=0)
    after = np.roll(walk, -1, axis=0) - walk
    turns: NDArray[np.float64] = walk[(before != after).any(axis=1)]
    return turns


def _black_squares_mm(spec: TargetSpec) -> list[NDArray[np.float64]]:
    unit = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    ring = (*range(spec.ring_squares), *range(-spec.ring_squares, 0))
    edge = {index % spec.squares_per_side for index in ring}
    return [
        (unit + np.array([column, row])) * spec.square_mm
        for row, column in product(range(spec.squares_per_side), repeat=2)
        if (row + column) % 2 == 0 and (row in edge or column in edge)
    ]


def _markers_mm(spec: TargetSpec) -> list[NDArray[np.float64]]:
    module_mm = spec.marker_mm / MODULES
    places_mm = marker_positions_mm(spec, spec.printed_marker_ids)[:, 0]
    return [
        outline * module_mm + place_mm
        for marker_id, place_mm in zip(spec.printed_marker_ids, places_mm, strict=True)
        for outline in cell_outlines(marker_bits(marker_id))
    ]
