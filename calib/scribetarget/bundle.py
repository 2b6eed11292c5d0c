"""Bundle adjustment: one lens and one sheet seen in many photos, solved together.

The model is that of `scribetarget.pose` with lens and print scale shared by all photos; the
parameters are lens (9), print scale (2), then six of pose for each photo.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribetarget.adjustment import predict
from scribetarget.camera import Camera
from scribetarget.pose import first_pose
from scribetarget.printscale import PrintScale
from scribetarget.sighting import Sighting
from scribetarget.spec import corner_positions_mm

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

SHARED = 11
# Residuals beyond this many standard uncertainties pull no harder (Huber), so that a wrong corner
# cannot bend the lens before it is found out.
SOFT = 2.5
# As in a single photo: one corner in 10 000 is kept out by chance.
OUTLIER = 4.5
# The median of the distance of a plane normal deviate from its middle, in standard deviations.
MEDIAN_DISTANCE = 1.18
FEWEST_CORNERS = 8
ROUNDS = 4
MOST_ROUNDS = 50
SETTLED = 1e-9
WORST_DAMPING = 1e6


@dataclass(frozen=True, slots=True)
class PointView:
    """Known points of a flat thing as seen in one photo.

    Attributes
    ----------
    drawn_mm : ndarray, shape (N, 3), float64
        Before the print scale; z = 0.
    seen_px : ndarray, shape (N, 2), float64
    sigma_px : ndarray, shape (N,), float64
        Standard uncertainty along either axis.
    """

    drawn_mm: Array
    seen_px: Array
    sigma_px: Array


def view_of_sighting(sighting: Sighting) -> PointView:
    """Return the corners of our own target in one photo."""
    flat = corner_positions_mm(sighting.spec, sighting.corner_ids)
    drawn = np.column_stack([flat, np.zeros(len(flat))])
    return PointView(drawn, sighting.corners_px, sighting.sigma_px)


@dataclass(frozen=True, slots=True)
class Bundle:
    """What many photos say together.

    Attributes
    ----------
    lens : ndarray, shape (9,), float64
        In the order of `scribetarget.camera.LENS_NAMES`.
    scale : ndarray, shape (2,), float64
    poses : ndarray, shape (V, 6), float64
        Rotation vector [rad] and translation [mm] of each photo.
    covariance : ndarray, shape (11 + 6 V, 11 + 6 V), float64
        Of lens, scale and poses in this order.
    residuals_px : tuple of ndarray, shape (N, 2)
        Seen minus predicted, all points of each photo.
    kept : tuple of ndarray of bool, shape (N,)
        Points that took part.
    reduced_chi2 : float
        Of the points that took part; the covariance is widened by it where it exceeds 1.
    lens_without : ndarray, shape (V, 9), float64
        The lens as it would be without each photo in turn (one Gauss-Newton step).
    photo_scatter : float
        Variance of the lens by the jackknife over photos, over that by `covariance`, averaged
        over what the nine numbers can do together. Corner errors that are alike within a photo
        (light, focus, a sheet that moved) show here and not in `reduced_chi2`.
    """

    lens: Array
    scale: Array
    poses: Array
    covariance: Array
    residuals_px: tuple[Array, ...]
    kept: tuple[Mask, ...]
    reduced_chi2: float
    lens_without: Array
    photo_scatter: float


def adjust(views: Sequence[PointView], prior: Camera, scale: PrintScale) -> Bundle:
    """Solve lens, print scale and poses by weighted least squares with priors.

    Parameters
    ----------
    views : sequence of PointView
    prior : Camera
        What is known of the lens beforehand, with its covariance.
    scale : PrintScale

    Raises
    ------
    SightingError
        ``pose_impossible`` when a photo's points fit no view of a flat thing.
    """
    poses = [first_pose(view.drawn_mm, view.seen_px, prior) for view in views]
    state = np.concatenate([prior.values, scale.values, *poses])
    known = _Prior(state[:SHARED].copy(), _information(prior, scale))
    kept = tuple(np.ones(len(view.seen_px), bool) for view in views)
    state = _solve(views, kept, known, state, SOFT)
    for _ in range(ROUNDS):
        before, kept = kept, _good(views, state)
        state = _solve(views, kept, known, state, np.inf)
        if all(np.array_equal(a, b) for a, b in zip(before, kept, strict=True)):
            break
    return _bundle(views, kept, known, state)


@dataclass(frozen=True, slots=True)
class _Prior:
    """Lens and print scale as known beforehand: values (11,) and information (11, 11)."""

    values: Array
    information: Array


def _information(prior: Camera, scale: PrintScale) -> Array:
    information = np.zeros((SHARED, SHARED))
    information[:9, :9] = np.linalg.inv(prior.covariance)
    information[9:, 9:] = np.linalg.inv(scale.covariance)
    return information


def _parameters_of_view(state: Array, number: int) -> Array:
    """Return the 17 parameters of one photo, as `scribetarget.view.VIEW_NAMES` orders them."""
    first = SHARED + 6 * number
    return np.concatenate([state[:9], state[first : first + 6], state[9:SHARED]])


def _rest(view: PointView, state: Array, number: int) -> Array:
    predicted = predict(view.drawn_mm, _parameters_of_view(state, number)).places_px
    return np.asarray(view.seen_px - predicted)


def _residuals(views: Sequence[PointView], kept: Sequence[Mask], state: Array) -> Array:
    """Return the kept residuals in standard uncertainties, one photo after the other."""
    return np.concatenate(
        [
            (_rest(view, state, k)[keep] / view.sigma_px[keep, None]).ravel()
            for k, (view, keep) in enumerate(zip(views, kept, strict=True))
        ]
    )


def _jacobian(views: Sequence[PointView], kept: Sequence[Mask], state: Array) -> Array:
    """Return the derivative of `_residuals`; a photo's rows see its own pose alone."""
    blocks = []
    for k, (view, keep) in enumerate(zip(views, kept, strict=True)):
        parameters = _parameters_of_view(state, k)
        own = predict(view.drawn_mm[keep], parameters).by_values
        own = -own / np.repeat(view.sigma_px[keep], 2)[:, None]
        block = np.zeros((len(own), len(state)))
        block[:, :9], block[:, 9:SHARED] = own[:, :9], own[:, 15:]
        block[:, SHARED + 6 * k : SHARED + 6 * k + 6] = own[:, 9:15]
        blocks.append(block)
    return np.concatenate(blocks)


def _solve(
    views: Sequence[PointView], kept: Sequence[Mask], known: _Prior, start: Array, soft: float
) -> Array:
    """Return the state of least cost (Levenberg); beyond `soft` residuals pull no harder."""
    state, damping = start, 1e-3
    rest = _residuals(views, kept, state)
    for _ in range(MOST_ROUNDS):
        weight = np.minimum(1.0, soft / np.maximum(np.abs(rest), 1e-9))
        normal, gradient = _normal_equations(views, kept, known, state, rest, weight)
        cost = _cost(rest, soft, known, state)
        while True:
            step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), gradient)
            tried = _residuals(views, kept, state + step)
            gain = cost - _cost(tried, soft, known, state + step)
            if gain >= 0 or damping > WORST_DAMPING:
                break
            damping *= 10
        if gain < 0:
            break
        state, rest, damping = state + step, tried, damping / 10
        if gain <= SETTLED * max(cost, 1.0):
            break
    return state


def _cost(rest: Array, soft: float, known: _Prior, state: Array) -> float:
    """Return Huber's cost of the residuals, and that of leaving what was known."""
    size = np.abs(rest)
    huber = np.where(size <= soft, rest**2, (2 * size - soft) * soft if np.isfinite(soft) else 0)
    away = state[:SHARED] - known.values
    return float(huber.sum() + away @ known.information @ away)


def _normal_equations(
    views: Sequence[PointView],
    kept: Sequence[Mask],
    known: _Prior,
    state: Array,
    rest: Array,
    weight: Array,
) -> tuple[Array, Array]:
    slope = _jacobian(views, kept, state)
    weighted = slope * weight[:, None]
    normal, gradient = weighted.T @ slope, -weighted.T @ rest
    normal[:SHARED, :SHARED] += known.information
    gradient[:SHARED] -= known.information @ (state[:SHARED] - known.values)
    return normal, gradient


def _good(views: Sequence[PointView], state: Array) -> tuple[Mask, ...]:
    """Return which points are corners and which are something else."""
    off = [np.hypot(*_rest(view, state, k).T) / view.sigma_px for k, view in enumerate(views)]
    usual = max(1.0, float(np.median(np.concatenate(off))) / MEDIAN_DISTANCE)
    good = [each < OUTLIER * usual for each in off]
    # A photo that loses nearly all its points keeps them: its RMS tells that something is wrong.
    return tuple(
        each if each.sum() >= FEWEST_CORNERS else np.ones(len(each), bool) for each in good
    )


def _bundle(
    views: Sequence[PointView], kept: tuple[Mask, ...], known: _Prior, state: Array
) -> Bundle:
    rest, slope = _residuals(views, kept, state), _jacobian(views, kept, state)
    freedom = max(len(rest) - len(state) + SHARED, 1)
    chi2 = float(rest @ rest) / freedom
    normal = slope.T @ slope / max(chi2, 1.0)
    normal[:SHARED, :SHARED] += known.information
    covariance = _inverse(normal)
    without = state[:SHARED] - _shifts(views, kept, known, state)
    return Bundle(
        lens=state[:9],
        scale=state[9:SHARED],
        poses=state[SHARED:].reshape(-1, 6),
        covariance=covariance,
        residuals_px=tuple(_rest(view, state, k) for k, view in enumerate(views)),
        kept=kept,
        reduced_chi2=chi2,
        lens_without=without[:, :9],
        photo_scatter=_scatter(without[:, :9] - state[:9], covariance[:9, :9]),
    )


def _shifts(
    views: Sequence[PointView], kept: tuple[Mask, ...], known: _Prior, state: Array
) -> Array:
    """Return what each photo adds to lens and print scale (V, 11), poses solved along."""
    information, pulls = [], []
    for k, (view, keep) in enumerate(zip(views, kept, strict=True)):
        slope = _jacobian([view], [keep], _parameters_alone(state, k))
        own, _ = np.linalg.qr(slope[:, SHARED:])
        slope = slope[:, :SHARED] - own @ (own.T @ slope[:, :SHARED])
        rest = _residuals([view], [keep], _parameters_alone(state, k))
        information.append(slope.T @ slope)
        pulls.append(-slope.T @ rest)
    total = np.sum(information, axis=0) + known.information
    return np.array(
        [_inverse(total - part) @ pull for part, pull in zip(information, pulls, strict=True)]
    )


def _parameters_alone(state: Array, number: int) -> Array:
    """Return lens, print scale and one pose as the state of a bundle of one photo."""
    first = SHARED + 6 * number
    return np.concatenate([state[:SHARED], state[first : first + 6]])


def _scatter(away: Array, covariance: Array) -> float:
    """Return the jackknife's variance over the stated one, mean over the nine directions.

    Reference: B. Efron, C. Stein, The jackknife estimate of variance, Ann. Statist. 9 (1981) 586.
    """
    count = len(away)
    jackknife = (count - 1) / count * away.T @ away
    return float(np.trace(_inverse(covariance) @ jackknife)) / len(covariance)


def _inverse(normal: Array) -> Array:
    """Invert a matrix whose rows have very different units."""
    size = np.sqrt(np.diag(normal))
    return np.asarray(np.linalg.inv(normal / np.outer(size, size)) / np.outer(size, size))
