"""Which views of the target a calibration still lacks."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from scribetarget.lens import rotation_matrix
from scribetarget.sighting import Sighting

Array = NDArray[np.float64]

ENOUGH_PHOTOS = 10
# Below this a photo counts as straight down for the side it leans to.
LEANS_DEG = 10.0
TINY = 1e-12
# Corners that come no nearer to the picture's edge leave the lens unknown there.
EDGE_SHARE = 0.15
# In-plane turns that all lie within this leave stretch of print and of pixels unparted.
TURNED_DEG = 45.0
SIDES = {"right": (0, 1), "left": (0, -1), "lower": (1, 1), "upper": (1, -1)}
MOST_ADVICE = 3


def tilts_deg(poses: Array) -> list[float]:
    """Return how far each photo (V, 6) looked from straight down on the sheet."""
    facing = [abs(float(rotation_matrix(pose[:3])[2, 2])) for pose in poses]
    return [float(np.degrees(np.arccos(min(each, 1.0)))) for each in facing]


def leans_deg(poses: Array) -> Array:
    """Return towards which side of the picture each photo (V, 6) leant, and how far.

    A plane with normal n is nearer on the side that n points to: its depth along the ray (x, y, 1)
    is d / (n·(x, y, 1)).

    Returns
    -------
    ndarray, shape (V, 2), float64
        Picture x and y of an arrow as long as the tilt [degrees] that points to the side that was
        nearer to the sheet.
    """
    normals = np.array([rotation_matrix(pose[:3])[:, 2] for pose in poses])
    normals = normals * np.sign(normals[:, 2:])
    across = np.hypot(*normals[:, :2].T)
    tilts = np.degrees(np.arctan2(across, normals[:, 2]))
    return np.asarray(normals[:, :2] * (tilts / np.maximum(across, TINY))[:, None])


def residual_field(
    corners_px: Array, residuals_px: Array, size_px: tuple[int, int], cells: tuple[int, int]
) -> Array:
    """Average residuals over fields of the picture.

    Parameters
    ----------
    corners_px, residuals_px : ndarray, shape (N, 2), float64
        Of all photos together.
    size_px : (width, height)
    cells : (columns, rows)

    Returns
    -------
    ndarray, shape (rows, columns, 3), float64
        Mean residual x and y [px] and how many corners fell there; the mean is NaN where none did.
    """
    columns, rows = cells
    share = (corners_px + 0.5) / np.array(size_px)
    place = np.clip((share * np.array(cells)).astype(int), 0, np.array(cells) - 1)
    flat = place[:, 1] * columns + place[:, 0]
    count = np.bincount(flat, minlength=rows * columns).astype(float)
    sums = [np.bincount(flat, residuals_px[:, k], rows * columns) for k in range(2)]
    with np.errstate(invalid="ignore"):
        means = [each / count for each in sums]
    return np.stack([*means, count], axis=-1).reshape(rows, columns, 3)


def missing_views(
    poses: Array, sightings: Sequence[Sighting], size_px: tuple[int, int]
) -> tuple[str, ...]:
    """Return advice on which photos to add, most useful first.

    Parameters
    ----------
    poses : ndarray, shape (V, 6), float64
        Rotation vector and translation of each photo.
    sightings : sequence of Sighting, length V
    size_px : (width, height)

    Returns
    -------
    tuple of str
        Sentences, at most three; empty when nothing is missing.
    """
    advice = []
    leaning = _sides_not_leant_to(poses)
    if leaning:
        advice.append(
            f"Add a photo tilted 20 to 30 degrees with the {_either(leaning)} side of the picture "
            "nearer to the sheet."
        )
    edges = _edges_not_reached(sightings, size_px)
    if edges:
        advice.append(
            f"Add a photo in which the sheet comes close to the {_either(edges)} edge of the "
            "picture."
        )
    if len(poses) < ENOUGH_PHOTOS:
        advice.append(f"Take {ENOUGH_PHOTOS} to 15 photos in all; these are {len(poses)}.")
    if _turned_alike(poses):
        advice.append("Turn the sheet by a quarter on the table for half of the photos.")
    return tuple(advice[:MOST_ADVICE])


def _sides_not_leant_to(poses: Array) -> list[str]:
    """Return the picture's sides that are nearer to the sheet in no photo."""
    leans = leans_deg(poses)
    return [
        name for name, (axis, sign) in SIDES.items() if (leans[:, axis] * sign).max() < LEANS_DEG
    ]


def _edges_not_reached(sightings: Sequence[Sighting], size_px: tuple[int, int]) -> list[str]:
    corners = np.concatenate([sighting.corners_px for sighting in sightings])
    margin = EDGE_SHARE * max(size_px)
    gaps = {
        "right": size_px[0] - 1 - corners[:, 0].max(),
        "left": corners[:, 0].min(),
        "lower": size_px[1] - 1 - corners[:, 1].max(),
        "upper": corners[:, 1].min(),
    }
    return [name for name, gap in gaps.items() if gap > margin]


def _turned_alike(poses: Array) -> bool:
    """Whether the sheet's x axis lay the same way in all photos; half a turn counts as none."""
    axes = np.array([rotation_matrix(pose[:3])[:2, 0] for pose in poses])
    angles = np.arctan2(axes[:, 1], axes[:, 0])
    mean = np.angle(np.exp(2j * angles).mean()) / 2
    away = np.angle(np.exp(2j * (angles - mean))) / 2
    return bool(np.degrees(np.abs(away)).max() < TURNED_DEG / 2)


def _either(names: list[str]) -> str:
    if len(names) == 1:
        return names[0]
    return ", ".join(names[:-1]) + " or " + names[-1]
