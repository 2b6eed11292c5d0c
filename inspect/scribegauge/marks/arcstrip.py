"""A circle's surroundings, straightened: along it by across it, in units of the metal's noise."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.markpath import Mark, on_marks
from scribegauge.marks.metal import Metal
from scribegauge.marks.record import ArcMark
from scribegauge.plate.face import Face

HALF_WIDTH_MM = 0.85
STEP_ACROSS_MM = 0.025
GROOVE_REACH_MM = 0.25
SHADE_MM = 1.0
NOISE_MM = 4.0
LIMIT = 6.0
# Lines are cut out this far to both sides.
LINE_REACH_MM = 0.18
# A line that stays this close to the circle is a piece of the circle taken for a line.
CHORD_MM = 0.4
LEAST_COLUMNS = 8


@dataclass(frozen=True, slots=True)
class ArcStrip:
    """A straightened ring of the face.

    Attributes
    ----------
    centre_mm : ndarray, shape (2,), float64
    radius_mm : float
    angle_rad : ndarray, shape (U,), float64
        From -pi to pi, even steps.
    v_mm : ndarray, shape (V,), float64
        Distance from the circle, outwards positive.
    scaled : ndarray, shape (V, U), float32
        Deviation from the metal beside the circle in noise units, limited; 0 where `open` is.
    open : ndarray, shape (V, U), bool
        True on the face and off known lines.
    on_face : ndarray, shape (U,), bool
    """

    centre_mm: NDArray[np.float64]
    radius_mm: float
    angle_rad: NDArray[np.float64]
    v_mm: NDArray[np.float64]
    scaled: NDArray[np.float32]
    open: NDArray[np.bool_]
    on_face: NDArray[np.bool_]


def cut_ring(
    grey: NDArray[np.uint8],
    face: Face,
    metal: Metal,
    circle: tuple[NDArray[np.float64], float],
    known: tuple[Mark, ...],
) -> ArcStrip:
    """Cut the ring around a circle at the photo's own resolution.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
        Its mask says where the face is.
    circle : (ndarray (2,), float)
        Centre and radius [mm], plate frame.
    known : tuple of LineMark or ArcMark
        Cut out where they cross the ring or run along it.
    """
    centre, radius = circle
    columns = max(LEAST_COLUMNS, int(2 * np.pi * radius * face.scale_px_per_mm))
    angle = np.linspace(-np.pi, np.pi, columns, endpoint=False) + np.pi / columns
    reach = round(min(HALF_WIDTH_MM, 0.6 * radius) / STEP_ACROSS_MM)
    v = np.linspace(-reach, reach, 2 * reach + 1) * STEP_ACROSS_MM
    away = np.column_stack([np.cos(angle), np.sin(angle)])
    on_face = _on_mask(metal, centre + radius * away)
    raw = _sample(grey, face, centre, radius, away, v)
    opened = np.broadcast_to(on_face, raw.shape) & ~_on_known(circle, away, v, known)
    step = 2 * np.pi * radius / columns
    deviation = np.asarray(raw - _shade_beside(raw, v, SHADE_MM / step), np.float32)
    beside = np.abs(v) > GROOVE_REACH_MM
    level = _around(np.median(np.abs(deviation[beside]), axis=0), NOISE_MM / step)
    # A quarter grey level: rounding alone leaves 0.29.
    scaled = np.clip(deviation / np.maximum(1.4826 * level, 0.25), -LIMIT, LIMIT)
    scaled = np.where(opened, scaled, 0.0).astype(np.float32)
    return ArcStrip(centre, radius, angle, v, scaled, opened, on_face)


def _sample(
    grey: NDArray[np.uint8],
    face: Face,
    centre: NDArray[np.float64],
    radius: float,
    away: NDArray[np.float64],
    v: NDArray[np.float64],
) -> NDArray[np.float32]:
    """Look at the photo under the ring; radially the camera is linear over a millimetre."""
    ends = np.array([radius + v[0], radius + v[-1]])
    inner, outer = (face.photo_from_plate(centre + distance * away) for distance in ends)
    share = ((v - v[0]) / (v[-1] - v[0]))[:, None, None]
    places = ((1 - share) * inner + share * outer).astype(np.float32)
    seen = cv2.remap(
        grey,
        np.ascontiguousarray(places[..., 0]),
        np.ascontiguousarray(places[..., 1]),
        cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    )
    return np.asarray(seen, np.float32)


def _shade_beside(
    raw: NDArray[np.float32], v: NDArray[np.float64], length: float
) -> NDArray[np.float32]:
    """Return the shade of bare metal under the circle from the medians on both sides."""
    inside, outside = (
        _around(np.median(raw[side * v > GROOVE_REACH_MM], axis=0), length) for side in (-1, 1)
    )
    middle = (GROOVE_REACH_MM + float(v[-1])) / 2
    weight = (v / middle + 1)[:, None] / 2
    return np.asarray(inside * (1 - weight) + outside * weight, np.float32)


def _around(values: NDArray[np.float32], length: float) -> NDArray[np.float32]:
    """Return the running mean of values that close on themselves."""
    reach = min(int(length / 2), len(values) // 2 - 1)
    closed = np.concatenate([values[-reach - 1 :], values, values[:reach]])
    sums = np.cumsum(closed, dtype=np.float64)
    return np.asarray(
        (sums[2 * reach + 1 :] - sums[: -2 * reach - 1]) / (2 * reach + 1), np.float32
    )


def _on_mask(metal: Metal, points_mm: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Tell which plate points (N, 2) lie on the face."""
    at = np.round((points_mm - metal.grid.origin_mm) / metal.grid.step_u_mm).astype(int)
    rows, columns = metal.mask.shape
    on = (at >= 0).all(axis=1) & (at[:, 0] < columns) & (at[:, 1] < rows)
    on[on] = metal.mask[at[on, 1], at[on, 0]] > 0
    return np.asarray(on, np.bool_)


def _on_known(
    circle: tuple[NDArray[np.float64], float],
    away: NDArray[np.float64],
    v: NDArray[np.float64],
    known: tuple[Mark, ...],
) -> NDArray[np.bool_]:
    """Tell which places of the ring (V, U) lie on known marks."""
    centre, radius = circle
    points = (centre + (radius + v)[:, None, None] * away).reshape(-1, 2)
    others = tuple(mark for mark in known if not _is_a_chord(mark, centre, radius))
    return on_marks(others, points, LINE_REACH_MM).reshape(len(v), len(away))


def _is_a_chord(mark: Mark, centre: NDArray[np.float64], radius: float) -> bool:
    """Tell whether a line is but a piece of the circle."""
    if isinstance(mark, ArcMark):
        return False
    parts = np.array([mark.ends_mm[0], mark.ends_mm.mean(axis=0), mark.ends_mm[1]]) - centre
    return bool(np.abs(np.hypot(*parts.T) - radius).max() < CHORD_MM)
