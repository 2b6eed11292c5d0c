"""Geometry of the printed targets, read from the packaged target.json."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

DICTIONARY_NAME = "DICT_APRILTAG_36H11"


@dataclass(frozen=True, slots=True)
class TargetSpec:
    """One size of target: a two-squares-wide ChArUco ring round an empty window.

    Lengths as drawn, in millimetres; frame: origin at the outer top-left corner, x right,
    y down.
    """

    size: str
    square_mm: float
    marker_mm: float
    squares_per_side: int
    ring_squares: int
    first_marker_id: int
    last_marker_id: int
    printed_marker_ids: tuple[int, ...]
    corner_ids: tuple[int, ...]
    check_bar_mm: float

    @property
    def side_mm(self) -> float:
        """Outer side of the board."""
        return self.square_mm * self.squares_per_side

    @property
    def window_mm(self) -> float:
        """Side of the empty window."""
        return self.square_mm * (self.squares_per_side - 2 * self.ring_squares)


@cache
def load_specs() -> Mapping[str, TargetSpec]:
    """Return every target size by its letter, smallest first; the mapping is read-only."""
    text = files("scribetarget").joinpath("target.json").read_text(encoding="utf-8")
    raw = json.loads(text)
    return MappingProxyType({size: _spec(size, raw) for size in raw["sizes"]})


def spec_of_marker(marker_id: int) -> TargetSpec | None:
    """Return the target size that a marker is printed on, None when it is on no sheet of ours."""
    for spec in load_specs().values():
        if marker_id in spec.printed_marker_ids:
            return spec
    return None


def corner_positions_mm(
    spec: TargetSpec, ids: Sequence[int] | NDArray[np.integer[Any]]
) -> NDArray[np.float64]:
    """Return where chessboard corners are drawn.

    Parameters
    ----------
    spec : TargetSpec
    ids : sequence of int, length N
        Corner numbers as OpenCV's `CharucoBoard` gives them: row by row from the top left.

    Returns
    -------
    ndarray, shape (N, 2), float64
        Drawn position (x, y) in the target frame [mm].
    """
    number = np.asarray(ids, dtype=np.int64).reshape(-1)
    per_row = spec.squares_per_side - 1
    cells = np.column_stack([number % per_row + 1, number // per_row + 1])
    return cells.astype(np.float64) * spec.square_mm


def marker_squares(
    spec: TargetSpec, ids: Sequence[int] | NDArray[np.integer[Any]]
) -> NDArray[np.int64]:
    """Return the square that each marker stands in, counted from the outer top left.

    Markers are numbered row by row over the white squares of the whole board, the empty window
    included; the top-left square is black.

    Parameters
    ----------
    spec : TargetSpec
    ids : sequence of int, length N
        Marker numbers from ``first_marker_id`` to ``last_marker_id``.

    Returns
    -------
    ndarray, shape (N, 2), int64
        (column, row).

    Raises
    ------
    ValueError
        For a number that the board does not have.
    """
    number = np.asarray(ids, dtype=np.int64).reshape(-1) - spec.first_marker_id
    if np.any((number < 0) | (number > spec.last_marker_id - spec.first_marker_id)):
        raise ValueError(f"not all of {list(ids)} are markers of the size {spec.size} board")
    side = np.arange(spec.squares_per_side)
    row, column = np.nonzero((side[:, None] + side[None, :]) % 2)
    return np.column_stack([column[number], row[number]]).astype(np.int64)


def marker_positions_mm(
    spec: TargetSpec, ids: Sequence[int] | NDArray[np.integer[Any]]
) -> NDArray[np.float64]:
    """Return where the corners of markers are drawn.

    Parameters
    ----------
    spec : TargetSpec
    ids : sequence of int, length N
        Marker numbers from ``first_marker_id`` to ``last_marker_id``.

    Returns
    -------
    ndarray, shape (N, 4, 2), float64
        Corners (x, y) in the target frame [mm], clockwise from the top left as OpenCV lists them.
    """
    margin = (spec.square_mm - spec.marker_mm) / 2
    top_left = marker_squares(spec, ids) * spec.square_mm + margin
    unit = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    corners: NDArray[np.float64] = top_left[:, None, :] + unit[None, :, :] * spec.marker_mm
    return corners


def _spec(size: str, raw: Mapping[str, Any]) -> TargetSpec:
    entry = raw["sizes"][size]
    square_mm = float(entry["square_mm"])
    first, last = entry["marker_ids"]
    return TargetSpec(
        size=size,
        square_mm=square_mm,
        marker_mm=square_mm * float(raw["marker_length_over_square"]),
        squares_per_side=int(entry["squares_per_side"]),
        ring_squares=int(raw["ring_squares"]),
        first_marker_id=int(first),
        last_marker_id=int(last),
        printed_marker_ids=tuple(entry["printed_marker_ids"]),
        corner_ids=tuple(entry["charuco_corners_inside_ring"]),
        check_bar_mm=float(entry["check_bar_mm"]),
    )
