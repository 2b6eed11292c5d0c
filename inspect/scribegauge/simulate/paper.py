"""The printed sheet and the desk: how much light each point gives back."""

from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.scene import PaperModel
from scribetarget.spec import DICTIONARY_NAME, TargetSpec, load_specs, marker_squares

Array = NDArray[np.float64]

_CELLS = 32  # a square: 4 cells of white, 8 modules of 3 cells, 4 cells of white
_MODULES = 8
_MODULE_CELLS = 3
_MARGIN_SQUARES = 2  # the table reaches so far beyond the board, for the bars
_BAR_GAP_MM, _BAR_MM, _BAR_END_MM = 5.0, 2.0, 2.5


@cache
def ink_table(size: str) -> NDArray[np.bool_]:
    """Return the drawing as cells, True where black; row is y.

    Cells are 1/32 of a square, on which every edge of the ring falls exactly. The table begins
    two squares outside the board. The check bars are to the nearest cell only, for the look.
    """
    spec = load_specs()[size]
    side = spec.squares_per_side
    board = np.zeros((side * _CELLS, side * _CELLS), bool)
    for row in range(side):
        for column in range(side):
            if (row + column) % 2 == 0 and _on_ring(spec, row, column):
                board[_stretch(row), _stretch(column)] = True
    squares = marker_squares(spec, spec.printed_marker_ids)
    for marker_id, (column, row) in zip(spec.printed_marker_ids, squares, strict=True):
        board[_stretch(row), _stretch(column)] = _marker_cells(marker_id)
    table = np.pad(board, _MARGIN_SQUARES * _CELLS)
    _draw_bars(table, spec)
    table.setflags(write=False)
    return table


@cache
def mixed_table(size: str, reach_cells: int) -> NDArray[np.bool_]:
    """Return where black and white both lie within a number of cells."""
    ink = ink_table(size).astype(np.uint8)
    brush = np.ones((2 * reach_cells + 1,) * 2, np.uint8)
    mixed: NDArray[np.bool_] = cv2.dilate(ink, brush) != cv2.erode(ink, brush)
    mixed.setflags(write=False)
    return mixed


def cell_mm(size: str) -> float:
    """Return the drawn side of one cell [mm]."""
    return load_specs()[size].square_mm / _CELLS


def look_up(table: NDArray[np.bool_], x_mm: Array, y_mm: Array, paper: PaperModel) -> Array:
    """Read a table at points of the target frame; False outside it.

    Returns
    -------
    ndarray, bool, the shape of `x_mm`
    """
    pitch = cell_mm(paper.size)
    origin = _MARGIN_SQUARES * _CELLS
    column = np.floor(x_mm / (pitch * paper.print_scale[0])).astype(np.int32) + origin
    row = np.floor(y_mm / (pitch * paper.print_scale[1])).astype(np.int32) + origin
    end = table.shape[0] - 1  # the outermost cells are white
    np.clip(column, 0, end, out=column)
    np.clip(row, 0, end, out=row)
    found: Array = table.ravel()[row * table.shape[1] + column]
    return found


def on_sheet(x_mm: Array, y_mm: Array, pixel_mm: float, paper: PaperModel) -> Array:
    """Return the share of a pixel that is paper, not desk."""
    side = load_specs()[paper.size].side_mm
    past = np.maximum(np.abs(x_mm - side / 2), np.abs(y_mm - side / 2))
    edge = side / 2 + paper.margin_mm
    return np.clip(0.5 + (edge - past) / pixel_mm, 0.0, 1.0)


def desk_grain(x_mm: Array, y_mm: Array, seed: int) -> Array:
    """Return the brightness of a wooden desk about 1: streaks along x."""
    rng = np.random.default_rng([seed, 78])
    grain = np.ones_like(x_mm)
    for _ in range(4):
        run_mm, phase, bow = rng.uniform(5, 60), rng.uniform(0, 7), rng.uniform(-0.2, 0.2)
        grain += 0.07 * np.sin(2 * np.pi * (y_mm + bow * x_mm) / run_mm + phase)
    return grain


def _on_ring(spec: TargetSpec, row: int, column: int) -> bool:
    inner = range(spec.ring_squares, spec.squares_per_side - spec.ring_squares)
    return row not in inner or column not in inner


def _stretch(square: int) -> slice:
    return slice(square * _CELLS, (square + 1) * _CELLS)


def _marker_cells(marker_id: int) -> NDArray[np.bool_]:
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY_NAME))
    picture = np.asarray(dictionary.generateImageMarker(marker_id, _MODULES, borderBits=1))
    cells = np.kron(picture == 0, np.ones((_MODULE_CELLS, _MODULE_CELLS), bool))
    return np.pad(cells, (_CELLS - _MODULES * _MODULE_CELLS) // 2)


def _draw_bars(table: NDArray[np.bool_], spec: TargetSpec) -> None:
    def cells(begin_mm: float, length_mm: float) -> slice:
        pitch = spec.square_mm / _CELLS
        first = round(begin_mm / pitch) + _MARGIN_SQUARES * _CELLS
        return slice(first, first + round(length_mm / pitch))

    indent = (spec.side_mm - spec.check_bar_mm) / 2
    top = spec.side_mm + _BAR_GAP_MM
    pieces = (
        (indent, spec.check_bar_mm, top, _BAR_MM),
        (indent - 6.0, 6.0, top + _BAR_MM, _BAR_END_MM),
        (indent + spec.check_bar_mm, 6.0, top + _BAR_MM, _BAR_END_MM),
    )
    for begin, length, down, breadth in pieces:
        table[cells(down, breadth), cells(begin, length)] = True
        table[cells(begin, length), cells(down, breadth)] = True
