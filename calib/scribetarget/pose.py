"""Where camera and sheet stood to each other: pose, lens and print scale from one photo.

All 17 parameters are solved at once by weighted least squares, the corners as observations and what
is known of camera and print beforehand as observations too (a Gauss-Markov model with priors, or
maximum a posteriori estimate), so the covariance holds every trade-off between them. A sheet that
is not quite flat enters as noise that neighbouring corners share (`scribetarget.ripple`).
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scribetarget.adjustment import Known, inverse_of, known_of, predict, settle
from scribetarget.camera import Camera
from scribetarget.camerafit import U_REFOCUS, U_STABILISER, half_turned
from scribetarget.errors import SightingError
from scribetarget.lens import rotation_matrix
from scribetarget.misfit import loosened, misfit, refuse_bent, refuse_unusable
from scribetarget.printscale import PrintScale, doubted_scale
from scribetarget.ripple import Absorbed, Ripple, estimate_ripple
from scribetarget.sighting import Sighting
from scribetarget.spec import corner_positions_mm
from scribetarget.view import View
from scribetarget.wording import say

Array = NDArray[np.float64]

# A corner this many standard uncertainties off is no corner: one in 10 000 by chance is kept out.
OUTLIER = 4.5
# The median distance of points scattered evenly in both axes, in standard deviations of one.
USUAL_DISTANCE = 1.18
FEWEST_CORNERS = 12
# Of numerical derivatives, about a thousandth of what one photo tells of each parameter.
STEPS = np.array([1e-2, 1e-6, 1e-2, 1e-2, *[1e-6] * 8, *[1e-4] * 3, 1e-6, 1e-6])
# What only a guess of the focal length leaves open: f and the principal point.
FOCAL_PART = (0, 2, 3)
# Natural logarithm of how much more probable another camera must make the corners before this one
# is given up: 20 000 to 1.
PLAINLY_BETTER = 10.0
# Bars that were swapped or misread are off by no more than printers stretch.
WORST_BARS = 0.004


@dataclass(frozen=True, slots=True)
class _Solution:
    """One camera's account of the corners."""

    camera: Camera
    values: Array
    slopes: Array
    ripple: Ripple
    keep: NDArray[np.bool_]
    rest_px: Array


def solve_view(sighting: Sighting, camera: Camera, scale: PrintScale) -> View:
    """Solve pose, lens and print scale from the corners seen in one photo.

    Parameters
    ----------
    sighting : Sighting
    camera : Camera
        A profile or a guess, with its covariance. A profile may also be of the picture turned by
        half a turn: a phone held over a table does not know which way is up.
    scale : PrintScale

    Raises
    ------
    SightingError
        ``pose_impossible``, ``too_steep``, ``sheet_not_flat``, ``camera_misfit``.
    """
    if camera.source == "profile":
        solution, scale = _best_turn(sighting, camera, scale)
    else:
        solution = _solve(sighting, camera, scale)
    view = _view(sighting, scale, solution)
    refuse_unusable(view)
    return view


def tilt_deg(view: View) -> float:
    """Return how far the camera looked from straight down on the sheet."""
    facing = abs(float(rotation_matrix(view.values[9:12])[2, 2]))
    return float(np.degrees(np.arccos(min(facing, 1.0))))


def residual_mm(view: View) -> float:
    """Return the RMS distance of the corners from where the view has them, on the sheet."""
    size = float(np.sqrt((view.residuals_px**2).sum(axis=1).mean()))
    return size * float(view.values[14]) / float(view.values[0])


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
    if not found or not np.isfinite([turn, shift]).all():
        raise SightingError(
            "pose_impossible",
            say("The target's corners do not fit any view of a flat sheet."),
            say("Lay the sheet flat and take the photo again."),
        )
    return np.concatenate([turn.ravel(), shift.ravel()])


def _solve(
    sighting: Sighting, camera: Camera, scale: PrintScale, keep: NDArray[np.bool_] | None = None
) -> _Solution:
    """Solve with independent corners, leave out wrong ones, then solve with a rippled sheet.

    Which corners to keep may be given: only from the same corners can cameras be compared.
    """
    ids = sighting.corner_ids
    drawn = np.column_stack([corner_positions_mm(sighting.spec, ids), np.zeros(len(ids))])
    known = known_of(camera, scale)
    values = known.values.copy()
    values[9:15] = first_pose(drawn, sighting.corners_px, camera)
    if keep is None:
        values, keep = _without_outliers(drawn, sighting, known, values)
    seen, sigma, used = sighting.corners_px[keep], sighting.sigma_px[keep], drawn[keep]
    noise = np.diag(np.repeat(sigma**2, 2))
    values, _ = settle(used, seen, noise, known, values)
    ripple = _ripple(used, seen, sigma, known, values, None)
    values, _ = settle(used, seen, ripple.own + ripple.sheet, known, values)
    # Once more where slopes and residuals are those of the end.
    ripple = _ripple(used, seen, sigma, known, values, ripple)
    values, slopes = settle(used, seen, ripple.own + ripple.sheet, known, values)
    rest = sighting.corners_px - predict(drawn, values).places_px
    return _Solution(camera, values, slopes, ripple, keep, rest)


def _without_outliers(
    drawn_mm: Array, sighting: Sighting, known: Known, start: Array
) -> tuple[Array, NDArray[np.bool_]]:
    """Return parameters (17,) from corners taken as independent, and which corners belong."""
    keep = np.ones(len(drawn_mm), bool)
    for _ in range(3):
        noise = np.diag(np.repeat(sighting.sigma_px[keep] ** 2, 2))
        values, _ = settle(drawn_mm[keep], sighting.corners_px[keep], noise, known, start)
        rest = sighting.corners_px - predict(drawn_mm, values).places_px
        off = np.hypot(*rest.T) / sighting.sigma_px
        good = off < OUTLIER * max(1.0, float(np.median(off)) / USUAL_DISTANCE)
        if (good == keep).all() or good.sum() < FEWEST_CORNERS:
            break
        keep = good
    return values, keep


def _ripple(
    drawn_mm: Array,
    seen_px: Array,
    sigma_px: Array,
    known: Known,
    values: Array,
    before: Ripple | None,
) -> Ripple:
    """Estimate the noise of the corners about what was known beforehand, the pose left free."""
    now = predict(drawn_mm, values)
    away = values - known.values
    away[9:15] = 0.0
    residual = (seen_px - now.places_px).ravel() + now.by_values @ away
    absorbed = Absorbed(now.by_values[:, 9:15], now.by_values @ known.root)
    return estimate_ripple(drawn_mm[:, :2], sigma_px, now.by_points, residual, absorbed, before)


def _best_turn(
    sighting: Sighting, camera: Camera, scale: PrintScale
) -> tuple[_Solution, PrintScale]:
    """Take the profile the way up that the corners show; refuse it when neither fits.

    A lens that is known tells the ratio of the sheet's two stretches: where the bars say another, it
    is the bars that are believed less.
    """
    free = _solve(sighting, loosened(camera), scale)
    needed = free.ripple.log_likelihood - PLAINLY_BETTER
    for candidate in (camera, half_turned(camera)):
        solution = _solve(sighting, candidate, scale, free.keep)
        if solution.ripple.log_likelihood >= needed:
            return solution, scale
    for candidate in (camera, half_turned(camera)):
        solution = _solve(sighting, candidate, doubted_scale(scale, WORST_BARS), free.keep)
        if solution.ripple.log_likelihood >= needed:
            shown = solution.values[15] / solution.values[16]
            off = abs(float(shown / (scale.values[0] / scale.values[1])) - 1)
            # Either bar may be the wrong one.
            widened = doubted_scale(scale, off / np.sqrt(2))
            return _solve(sighting, candidate, widened, free.keep), widened
    refuse_bent(free.ripple.height_mm)
    raise misfit(camera)


def _view(sighting: Sighting, scale: PrintScale, solution: _Solution) -> View:
    """Put the view together, its covariance by cause."""
    keep, values = solution.keep, solution.values
    parts, roots = _covariance_parts(solution, scale)
    seen = solution.rest_px[keep]
    off = seen / sighting.sigma_px[keep, None]
    return View(
        spec=sighting.spec,
        camera=solution.camera,
        scale=scale,
        values=values,
        covariance=np.asarray(sum(parts.values())),
        parts=parts,
        corner_ids=sighting.corner_ids[keep],
        corners_px=sighting.corners_px[keep],
        residuals_px=seen,
        sigma_px=sighting.sigma_px[keep],
        # The priors carry lens and print: the photo fixes the pose and what it can of the rest.
        reduced_chi2=float((off**2).sum()) / max(off.size - 6, 1),
        ripple_mm=solution.ripple.height_mm,
        roots=roots,
    )


def _covariance_parts(
    solution: _Solution, scale: PrintScale
) -> tuple[dict[str, Array], dict[str, Array]]:
    """Work out the covariance by cause, and the roots of the causes that photos share.

    The estimate is linear in its inputs: with S the corners' noise, J their slopes, P the
    information known before and H = J' S⁻¹ J + P, the corners enter by A = H⁻¹ J' S⁻¹ and what was
    known by H⁻¹ P. Each input's part is its covariance carried through; the parts add up to H⁻¹,
    and the sheet's has the height of the plate's place beside.
    """
    ripple, camera = solution.ripple, solution.camera
    known = known_of(camera, scale)
    weighted = np.linalg.solve(ripple.own + ripple.sheet, solution.slopes).T
    covariance = inverse_of(weighted @ solution.slopes + known.information)
    by_corners = covariance @ weighted
    by_known = covariance @ known.information
    by_lens, by_scale = by_known @ known.root[:, :9], by_known[:, 15:]
    guessed = list(FOCAL_PART) if camera.source != "profile" else []
    roots = {
        "lens": by_known[:, :9] @ _lasting(camera)
        if not guessed
        else np.delete(by_lens, guessed, 1),
        "focal": by_lens[:, guessed],
        "bars": by_scale @ _root(scale.covariance - scale.climate - scale.caliper),
        "caliper": by_scale @ _root(scale.caliper),
        "climate": by_scale @ _root(scale.climate),
    }
    # The plate lies amid the corners, where the sheet may be nearer or farther than theirs.
    sunk = np.zeros(17)
    sunk[12:15] = rotation_matrix(solution.values[9:12])[:, 2] * ripple.sag_mm
    parts = {cause: root @ root.T for cause, root in roots.items()}
    if not guessed:
        parts["lens"] = by_lens @ by_lens.T
    parts["corners"] = by_corners @ ripple.own @ by_corners.T
    parts["sheet"] = by_corners @ ripple.sheet @ by_corners.T + np.outer(sunk, sunk)
    return parts, roots


def _lasting(camera: Camera) -> Array:
    """Return a root (9, 9) of what stays wrong with a profile from photo to photo.

    Focus and stabiliser are set anew for each; the rest was fixed when the profile was made.
    """
    passing = np.zeros(9)
    passing[0] = U_REFOCUS * camera.values[0]
    passing[2:4] = U_STABILISER * max(camera.width_px, camera.height_px)
    try:
        return np.asarray(np.linalg.cholesky(camera.covariance - np.diag(passing**2)))
    except np.linalg.LinAlgError:  # not widened for one photo, so all of it lasts
        return np.asarray(np.linalg.cholesky(camera.covariance))


def _root(covariance: Array) -> Array:
    """Return the symmetric square root, the same for photos that know the same."""
    sizes, axes = np.linalg.eigh(covariance)
    return np.asarray((axes * np.sqrt(np.maximum(sizes, 0.0))) @ axes.T)
