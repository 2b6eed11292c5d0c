"""Find the plate's edge in the target's window."""

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.errors import PhotoError
from scribegauge.photo.record import Photo
from scribegauge.plate.face import Face, scale_at
from scribegauge.plate.resample import Grid, resample
from scribetarget.view import View
from scribetarget.wording import say

SAMPLES_PER_MM = 4.0
# Paper this close to the ring is taken to be bare.
PAPER_RIM_MM = 2.5
# A smaller patch is a crumb or a printed mark, not a plate to be scribed on.
SMALLEST_PLATE_MM2 = 80.0
# A contact shadow reaches about twice the plate's thickness over the paper.
EDGE_SEARCH_MM = 3.5


def find_face(
    photo: Photo, view: View, thickness_mm: float, u_thickness_mm: float, blur_px: float
) -> Face:
    """Find the plate in the window and return its scribed face.

    Parameters
    ----------
    photo : Photo
    view : View
    thickness_mm, u_thickness_mm : float
        Height of the face above the paper and its standard uncertainty.
    blur_px : float
        Standard deviation of the photo's blur.

    Raises
    ------
    PhotoError
        ``no_plate`` when the window shows bare paper only.
    """
    spec = view.spec
    scale = view.values[-2:]
    near = spec.ring_squares * spec.square_mm * scale
    far = near + spec.window_mm * scale
    middle = (near + far) / 2
    face = Face(
        view=view,
        thickness_mm=thickness_mm,
        u_thickness_mm=u_thickness_mm,
        outline_mm=np.array([near, [far[0], near[1]], far, [near[0], far[1]]]),
        scale_px_per_mm=scale_at(view, thickness_mm, middle),
        blur_px=blur_px,
    )
    step = 1 / SAMPLES_PER_MM
    size = np.floor((far - near - 1.0) / step).astype(int)
    grid = Grid(near + 0.5, np.array([1.0, 0.0]), np.array([0.0, 1.0]), step, step, *size)
    picture = resample(photo.rgb, face, grid)
    rough = _largest_patch(_unlike_paper(picture))
    contour = _outline(_on_strongest_step(picture, rough))
    return replace(face, outline_mm=grid.origin_mm + contour * step)


def _unlike_paper(picture: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Mark what differs from the paper at the window's rim, light falling off included."""
    rows, columns = picture.shape[:2]
    y, x = np.mgrid[-1 : 1 : rows * 1j, -1 : 1 : columns * 1j]
    basis = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1).reshape(-1, 6)
    logs = np.log(picture.reshape(-1, 3) + 4.0)
    rim = np.zeros((rows, columns), bool)
    width = round(PAPER_RIM_MM * SAMPLES_PER_MM)
    rim[:width], rim[-width:], rim[:, :width], rim[:, -width:] = True, True, True, True
    chosen = rim.ravel()
    for _ in range(3):
        fit, *_ = np.linalg.lstsq(basis[chosen], logs[chosen], rcond=None)
        off = np.abs(logs - basis @ fit).max(axis=1)
        spread = 1.4826 * np.median(off[chosen])
        chosen = rim.ravel() & (off < 3 * max(spread, 0.01))
    flat = logs - basis @ fit
    distance = np.abs(flat).max(axis=1).reshape(rows, columns)
    # 12 % of brightness or tint: contact shadows are softer than the metal's own step.
    unlike = distance > max(min(_otsu(distance), 0.12), 5 * spread)
    edge = _edge_strength(flat.reshape(rows, columns, 3))
    # Metal as bright as paper still shows its rim: paper is what can be reached from the window's
    # border without crossing an edge.
    barrier = unlike | (edge > 6 * np.median(edge[rim]))
    return _not_reached(barrier.astype(np.uint8))


def _edge_strength(flat: NDArray[np.float64]) -> NDArray[np.float32]:
    """Return the largest gradient over the colours (R, C), smoothed over 0.4 mm."""
    smooth = cv2.GaussianBlur(flat.astype(np.float32), (0, 0), 0.4 * SAMPLES_PER_MM)
    down = np.abs(np.gradient(smooth, axis=0)).max(axis=2)
    right = np.abs(np.gradient(smooth, axis=1)).max(axis=2)
    return np.asarray(np.hypot(down, right), np.float32)


def _not_reached(barrier: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Mark what cannot be reached from the border without crossing the barrier."""
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (5, 5))
    closed = cv2.morphologyEx(barrier, cv2.MORPH_CLOSE, kernel)
    padded = np.pad(closed, 1)
    reached = 2
    cv2.floodFill(padded, None, (0, 0), reached)
    return np.asarray(padded[1:-1, 1:-1] != reached, np.uint8)


def _otsu(values: NDArray[np.float64]) -> float:
    """Return Otsu's threshold of values clipped to 0 … 1."""
    eight_bit = (np.clip(values, 0, 1) * 255).astype(np.uint8)
    level, _ = cv2.threshold(eight_bit, 0, 255, cv2.THRESH_BINARY + cv2.THRESH_OTSU)
    return float(level) / 255


def _largest_patch(mask: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Keep only the largest patch, holes filled."""
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (9, 9))
    opened = cv2.morphologyEx(mask, cv2.MORPH_OPEN, kernel)
    contours, _ = cv2.findContours(opened, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    contour = max(contours, key=cv2.contourArea, default=None)
    if contour is None or cv2.contourArea(contour) < SMALLEST_PLATE_MM2 * SAMPLES_PER_MM**2:
        raise PhotoError(
            "no_plate",
            say("There is no plate to be seen in the target's window."),
            say("Lay the plate inside the window, scribed side up, and take the photo again."),
        )
    patch = np.zeros_like(mask)
    return np.asarray(cv2.drawContours(patch, [contour], -1, 1, -1), np.uint8)


def _on_strongest_step(picture: NDArray[np.float32], rough: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Draw the rough patch in to where brightness and colour step most: inside the shadow."""
    reach = round(EDGE_SEARCH_MM * SAMPLES_PER_MM)
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    inside = cv2.erode(rough, kernel)
    if not inside.any():
        return rough
    seeds = inside.astype(np.int32) + 2 * (cv2.dilate(rough, np.ones((3, 3), np.uint8)) == 0)
    flooded = cv2.watershed(np.clip(picture, 0, 255).astype(np.uint8), seeds.astype(np.int32))
    return np.asarray(flooded == 1, np.uint8)


def _outline(patch: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Return the patch's outline (K, 2) [samples]."""
    contours, _ = cv2.findContours(patch, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    contour = max(contours, key=cv2.contourArea)
    outline = cv2.approxPolyDP(contour, 0.15 * SAMPLES_PER_MM, closed=True)
    return np.asarray(outline, np.float64).reshape(-1, 2)
