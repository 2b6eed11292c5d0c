"""What a lens costs at the plate: errors of lengths over 50 mm."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribetarget.bundle import adjust, view_of_sighting
from scribetarget.camera import Camera
from scribetarget.camerafit import camera_for_photo
from scribetarget.lens import plane_from_photo, project
from scribetarget.pose import STEPS, solve_view
from scribetarget.printscale import PrintScale
from scribetarget.sighting import Sighting

Array = NDArray[np.float64]

LENGTH_MM = 50.0
# A plate of 1 mm: its scribed face lies above the paper.
FACE_MM = -1.0
UM_PER_MM = 1000.0
COVERAGE = 2.0


def held_back_um(
    sightings: Sequence[Sighting], camera: Camera, lens_without: Array, scale: PrintScale
) -> float:
    """Return the RMS error of lengths over 50 mm between corners of the sheet.

    Each photo is measured with the lens that the other photos give; its own corners give its
    pose alone.

    Parameters
    ----------
    sightings : sequence of Sighting, length V
    camera : Camera
    lens_without : ndarray, shape (V, 9), float64
        The lens without each photo in turn.
    scale : PrintScale

    Returns
    -------
    float
        Micrometres per 50 mm.
    """
    errors = [
        _length_errors(sighting, replace(camera, values=lens), scale)
        for sighting, lens in zip(sightings, lens_without, strict=True)
    ]
    return float(np.sqrt(np.mean(np.concatenate(errors) ** 2))) * UM_PER_MM


def lens_cost_um(sighting: Sighting, camera: Camera, scale: PrintScale) -> float:
    """Return the expanded uncertainty (k = 2) over 50 mm of plate that is due to the lens.

    That is what would be gone if the lens were known exactly, whether the lens is known from
    before or has to be found from this photo's corners.

    Parameters
    ----------
    sighting : Sighting
        A photo; its pose is solved with this camera.
    camera : Camera
    scale : PrintScale

    Returns
    -------
    float
        RMS over the sides of a square of 50 mm amid the window [µm].
    """
    if camera.source == "profile":
        camera = camera_for_photo(camera, camera.width_px, camera.height_px, camera.name)
    view = solve_view(sighting, camera, scale)
    middle = view.spec.side_mm / 2
    half = LENGTH_MM / 2
    square = middle + half * np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]])
    seen = project(view.values, np.column_stack([square, np.full(4, FACE_MM)]))

    def sides_mm(values: Array) -> Array:
        corners = plane_from_photo(values, seen, (FACE_MM, 0.0, 0.0))
        return np.asarray(np.hypot(*(np.roll(corners, -1, axis=0) - corners).T))

    slope = [
        (sides_mm(view.values + step) - sides_mm(view.values - step)) / (2 * step.sum())
        for step in np.diag(STEPS)
    ]
    fixed = np.zeros((17, 17))
    fixed[9:, 9:] = np.linalg.inv(np.linalg.inv(view.covariance)[9:, 9:])
    variance = np.einsum("ks,kl,ls->s", slope, view.covariance - fixed, slope)
    return COVERAGE * float(np.sqrt(max(variance.mean(), 0.0))) * UM_PER_MM


def _length_errors(sighting: Sighting, camera: Camera, scale: PrintScale) -> Array:
    """Return measured minus true over true of corners about 50 mm apart, times 50 mm."""
    view = view_of_sighting(sighting)
    alone = adjust([view], camera, scale)
    values = np.concatenate([alone.lens, alone.poses[0], alone.scale])
    true = view.drawn_mm[:, :2] * alone.scale
    measured = plane_from_photo(values, sighting.corners_px, (0.0, 0.0, 0.0))
    first, second = np.triu_indices(len(true), 1)
    length = np.hypot(*(true[first] - true[second]).T)
    near = np.abs(length - LENGTH_MM) < sighting.spec.square_mm / 2
    got = np.hypot(*(measured[first] - measured[second]).T)
    return np.asarray((got[near] / length[near] - 1) * LENGTH_MM)
