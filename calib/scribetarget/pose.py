"""Where camera and sheet stood to each other: pose, lens and print scale from one photo.

All 17 parameters are solved at once by weighted least squares, the corners as observations and what
is known of camera and print beforehand as observations too (a Gauss-Markov model with priors, or
maximum a posteriori estimate), so the covariance holds every trade-off between them.
"""

from collections.abc import Callable

import cv2
import numpy as np
from numpy.typing import NDArray

from scribetarget.camera import Camera
from scribetarget.errors import SightingError
from scribetarget.lens import project, rotation_matrix
from scribetarget.printscale import PrintScale
from scribetarget.sighting import Sighting
from scribetarget.spec import corner_positions_mm
from scribetarget.view import View

Array = NDArray[np.float64]

MOST_ROUNDS = 30
SETTLED = 1e-9
MOST_DAMPING = 1e6
# Of an uncalibrated camera: focal length and principal point.
FOCAL_PART = (0, 2, 3)
# A corner this many standard uncertainties off is no corner: one in 10 000 by chance is kept out.
OUTLIER = 4.5
FEWEST_CORNERS = 12
STEEPEST_DEG = 45.0
# A sheet that bends by more than this moves the plate's edge about as much as a careful U.
BENT_MM = 0.1
STEPS = np.array([1e-2, 1e-6, 1e-2, 1e-2, *[1e-6] * 8, *[1e-4] * 3, 1e-6, 1e-6])


def solve_view(sighting: Sighting, camera: Camera, scale: PrintScale) -> View:
    """Solve pose, lens and print scale from the corners seen in one photo.

    Parameters
    ----------
    sighting : Sighting
    camera : Camera
        A profile or a guess, with its covariance.
    scale : PrintScale

    Raises
    ------
    SightingError
        ``pose_impossible``, ``too_steep``, ``sheet_not_flat``.
    """
    ids = sighting.corner_ids
    drawn = np.column_stack([corner_positions_mm(sighting.spec, ids), np.zeros(len(ids))])
    prior = np.concatenate([camera.values, np.zeros(6), scale.values])
    start = prior.copy()
    start[9:15] = first_pose(drawn, sighting.corners_px, camera)
    information = np.zeros((17, 17))
    information[:9, :9] = np.linalg.inv(camera.covariance)
    information[15:, 15:] = np.linalg.inv(scale.covariance)
    keep = np.ones(len(ids), bool)
    for _ in range(3):
        predict = predictor(drawn[keep])
        seen, sigma = sighting.corners_px[keep], sighting.sigma_px[keep]
        values, jacobian, chi2 = _solve(predict, seen, sigma, start, prior, information)
        rest = sighting.corners_px - predictor(drawn)(values)
        off = np.hypot(*rest.T) / sighting.sigma_px
        good = off < OUTLIER * max(1.0, float(np.median(off)) / 1.18)
        if (good == keep).all() or good.sum() < FEWEST_CORNERS:
            break
        keep = good
    seen = jacobian.T @ jacobian / max(chi2, 1.0)
    parts = _covariance_parts(seen, camera, scale)
    view = View(
        spec=sighting.spec,
        camera=camera,
        scale=scale,
        values=values,
        covariance=np.asarray(sum(parts.values())),
        parts=parts,
        corner_ids=ids[keep],
        corners_px=sighting.corners_px[keep],
        residuals_px=rest[keep],
        sigma_px=sighting.sigma_px[keep],
        reduced_chi2=chi2,
    )
    _refuse(view)
    return view


def tilt_deg(view: View) -> float:
    """Return how far the camera looked from straight down on the sheet."""
    facing = abs(float(rotation_matrix(view.values[9:12])[2, 2]))
    return float(np.degrees(np.arccos(min(facing, 1.0))))


def residual_mm(view: View) -> float:
    """Return the RMS distance of the corners from where a flat sheet has them, on the sheet."""
    size = float(np.sqrt((view.residuals_px**2).sum(axis=1).mean()))
    return size * float(view.values[14]) / float(view.values[0])


def predictor(drawn_mm: Array) -> Callable[[Array], Array]:
    """Return the function from 17 parameters to the places (N, 2) [px] of points (N, 3) [mm]."""

    def predict(values: Array) -> Array:
        stretched = drawn_mm * [values[15], values[16], 1.0]
        return project(values, stretched)

    return predict


def first_pose(drawn_mm: Array, seen_px: Array, camera: Camera) -> Array:
    """Return rotation vector and translation (6,) from the closed form for a plane.

    Parameters
    ----------
    drawn_mm : ndarray, shape (N, 3), float64
        Points of the plane z = 0.
    seen_px : ndarray, shape (N, 2), float64
    camera : Camera

    Raises
    ------
    SightingError
        ``pose_impossible``.

    References
    ----------
    T. Collins, A. Bartoli, Infinitesimal plane-based pose estimation, IJCV 109 (2014) 252-286.
    """
    f, aspect, cx, cy, k1, k2, p1, p2, k3 = camera.values
    matrix = np.array([[f, 0, cx], [0, f * aspect, cy], [0, 0, 1]])
    bend = np.array([k1, k2, p1, p2, k3])
    try:
        found, turn, shift = cv2.solvePnP(drawn_mm, seen_px, matrix, bend, flags=cv2.SOLVEPNP_IPPE)
    except cv2.error:
        found = False
    if not found:
        raise SightingError(
            "pose_impossible",
            "The target's corners do not fit any view of a flat sheet.",
            "Lay the sheet flat and take the photo again.",
        )
    return np.concatenate([turn.ravel(), shift.ravel()])


def _solve(
    predict: Callable[[Array], Array],
    seen_px: Array,
    sigma_px: Array,
    start: Array,
    prior: Array,
    information: Array,
) -> tuple[Array, Array, float]:
    """Return parameters (17,), weighted Jacobian (2N, 17) and reduced chi-square (Levenberg)."""
    weight = np.repeat(1 / sigma_px, 2)

    def state(values: Array) -> tuple[Array, float]:
        rest = (seen_px - predict(values)).ravel() * weight
        away = values - prior
        return rest, float(rest @ rest + away @ information @ away)

    values, damping = start.copy(), 1e-3
    rest, cost = state(values)
    for _ in range(MOST_ROUNDS):
        jacobian = jacobian_of(predict, values) * weight[:, None]
        normal = jacobian.T @ jacobian + information
        gradient = jacobian.T @ rest - information @ (values - prior)
        while True:
            step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), gradient)
            new_rest, new_cost = state(values + step)
            if new_cost <= cost or damping > MOST_DAMPING:
                break
            damping *= 10
        gain = cost - new_cost
        values, rest, cost, damping = values + step, new_rest, new_cost, damping / 10
        if gain <= SETTLED * max(cost, 1.0):
            break
    # The priors carry lens and print: the photo itself fixes the pose and what it can of the rest.
    freedom = max(len(rest) - 6, 1)
    return values, jacobian_of(predict, values) * weight[:, None], float(rest @ rest) / freedom


def jacobian_of(predict: Callable[[Array], Array], values: Array) -> Array:
    """Return central differences (2N, 17) of a prediction, x and y of a point in turn."""
    columns = []
    for k, step in enumerate(STEPS):
        change = np.zeros(17)
        change[k] = step
        columns.append((predict(values + change) - predict(values - change)).ravel() / (2 * step))
    return np.array(columns).T


def _covariance_parts(seen: Array, camera: Camera, scale: PrintScale) -> dict[str, Array]:
    """Work out the covariance by cause from the corners' information (17, 17).

    The estimate is linear in its inputs, so with H the information of all of them together each
    input's part is ``H⁻¹ (information of that input) H⁻¹`` and the parts add up to ``H⁻¹``.
    """
    lens, focal, print_scale = (np.zeros((17, 17)) for _ in range(3))
    inverse = np.linalg.inv(camera.covariance)
    if camera.source == "profile":
        lens[:9, :9] = inverse
    else:
        for k in range(9):
            (focal if k in FOCAL_PART else lens)[k, k] = inverse[k, k]
    print_scale[15:, 15:] = np.linalg.inv(scale.covariance)
    covariance = np.linalg.inv(seen + lens + focal + print_scale)
    by_scale = covariance[:, 15:] @ np.linalg.inv(scale.covariance)
    return {
        "corners": covariance @ seen @ covariance,
        "lens": covariance @ lens @ covariance,
        "focal": covariance @ focal @ covariance,
        "bars": by_scale @ (scale.covariance - scale.climate) @ by_scale.T,
        "climate": by_scale @ scale.climate @ by_scale.T,
    }


def _refuse(view: View) -> None:
    """Raise when the view cannot carry a measurement."""
    if view.values[14] <= 0:
        raise SightingError(
            "pose_impossible",
            "The target's corners do not fit any view of a flat sheet.",
            "Lay the sheet flat and take the photo again.",
        )
    tilt = tilt_deg(view)
    if tilt > STEEPEST_DEG:
        raise SightingError(
            "too_steep",
            f"The photo was taken {tilt:.0f} degrees from straight above; more than "
            f"{STEEPEST_DEG:.0f} is too steep to measure.",
            "Hold the phone so that it looks down on the plate, 10 to 20 degrees from straight.",
        )
    bent = residual_mm(view)
    if bent > BENT_MM:
        raise SightingError(
            "sheet_not_flat",
            f"The target's corners lie {bent:.2f} mm (RMS) from where a flat sheet has them.",
            "Lay the sheet flat on something hard, tape its edges down, and take the photo again.",
        )
