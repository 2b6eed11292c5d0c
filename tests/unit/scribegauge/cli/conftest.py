"""Photos of the ring alone, drawn by rays, as a phone would have saved them."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from scribetarget.lens import plane_from_photo
from scribetarget.spec import load_specs, marker_squares

SPEC = load_specs()["S"]
WIDTH, HEIGHT = 1200, 900
LENS = np.array([1000.0, 1.0, 603.0, 447.0, 0.03, -0.05, 0.0004, -0.0003, 0.0])
PRINTED = np.array([1.001, 0.999])
LEANS = [(4, 0), (22, 0), (25, 90), (22, 180), (28, 270), (16, 45)]
PITCH, MARGIN = 48, 60  # pixels of the drawing: per square, and of white round the board


def drawing():
    """The ring as a fine bitmap."""
    side, low, high = 14, SPEC.ring_squares, 14 - SPEC.ring_squares
    assert SPEC.squares_per_side == side
    level = np.full((side * PITCH, side * PITCH), 205, np.uint8)
    for row, column in np.ndindex(side, side):
        ring = not (low <= row < high and low <= column < high)
        if ring and (row + column) % 2 == 0:
            level[row * PITCH : (row + 1) * PITCH, column * PITCH : (column + 1) * PITCH] = 45
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36H11)
    places = marker_squares(SPEC, SPEC.printed_marker_ids)
    for number, (column, row) in zip(SPEC.printed_marker_ids, places, strict=True):
        bits = np.kron(cv2.aruco.generateImageMarker(dictionary, number, 8) > 0, np.ones((4, 4)))
        top, left = row * PITCH + 8, column * PITCH + 8
        assert bits.shape == (32, 32)  # three quarters of a square are 36 pixels
        bits = cv2.resize(bits, (36, 36), interpolation=cv2.INTER_NEAREST)
        level[top - 2 : top + 34, left - 2 : left + 34] = np.where(bits > 0, 205, 45)
    return cv2.copyMakeBorder(level, *[MARGIN] * 4, cv2.BORDER_CONSTANT, value=205)


def pose(tilt_deg, towards_deg, turn_deg):
    axis = np.radians(tilt_deg) * np.array(
        [np.cos(np.radians(towards_deg)), np.sin(np.radians(towards_deg)), 0]
    )
    turn = cv2.Rodrigues(np.radians([0.0, 0, turn_deg]))[0]
    rotation = cv2.Rodrigues(axis)[0] @ turn
    middle = np.array([SPEC.side_mm / 2, SPEC.side_mm / 2, 0])
    return [*cv2.Rodrigues(rotation)[0].ravel(), *(np.array([0, 0, 145.0]) - rotation @ middle)]


def photograph(level, number):
    """Look the drawing up where the ray of each pixel meets the sheet, finely, then shrink."""
    values = np.array([*LENS, *pose(*LEANS[number], 90.0 * number), *PRINTED])
    coarse = np.mgrid[0 : HEIGHT + 8 : 8, 0 : WIDTH + 8 : 8].astype(float)
    rays = np.column_stack([coarse[1].ravel(), coarse[0].ravel()])
    sheet = plane_from_photo(values, rays, (0.0, 0.0, 0.0)) / PRINTED / SPEC.square_mm
    places = (sheet * PITCH + MARGIN - 0.5).reshape(*coarse.shape[1:], 2).astype(np.float32)
    fine = ((np.arange(3) + 0.5) / 3 - 0.5).astype(np.float32)
    total = np.zeros((HEIGHT, WIDTH))
    at_y, at_x = np.mgrid[0:HEIGHT, 0:WIDTH].astype(np.float32)
    for dy in fine:
        for dx in fine:
            where = cv2.remap(
                places,
                (at_x + dx) / 8,
                (at_y + dy) / 8,
                cv2.INTER_LINEAR,
                borderMode=cv2.BORDER_REPLICATE,
            )
            total += cv2.remap(level, where, None, cv2.INTER_LINEAR, borderValue=205)
    noise = np.random.default_rng(number).normal(0, 1.5, total.shape)
    return np.clip(np.rint(cv2.GaussianBlur(total / 9, (0, 0), 0.6) + noise), 0, 255)


def save(path, level, model):
    exif = Image.Exif()
    exif[0x0110] = model
    exif.get_ifd(0x8769)[0xA405] = 30
    Image.fromarray(level.astype(np.uint8)).save(path, quality=95, exif=exif)


@dataclass(frozen=True, slots=True)
class Rings:
    """A folder of photos of one ring, and the truth about their camera."""

    folder: Path
    names: tuple[str, ...]
    lens: NDArray[np.float64]
    size_px: tuple[int, int]
    save: Callable[[Path, NDArray[np.float64], str], None]


@pytest.fixture(scope="session")
def rings(tmp_path_factory):
    place, level = tmp_path_factory.mktemp("ring"), drawing()
    names = tuple(f"ring-{number}.jpg" for number in range(len(LEANS)))
    for number, name in enumerate(names):
        save(place / name, photograph(level, number), "A-12")
    save(place / "table.jpg", np.full((HEIGHT, WIDTH), 120), "A-12")
    return Rings(place, names, LENS, (WIDTH, HEIGHT), save)
