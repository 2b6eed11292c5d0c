"""A flat plate 150 mm under a camera that looks straight down, drawn pixel by pixel."""

from collections.abc import Callable
from types import SimpleNamespace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from scribegauge.plate.face import Face

PX_PER_MM = 20.0
SIZE_MM = (32.0, 28.0)
BLUR_PX = 0.8
FINER = 3
METAL_GREY = 150.0

Brightness = Callable[[NDArray[np.float64], NDArray[np.float64]], NDArray[np.float64]]


@pytest.fixture(scope="session")
def flat_face() -> Face:
    f_px, height_mm = PX_PER_MM * 150.0, 150.0
    values = np.zeros(17)
    values[:4] = f_px, 1.0, 0.0, 0.0
    values[14] = height_mm
    values[15:] = 1.0
    # Only the solved camera of a view is looked at here.
    view = SimpleNamespace(values=values)
    x, y = SIZE_MM
    outline = np.array([[1.0, 1.0], [x - 1, 1.0], [x - 1, y - 1], [1.0, y - 1]])
    # The pits' model takes 0.8 of this for the lens.
    return Face(view, 0.0, 0.01, outline, PX_PER_MM, BLUR_PX / 0.8)


@pytest.fixture(scope="session")
def draw() -> Callable[..., NDArray[np.uint8]]:
    """Return a function that adds brightnesses (functions of x, y [mm]) to noisy metal."""

    def photo(*marks: Brightness, noise: float = 2.0, seed: int = 1) -> NDArray[np.uint8]:
        columns, rows = (round(size * PX_PER_MM) for size in SIZE_MM)
        x = ((np.arange(columns * FINER) + 0.5) / FINER - 0.5) / PX_PER_MM
        y = ((np.arange(rows * FINER) + 0.5) / FINER - 0.5) / PX_PER_MM
        fine = np.full((rows * FINER, columns * FINER), METAL_GREY)
        for mark in marks:
            fine += mark(x[None, :], y[:, None])
        picture = fine.reshape(rows, FINER, columns, FINER).mean(axis=(1, 3))
        # A pixel is itself a blur of 0.29 px.
        picture = cv2.GaussianBlur(picture, (0, 0), np.sqrt(BLUR_PX**2 - 1 / 12))
        picture += np.random.default_rng(seed).normal(scale=noise, size=picture.shape)
        return np.clip(np.round(picture), 0, 255).astype(np.uint8)

    return photo
