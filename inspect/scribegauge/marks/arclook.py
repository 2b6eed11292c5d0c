"""What an arc shows, and how far the seen arc may lie from the groove's middle."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.optics import (
    DOUBLE_SHARE,
    SEEN_OFF_MIDDLE,
    WIDEST_MM,
    groove_width_mm,
)

# A look lasts about this long as the arc turns in the light, and differs from the next in the
# seen line's place by this share of the groove's width.
LOOK_RAD = np.pi / 4
LOOK_SHARE = 0.15


@dataclass(frozen=True, slots=True)
class ArcLook:
    """The commonest look in a word, the groove's width, and the uncertainty of what is seen."""

    word: str
    width_mm: float
    u_optics_mm: float


def describe_look(
    profiles: NDArray[np.float64], v_mm: NDArray[np.float64], blur_mm: float
) -> ArcLook:
    """Put the profiles (B, V) of an arc's blocks into words and numbers.

    Parameters
    ----------
    profiles : ndarray, shape (B, V), float64
        In noise units.
    v_mm : ndarray, shape (V,), float64
        Distance from the arc.
    blur_mm : float
        Standard deviation of the photo's blur on the plate.
    """
    near = np.abs(v_mm) < WIDEST_MM
    high = np.maximum(profiles[:, near].max(axis=1), 0.0)
    low = np.maximum(-profiles[:, near].min(axis=1), 0.0)
    double = np.minimum(high, low) > DOUBLE_SHARE * np.maximum(high, low)
    share = {
        "double": float(np.mean(double)),
        "bright": float(np.mean(~double & (high > low))),
        "dark": float(np.mean(~double & (high <= low))),
    }
    width = groove_width_mm(np.median(np.abs(profiles[:, near]), axis=0), v_mm[near], blur_mm)
    # One side of the circle is seen bright, the other dark: mean square over its parts.
    off = np.sqrt(sum(share[word] * SEEN_OFF_MIDDLE[word] ** 2 for word in share))
    return ArcLook(max(share, key=lambda word: share[word]), width, float(off) * width)


def look_covariance(angle_rad: NDArray[np.float64], width_mm: float) -> NDArray[np.float64]:
    """Return the covariance (3, 3) of centre and radius from a look that changes along the arc.

    What all of the arc shares is `ArcLook.u_optics_mm`; what differs from one look to the next
    pulls centre and radius apart, the more so the shorter the arc.

    Parameters
    ----------
    angle_rad : ndarray, shape (B,), float64
        Of blocks spread evenly along the arc.
    width_mm : float
    """
    slopes = np.column_stack([np.cos(angle_rad), np.sin(angle_rad), np.ones_like(angle_rad)])

    turn = np.unwrap(angle_rad)
    looks = np.clip(np.ptp(turn) / LOOK_RAD, 1.0, 2 * np.pi / LOOK_RAD)
    normal = slopes.T @ slopes / len(angle_rad) * looks
    return np.asarray(np.linalg.inv(normal) * (LOOK_SHARE * width_mm) ** 2)
