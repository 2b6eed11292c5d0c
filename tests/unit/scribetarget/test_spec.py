"""The drawn geometry against OpenCV's own board of the same size."""

import json
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

import cv2
import numpy as np
import pytest

from scribetarget.spec import (
    DICTIONARY_NAME,
    TargetSpec,
    corner_positions_mm,
    load_specs,
    marker_positions_mm,
    marker_squares,
    spec_of_marker,
)

SIZES = ("S", "M", "L")


def opencv_board(spec: TargetSpec) -> Any:
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY_NAME))
    n = spec.squares_per_side
    ids = np.arange(spec.first_marker_id, spec.last_marker_id + 1)
    return cv2.aruco.CharucoBoard((n, n), spec.square_mm, spec.marker_mm, dictionary, ids)


def test_the_three_sizes_cannot_be_written_to() -> None:
    specs = load_specs()
    assert tuple(specs) == SIZES
    assert isinstance(specs, Mapping)
    assert not hasattr(specs, "__setitem__")
    assert load_specs() is specs


@pytest.mark.parametrize(
    ("size", "side_mm", "window_mm", "bar_mm"),
    [("S", 84.0, 60.0, 60.0), ("M", 126.0, 98.0, 100.0), ("L", 184.0, 152.0, 100.0)],
)
def test_outer_lengths(size: str, side_mm: float, window_mm: float, bar_mm: float) -> None:
    spec = load_specs()[size]
    assert (spec.side_mm, spec.window_mm, spec.check_bar_mm) == (side_mm, window_mm, bar_mm)


@pytest.mark.parametrize("size", SIZES)
def test_corners_lie_where_opencv_puts_them(size: str) -> None:
    spec = load_specs()[size]
    theirs = np.asarray(opencv_board(spec).getChessboardCorners(), np.float64).reshape(-1, 3)
    ours = corner_positions_mm(spec, np.arange(len(theirs)))
    np.testing.assert_allclose(ours, theirs[:, :2], atol=1e-4, err_msg="mm")


@pytest.mark.parametrize("size", SIZES)
def test_markers_lie_where_opencv_puts_them(size: str) -> None:
    spec = load_specs()[size]
    board = opencv_board(spec)
    theirs = np.asarray(board.getObjPoints(), np.float64)[:, :, :2]
    ids = np.asarray(board.getIds()).reshape(-1)
    np.testing.assert_allclose(marker_positions_mm(spec, ids), theirs, atol=1e-4, err_msg="mm")


@pytest.mark.parametrize("size", SIZES)
def test_the_ring_holds_exactly_the_markers_and_corners_outside_the_window(size: str) -> None:
    spec = load_specs()[size]
    low = spec.ring_squares * spec.square_mm
    high = low + spec.window_mm
    every_id = np.arange(spec.first_marker_id, spec.last_marker_id + 1)
    centres = marker_positions_mm(spec, every_id).mean(axis=1)
    in_ring = ((centres < low) | (centres > high)).any(axis=1)
    assert tuple(every_id[in_ring]) == spec.printed_marker_ids
    corners = corner_positions_mm(spec, np.arange((spec.squares_per_side - 1) ** 2))
    strictly_in_ring = ((corners < low) | (corners > high)).any(axis=1)
    assert tuple(np.nonzero(strictly_in_ring)[0]) == spec.corner_ids


def test_a_marker_of_another_sheet_has_no_place() -> None:
    with pytest.raises(ValueError, match="size M"):
        marker_squares(load_specs()["M"], [97])
    with pytest.raises(ValueError, match="size S"):
        marker_squares(load_specs()["S"], [98])


def test_the_file_names_the_dictionary_that_the_code_uses() -> None:
    raw = json.loads(files("scribetarget").joinpath("target.json").read_text(encoding="utf-8"))
    assert raw["dictionary"] == DICTIONARY_NAME
    assert raw["legacy_pattern"] is False


def test_a_marker_tells_its_sheet() -> None:
    for spec in load_specs().values():
        assert spec_of_marker(spec.printed_marker_ids[0]) is spec
        assert spec_of_marker(spec.printed_marker_ids[-1]) is spec
    hidden_by_the_window = 15
    assert spec_of_marker(hidden_by_the_window) is None
    assert spec_of_marker(524) is None
    assert spec_of_marker(-1) is None
