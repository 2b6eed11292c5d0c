"""Pictures of rings drawn from known geometry, each pixel the mean over its area."""

from collections.abc import Callable
from dataclasses import dataclass

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from scribetarget.sighting import Sighting
from scribetarget.spec import TargetSpec, corner_positions_mm, marker_squares

# Every edge of a sheet lies on a grid of 1/32 square: a bitmap of that pitch is exact.
CELLS = 32
OVERSAMPLING = 5


@dataclass(frozen=True, slots=True)
class Drawing:
    """Ink share of each sample, OVERSAMPLING samples per pixel and axis, and the true map."""

    fine: NDArray[np.float32]
    matrix: NDArray[np.float64]

    def places_px(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        flat = np.column_stack([points_mm, np.ones(len(points_mm))]) @ self.matrix.T
        return flat[:, :2] / flat[:, 2:]

    def photograph(
        self, blur_px: float = 0.8, white: float = 200.0, black: float = 45.0
    ) -> NDArray[np.float64]:
        """Grey levels before noise and rounding."""
        return white + (black - white) * shrink_exactly(blurred(self.fine, blur_px))


def blurred(fine: NDArray[np.float32], blur_px: float) -> NDArray[np.float32]:
    sigma = blur_px * OVERSAMPLING
    return np.asarray(cv2.GaussianBlur(fine, (0, 0), sigma), dtype=np.float32)


def shrink_exactly(fine: NDArray[np.float32]) -> NDArray[np.float64]:
    height, width = fine.shape[0] // OVERSAMPLING, fine.shape[1] // OVERSAMPLING
    cells = fine.reshape(height, OVERSAMPLING, width, OVERSAMPLING)
    return np.asarray(cells.mean(axis=(1, 3), dtype=np.float64))


def ink_of(spec: TargetSpec, number_at: Callable[[int], int] = int) -> NDArray[np.float32]:
    """Bitmap of a sheet, 1 where there is ink; `number_at` may put other markers in its places."""
    side = spec.squares_per_side
    ink = np.zeros((side * CELLS, side * CELLS), dtype=np.float32)
    low, high = spec.ring_squares, side - spec.ring_squares
    for row, column in np.ndindex(side, side):
        ring = not (low <= row < high and low <= column < high)
        if ring and (row + column) % 2 == 0:
            ink[row * CELLS : (row + 1) * CELLS, column * CELLS : (column + 1) * CELLS] = 1
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36H11)
    places = marker_squares(spec, spec.printed_marker_ids)
    for number, (column, row) in zip(spec.printed_marker_ids, places, strict=True):
        bits = cv2.aruco.generateImageMarker(dictionary, number_at(number), 8)
        top, left = row * CELLS + CELLS // 8, column * CELLS + CELLS // 8
        block = np.kron(bits == 0, np.ones((3, 3)))
        ink[top : top + 24, left : left + 24] = block
    return ink


def draw(
    ink: NDArray[np.float32], spec: TargetSpec, matrix: NDArray[np.float64], shape: tuple[int, int]
) -> Drawing:
    """Look the sheet up at every sample of a picture, `matrix` taking millimetres to pixels."""
    at_y = ((np.arange(shape[0] * OVERSAMPLING) + 0.5) / OVERSAMPLING - 0.5)[:, None]
    at_x = ((np.arange(shape[1] * OVERSAMPLING) + 0.5) / OVERSAMPLING - 0.5)[None, :]
    back = np.linalg.inv(matrix)
    depth = back[2, 0] * at_x + back[2, 1] * at_y + back[2, 2]
    pitch = CELLS / spec.square_mm
    column = np.floor((back[0, 0] * at_x + back[0, 1] * at_y + back[0, 2]) / depth * pitch)
    row = np.floor((back[1, 0] * at_x + back[1, 1] * at_y + back[1, 2]) / depth * pitch)
    padded = np.pad(ink, 1)
    column = np.clip(column + 1, 0, padded.shape[1] - 1).astype(np.int32)
    row = np.clip(row + 1, 0, padded.shape[0] - 1).astype(np.int32)
    return Drawing(padded[row, column], matrix)


def view_matrix(
    spec: TargetSpec, square_px: float, turn_deg: float, lean: float, middle_px: tuple[float, float]
) -> NDArray[np.float64]:
    """Homography that puts the sheet's middle in place, turned and leaning (depth per sheet)."""
    half = spec.side_mm / 2
    centre = np.array([[1, 0, -half], [0, 1, -half], [0, 0, 1.0]])
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    scale = square_px / spec.square_mm
    tilt = np.array([[1, 0, 0], [0, 1, 0], [lean / spec.side_mm, 0.6 * lean / spec.side_mm, 1.0]])
    turn = np.array([[scale * c, -scale * s, 0], [scale * s, scale * c, 0], [0, 0, 1.0]])
    move = np.array([[1, 0, middle_px[0]], [0, 1, middle_px[1]], [0, 0, 1.0]])
    return np.asarray(move @ turn @ tilt @ centre)


def as_photo(level: NDArray[np.float64], noise: float = 0.0, seed: int = 0) -> NDArray[np.uint8]:
    """Add even noise and round to whole grey levels."""
    noisy = level + np.random.default_rng(seed).normal(0, noise, level.shape) if noise else level
    return np.clip(np.rint(noisy), 0, 255).astype(np.uint8)


@dataclass(frozen=True, slots=True)
class Studio:
    """What the tests draw with."""

    ink_of = staticmethod(ink_of)
    draw = staticmethod(draw)
    view_matrix = staticmethod(view_matrix)
    as_photo = staticmethod(as_photo)


@pytest.fixture(scope="session")
def studio() -> Studio:
    return Studio()


def pose_over(
    spec: TargetSpec, tilt_deg: float, towards_deg: float, turn_deg: float, distance_mm: float
) -> NDArray[np.float64]:
    """Rotation vector and translation of a camera that looks at the sheet's middle."""
    turn = cv2.Rodrigues(np.radians([0.0, 0.0, turn_deg]))[0]
    axis = np.radians([np.cos(np.radians(towards_deg)), np.sin(np.radians(towards_deg)), 0.0])
    rotation = cv2.Rodrigues(axis * tilt_deg)[0] @ turn
    middle = np.array([spec.side_mm / 2, spec.side_mm / 2, 0.0])
    shift = np.array([0.0, 0.0, distance_mm]) - rotation @ middle
    return np.concatenate([cv2.Rodrigues(rotation)[0].ravel(), shift])


def sight_corners(
    spec: TargetSpec, values: NDArray[np.float64], sigma_px: float, seed: int
) -> Sighting:
    """What a detector with normal errors of `sigma_px` reports; projected by cv2, not by us."""
    ids = np.array(spec.corner_ids)
    flat = corner_positions_mm(spec, ids) * values[15:17]
    matrix = np.array([[values[0], 0, values[2]], [0, values[0] * values[1], values[3]], [0, 0, 1]])
    points = np.column_stack([flat, np.zeros(len(flat))])
    seen, _ = cv2.projectPoints(points, values[9:12], values[12:15], matrix, values[4:9])
    noise = np.random.default_rng(seed).normal(0, sigma_px, (len(ids), 2))
    square_px = float(values[0] * spec.square_mm / values[14])
    return Sighting(
        spec=spec,
        corner_ids=ids,
        corners_px=seen.reshape(-1, 2) + noise,
        sigma_px=np.full(len(ids), sigma_px),
        marker_ids=np.array(spec.printed_marker_ids),
        square_px=square_px,
        blur_px=1.0,
        contrast=150.0,
        white_level=200.0,
        black_level=50.0,
        clipped_share=0.0,
    )


@dataclass(frozen=True, slots=True)
class Looks:
    """Views of a sheet without a picture."""

    pose_over = staticmethod(pose_over)
    sight_corners = staticmethod(sight_corners)


@pytest.fixture(scope="session")
def looks() -> Looks:
    return Looks()
