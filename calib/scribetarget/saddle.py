"""Sub-pixel places of chessboard corners, each with its uncertainty.

Two edges cross at a corner, ink and paper take turns round it. The window round a corner is
described by those two edges, each with its own blur, over paper and ink that may shade evenly.
Only pixels near the edges are used, and none from the markers that stand inside the white
squares. The windows of all corners are solved at once by Gauss-Newton steps.

The model is point-symmetric about the corner, so what it does not know but shares that symmetry
(a camera's tone curve, a halo of sharpening, ink that spreads) leaves the place alone; a tone
curve and a halo have a term of their own so that they do not inflate the uncertainty either.
"""

import math
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from scribetarget.window import Scene, Windows, cut_windows

Array = NDArray[np.float64]

# Longer arms average more noise, but an arm of 24 px is where a phone lens's bend begins to
# show (0.005 px at the picture's edge), and the time grows with it.
_REACH_PX = 24.0
_FIRST_REACH_PX = 12.0
_FIRST_BLUR_PX = 2.0  # wider than a sharp edge, so that a guess 2-3 px off is pulled in
_BLUR_RANGE_PX = (0.3, 8.0)
_PLACE, _TURN, _BLUR, _SHADE, _TONE = (
    slice(0, 2), slice(2, 4), slice(4, 6), slice(6, 12), slice(12, 14),
)  # fmt: skip
_TERMS = 14
_WHITEST = 255
_NOISELESS = 1e-12
_TIED_PX = 2
_GAIN_CORNERS = 24  # enough to know the noise's gain to a tenth, in a third of the time
_ERF_AT = np.linspace(-4.0, 4.0, 2001)
_ERF = np.array([math.erf(at) for at in _ERF_AT])


@dataclass(frozen=True, slots=True)
class Saddles:
    """Corners found, in the order of the guesses; nothing is dropped here.

    Attributes
    ----------
    corners_px : ndarray, shape (N, 2), float64
    sigma_px : ndarray, shape (N,), float64
        Standard uncertainty from the noise of the window, per axis.
    blur_px : ndarray, shape (N,), float64
        Standard deviation of the blurrier of the two edges.
    mean_level, contrast : ndarray, shape (N,), float64
        Middle between paper and ink, and paper minus ink; negative when the colours are swapped.
    residual : ndarray, shape (N,), float64
        RMS of picture minus model [grey levels].
    clipped_share : ndarray, shape (N,), float64
        Share of window pixels at 0 or 255.
    step_px : ndarray, shape (N,), float64
        Last move; large where the solution had not settled.
    edge_blur_px : ndarray, shape (N, 2), float64
        Standard deviation of the blur across each of the two edges.
    dark_ahead : ndarray, shape (N,), bool
        As given: True where the square towards +x, +y is ink.
    """

    corners_px: Array
    sigma_px: Array
    blur_px: Array
    mean_level: Array
    contrast: Array
    residual: Array
    clipped_share: Array
    step_px: Array
    edge_blur_px: Array
    dark_ahead: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Fit:
    """Where the steps ended, for each corner."""

    state: Array  # (N, 14)
    inverse_normal: Array  # (N, 14, 14)
    weighted: Array  # (N, 14, P) slopes times pixel weights
    residual: Array  # (N, P)
    step_px: Array  # (N,)


def refine_saddles(
    grey: NDArray[np.uint8],
    guesses_px: Array,
    axes_px: Array,
    dark_ahead: NDArray[np.bool_],
) -> Saddles:
    """Find corners near guesses.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    guesses_px : ndarray, shape (N, 2), float64
        Where each corner should be, within about 3 px (a quarter of that when blur is small and
        squares are under 30 px).
    axes_px : ndarray, shape (N, 2, 2), float64
        Columns: one square along the sheet's x and y, as seen there [px].
    dark_ahead : ndarray, shape (N,), bool
        True where the square towards +x, +y is ink.

    Returns
    -------
    Saddles
        A corner that is not there comes back with low or negative contrast, a large residual or
        a large last step: judging that is left to the caller.
    """
    inverse = np.linalg.inv(axes_px)
    normals = inverse / np.linalg.norm(inverse, axis=2, keepdims=True)
    turns = np.arctan2(normals[:, :, 1], normals[:, :, 0])
    across = 1 / np.linalg.norm(inverse, axis=2)  # (N, 2) px per square across each edge
    start = np.full((len(turns), 2), _FIRST_BLUR_PX)
    state = np.column_stack([guesses_px, turns, start, np.zeros((len(turns), 8))])
    near = Scene(grey, across, dark_ahead, _FIRST_REACH_PX)
    far = Scene(grey, across, dark_ahead, _REACH_PX)
    state, _ = _pass(near, state, 4)
    state, saddles = _pass(far, state, 2)
    # Edges far out of focus creep: their slope is shallow and trades against the blur.
    slow = ~settled(saddles)
    if slow.any():
        part = Scene(grey, across[slow], dark_ahead[slow], _REACH_PX)
        _, again = _pass(part, state[slow], 6)
        for field in fields(Saddles):
            getattr(saddles, field.name)[slow] = getattr(again, field.name)
    return saddles


def settled(saddles: Saddles) -> NDArray[np.bool_]:
    """Return which corners had stopped moving: a last step well below their uncertainty."""
    still: NDArray[np.bool_] = saddles.step_px < np.maximum(0.02, 0.25 * saddles.sigma_px)
    return still


def _pass(scene: Scene, state: Array, rounds: int) -> tuple[Array, Saddles]:
    windows = cut_windows(scene, state)
    fit = _solve(windows, state, rounds)
    return fit.state, _summary(windows, fit, scene.dark_ahead)


def _solve(windows: Windows, state: Array, rounds: int) -> _Fit:
    """Take Gauss-Newton steps, each no longer than the window can judge."""
    state = state.copy()
    jacobian, _ = _linearise(windows, state)
    shade = jacobian[:, 6:] * windows.weight[:, None]
    normal = shade @ jacobian[:, 6:].swapaxes(1, 2)
    state[:, 6:] = _solve_damped(normal, shade @ windows.grey[..., None])
    step = np.zeros((len(state), _TERMS))
    for _ in range(rounds):
        jacobian, residual = _linearise(windows, state)
        weighted = jacobian * windows.weight[:, None]
        normal = weighted @ jacobian.swapaxes(1, 2)
        step = _solve_damped(normal, weighted @ residual[..., None])
        step[:, _PLACE] = np.clip(step[:, _PLACE], -1.5, 1.5)
        step[:, _TURN] = np.clip(step[:, _TURN], -0.1, 0.1)
        limit = 0.3 * state[:, _BLUR]
        step[:, _BLUR] = np.clip(step[:, _BLUR], -limit, limit)
        state += step
        state[:, _BLUR] = np.clip(state[:, _BLUR], *_BLUR_RANGE_PX)
    last = np.asarray(np.abs(step[:, _PLACE]).max(axis=1), dtype=np.float64)
    inverse_normal = np.asarray(np.linalg.inv(_damped(normal)), dtype=np.float64)
    return _Fit(state, inverse_normal, weighted, residual, last)


def _linearise(windows: Windows, state: Array) -> tuple[Array, Array]:
    """Slopes (N, 14, P) and picture minus model (N, P).

    With e the product of the two edges' profiles (+1 and -1 in opposite quadrants), the model is
    ``(1, x, y) a + e (1, x, y) b + c (1 - e^2) + d e (1 - e^2)``: middle and contrast with an
    even shading each, and the first two shapes that a tone curve gives a blurred edge.
    """
    x = (windows.x - state[:, :1]) / windows.reach
    y = (windows.y - state[:, 1:2]) / windows.reach
    cosine, sine = np.cos(state[:, _TURN]), np.sin(state[:, _TURN])
    blur = state[:, _BLUR]
    profile, slope, aside, z = [], [], [], []
    for edge in (0, 1):
        c, s = cosine[:, edge, None], sine[:, edge, None]
        q = blur[:, edge, None]
        scaled = (x * c + y * s) * (windows.reach / q)
        profile.append(np.interp(scaled / math.sqrt(2), _ERF_AT, _ERF))
        slope.append(math.sqrt(2 / math.pi) / q * np.exp(-0.5 * scaled * scaled))
        aside.append((y * c - x * s) * windows.reach)
        z.append(scaled)
    cross = profile[0] * profile[1]
    tone = 1 - cross * cross
    jacobian = np.empty((len(state), _TERMS, x.shape[1]))
    jacobian[:, 6], jacobian[:, 7], jacobian[:, 8] = 1.0, x, y
    jacobian[:, 9], jacobian[:, 10], jacobian[:, 11] = cross, cross * x, cross * y
    jacobian[:, 12], jacobian[:, 13] = tone, cross * tone
    residual = windows.grey - (state[:, None, 6:] @ jacobian[:, 6:])[:, 0]
    gain = state[:, 9:10] + state[:, 10:11] * x + state[:, 11:12] * y
    gain = gain - 2 * state[:, 12:13] * cross + state[:, 13:14] * (3 * tone - 2)
    pulls = gain * slope[0] * profile[1], gain * slope[1] * profile[0]
    jacobian[:, 0] = -(pulls[0] * cosine[:, :1] + pulls[1] * cosine[:, 1:])
    jacobian[:, 1] = -(pulls[0] * sine[:, :1] + pulls[1] * sine[:, 1:])
    for edge in (0, 1):
        jacobian[:, 2 + edge] = pulls[edge] * aside[edge]
        jacobian[:, 4 + edge] = -pulls[edge] * z[edge]
    return jacobian, residual


def _summary(windows: Windows, fit: _Fit, dark_ahead: NDArray[np.bool_]) -> Saddles:
    weight = windows.weight
    spare = np.maximum(weight.sum(axis=1) - _TERMS, 1.0)
    rms = np.sqrt((weight * fit.residual**2).sum(axis=1) / spare)
    clipped = (weight > 0) & ((windows.grey <= 0) | (windows.grey >= _WHITEST))
    variance = fit.inverse_normal[:, [0, 1], [0, 1]].mean(axis=1) * rms**2
    return Saddles(
        corners_px=fit.state[:, _PLACE],
        sigma_px=np.sqrt(variance * _noise_gain(windows, fit, variance)),
        blur_px=fit.state[:, _BLUR].max(axis=1),
        mean_level=fit.state[:, 6],
        contrast=2 * fit.state[:, 9] * np.where(dark_ahead, -1.0, 1.0),
        residual=rms,
        clipped_share=clipped.sum(axis=1) / np.maximum((weight > 0).sum(axis=1), 1),
        step_px=fit.step_px,
        edge_blur_px=fit.state[:, _BLUR],
        dark_ahead=dark_ahead,
    )


def _noise_gain(windows: Windows, fit: _Fit, variance: Array) -> float:
    """By how much the windows' real noise exceeds even, independent noise, as variance.

    A camera's noise is larger on edges than on paper: the sandwich estimate sees that. Colour
    filters, sharpening and JPEG tie neighbouring pixels together: the correlation of the
    residuals, up to two pixels away (what a colour filter's interpolation spans), times how far
    the corner's place depends on both pixels alike. One corner's gain is rough, so all share the
    mean of the middle four fifths.
    """
    some = slice(None, None, max(len(variance) // _GAIN_CORNERS, 1))
    influence = (fit.inverse_normal[some, :2] @ fit.weighted[some]).swapaxes(0, 1)
    residual = fit.residual[some] * (windows.weight[some] > 0)
    own = (influence**2 * residual**2).sum(axis=(0, 2)) / 2
    # A window that is all paper or all clipped has no noise at all.
    sandwich = own / np.maximum(variance[some], _NOISELESS)
    gain = np.sort(sandwich * _ties(windows, some, influence, residual))
    tenth = len(gain) // 10
    return max(float(gain[tenth : len(gain) - tenth].mean()), 1.0)


def _ties(windows: Windows, some: slice, influence: Array, residual: Array) -> Array:
    """Return the variance of each corner's place over what independent noise would give."""
    x = (windows.x - windows.base_px[:, :1])[some].astype(np.intp)
    y = (windows.y - windows.base_px[:, 1:])[some].astype(np.intp)
    half = int(max(np.abs(x).max(), np.abs(y).max())) + _TIED_PX
    used = (windows.weight[some] > 0).astype(np.float64)
    grid = np.zeros((4, len(x), 2 * half + 1, 2 * half + 1))
    corner = np.arange(len(x))[:, None]
    for layer, values in enumerate((*influence, residual, used)):
        grid[layer, corner, y + half, x + half] = values
    alone = (grid**2).sum(axis=(2, 3))
    total = np.ones(len(x))
    for shift in np.ndindex(2 * _TIED_PX + 1, 2 * _TIED_PX + 1):
        dy, dx = shift[0] - _TIED_PX, shift[1] - _TIED_PX
        if (dy, dx) > (0, 0):  # the other half is the same by symmetry
            pairs = (grid * np.roll(grid, (dy, dx), axis=(2, 3))).sum(axis=(2, 3))
            shared = pairs / np.maximum(alone, _NOISELESS)
            tie = shared[2] / np.maximum(shared[3], 0.1)
            total += 2 * tie * (pairs[0] + pairs[1]) / np.maximum(alone[0] + alone[1], _NOISELESS)
    return np.asarray(total, dtype=np.float64)


def _damped(normal: Array) -> Array:
    """Keep a window without an edge solvable: its numbers are refused later, not here."""
    damped = normal.copy()
    term = np.arange(normal.shape[1])
    damped[:, term, term] = damped[:, term, term] * (1 + 1e-6) + 1e-9
    return damped


def _solve_damped(normal: Array, aim: Array) -> Array:
    return np.asarray(np.linalg.solve(_damped(normal), aim)[..., 0], dtype=np.float64)
