"""Outlines of black cells."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from scribetarget.ink import black_outlines_mm, cell_outlines, marker_bits
from scribetarget.spec import load_specs, marker_positions_mm


def area(outline: NDArray[np.float64]) -> float:
    x, y = outline.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def test_one_cell_is_a_square() -> None:
    (outline,) = cell_outlines(np.array([[True]]))
    assert sorted(map(tuple, outline.tolist())) == [(0, 0), (0, 1), (1, 0), (1, 1)]


def test_neighbours_are_one_shape_with_corners_only_where_it_turns() -> None:
    (outline,) = cell_outlines(np.array([[True, True, True], [False, False, True]]))
    assert len(outline) == 6
    assert area(outline) == 4.0


def test_a_hole_is_an_outline_of_its_own_that_takes_area_away() -> None:
    cells = np.ones((3, 3), bool)
    cells[1, 1] = False
    outlines = cell_outlines(cells)
    assert sorted(map(area, outlines)) == [-1.0, 9.0]


def test_cells_that_touch_at_a_corner_keep_their_area() -> None:
    outlines = cell_outlines(np.array([[True, False], [False, True]]))
    assert sum(map(area, outlines)) == 2.0


@pytest.mark.parametrize("seed", range(5))
def test_filled_again_the_outlines_give_the_cells(seed: int) -> None:
    cells = np.random.default_rng(seed).random((9, 7)) < 0.5
    picture = np.zeros((90, 70), np.uint8)
    for outline in cell_outlines(cells):
        # Odd sub-pixel shift keeps every sampled pixel centre off the outlines.
        one = np.zeros_like(picture)
        cv2.fillPoly(one, [np.round(outline * 10 * 256 - 128).astype(np.int32)], 1, shift=8)
        picture ^= one
    np.testing.assert_array_equal(picture[5::10, 5::10] == 1, cells)


def test_marker_border_is_black_all_round() -> None:
    bits = marker_bits(0)
    assert bits.shape == (8, 8)
    assert bits[[0, -1]].all()
    assert bits[:, [0, -1]].all()
    assert not bits.all()


@pytest.mark.parametrize("size", ["S", "M", "L"])
def test_markers_fill_their_places(size: str) -> None:
    spec = load_specs()[size]
    outlines = black_outlines_mm(spec)
    for place in marker_positions_mm(spec, spec.printed_marker_ids):
        low, high = place.min(axis=0), place.max(axis=0)
        inside = [
            outline
            for outline in outlines
            if ((outline > low - 0.5) & (outline < high + 0.5)).all()
        ]
        points = np.vstack(inside)
        np.testing.assert_allclose([points.min(axis=0), points.max(axis=0)], [low, high], atol=1e-9)


@pytest.mark.parametrize("size", ["S", "M", "L"])
def test_no_ink_in_the_window_nor_outside_the_board(size: str) -> None:
    spec = load_specs()[size]
    points = np.vstack(black_outlines_mm(spec))
    assert points.min() == 0.0
    assert points.max() == pytest.approx(spec.side_mm)
    low = spec.ring_squares * spec.square_mm
    middle = spec.side_mm / 2
    assert np.abs(points - middle).max(axis=1).min() >= middle - low - 1e-9
