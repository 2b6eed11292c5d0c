"""From a rough place to a measured line: follow it over the plate, fit it, find its ends."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.beside import look_beside
from scribegauge.marks.chance import log10_chance_of_runs
from scribegauge.marks.groove import GrooveFit, fit_groove, follow
from scribegauge.marks.grooveshape import can_be_groove
from scribegauge.marks.metal import Metal
from scribegauge.marks.optics import describe, grey_profile
from scribegauge.marks.record import LineMark
from scribegauge.marks.strip import BIN_MM, GROOVE_REACH_MM, Strip, cut_strip
from scribegauge.plate.face import Face

SHORTEST_MM = 4.0
# Expected number of lines by chance on a whole plate that are still worth having: one in a
# thousand plates.
LOG10_NFA_LIMIT = -3.0
# About as many different straight lines can be told apart on a plate.
LOG10_LINES_ON_A_PLATE = 6.5
LOOK_MM = 4.0
# A line that is not seen for so long is judged by its parts.
GAP_MM = 2.0
# A straight line by a rule does not bow more than this over its length.
BOW_MM = 0.12
# A piece this short that bows more than a groove's half width belongs to an arc.
SHORT_PIECE_MM, SHORT_BOW_MM = 12.0, 0.035


def trace_line(
    grey: NDArray[np.uint8],
    face: Face,
    metal: Metal,
    ends_mm: NDArray[np.float64],
    log10_tests: float = LOG10_LINES_ON_A_PLATE,
) -> LineMark | None:
    """Measure the line near two points; None when there is none.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    metal : Metal
        Its mask says where the face is.
    ends_mm : ndarray, shape (2, 2), float64
        Two points near the line, good to about 0.2 mm.
    log10_tests : float
        Among how many possible places this one was chosen.
    """
    longer = _lengthened(grey, face, metal, ends_mm)
    if longer is None:
        return None
    strip, fit, first, last = longer
    runs = _seen_runs(strip, fit, first, last)
    log10_chance = log10_chance_of_runs(strip, fit, ((first, last), *runs))
    if log10_tests + log10_chance > LOG10_NFA_LIMIT or _bow_mm(fit) > BOW_MM:
        return None
    if not can_be_groove(grey_profile(strip, fit), strip.v_mm, blur_mm(face)):
        return None
    ends_mm = place(strip, fit, np.array([first, last]))
    # Neither noise along the line nor texture beside it may explain it: the likelier one counts.
    beside = look_beside(grey, face, metal, ends_mm)
    log10_nfa = log10_tests + max(log10_chance, beside.log10_chance())
    if log10_nfa > LOG10_NFA_LIMIT:
        return None
    seen = _share_seen(strip, fit, first, last)
    return describe(strip, fit, ends_mm, log10_nfa, seen, blur_mm(face))


def _lengthened(
    grey: NDArray[np.uint8], face: Face, metal: Metal, ends_mm: NDArray[np.float64]
) -> tuple[Strip, GrooveFit, float, float] | None:
    """Follow a piece as far as its line goes: (strip, fit, first, last along it), or None.

    The first strip is laid along the piece, the second along what was seen in the first.
    """
    for last_round in (False, True):
        whole = _on_the_face(metal, ends_mm)
        if whole is None:
            break
        strip = cut_strip(grey, face, whole[0], whole[1])
        first, last = _within(strip, (ends_mm - whole[0]) @ direction(whole))
        fit = _fitted(strip, first, last, again=last_round)
        if fit is None:
            break
        first, last = find_ends(strip, fit)
        if last <= first:  # a strip that is all one grey level
            return None
        if last_round:
            fit = _fitted(strip, first, last, again=True)
            return None if fit is None else (strip, fit, first, last)
        ends_mm = place(strip, fit, np.array([first, last]))
    return None


def _fitted(strip: Strip, first: float, last: float, *, again: bool) -> GrooveFit | None:
    """Fit a part of a strip; None when it is too short or, at first, part of an arc."""
    if last - first < SHORTEST_MM:
        return None
    fit = fit_groove(strip, first, last)
    arc = not again and last - first < SHORT_PIECE_MM and _bow_mm(fit) > SHORT_BOW_MM
    return None if arc else fit


def find_ends(strip: Strip, fit: GrooveFit) -> tuple[float, float]:
    """Return where along the strip the line begins and ends.

    Each bin of the strip votes with the logarithm of how much likelier it is with the line's own
    local profile than without; the run of largest sum is the line (a change-point estimate by
    maximum likelihood for a known signal in white noise).
    """
    edges, match, noise = match_along(strip, fit)
    level = np.median(match[(edges[:-1] >= fit.blocks_mm[0]) & (edges[1:] <= fit.blocks_mm[-1])])
    amplitude = max(float(level), noise)
    gain = amplitude * (match - amplitude / 2) / noise**2
    # One glint must not carry the line over a long gap.
    gain = np.clip(gain, -4.0, 4.0)
    total = np.concatenate([[0.0], np.cumsum(gain)])
    lowest_before = np.minimum.accumulate(total)
    last = int(np.argmax(total - lowest_before))
    first = int(np.argmin(total[: last + 1]))
    return float(edges[first]), float(edges[last])


def match_along(
    strip: Strip, fit: GrooveFit
) -> tuple[NDArray[np.float64], NDArray[np.float64], float]:
    """Return block edges, each block's likeness to the local profile, and likeness by chance."""
    straight = follow(strip.scaled, strip, fit.across_mm(strip.u_mm))
    half = float(strip.u_mm[1] - strip.u_mm[0]) / 2
    edges = np.append(strip.u_mm - half, strip.u_mm[-1] + half)
    blocks = straight.T.astype(np.float64)
    v = strip.v_mm
    near = np.abs(v) < GROOVE_REACH_MM
    # The line's look drifts with the light: the template is the mean over a few millimetres around,
    # drawn towards the whole line's.
    reach = np.arange(-10, 11) * BIN_MM
    kernel = np.exp(-0.5 * (reach / (LOOK_MM / 2)) ** 2)
    kernel /= kernel.sum()
    local = cv2.filter2D(blocks, -1, kernel[:, None], borderType=cv2.BORDER_CONSTANT)
    template = local[:, near] + fit.profile[near]
    template /= np.maximum(np.linalg.norm(template, axis=1, keepdims=True), 1e-9)
    match = np.einsum("bv,bv->b", blocks[:, near], template)
    width = int(near.sum())
    whole = fit.profile[near] / max(float(np.linalg.norm(fit.profile[near])), 1e-9)
    chance = [blocks[:, start : start + width] @ whole for start in (0, len(v) - width)]
    noise = 1.4826 * float(np.median(np.abs(np.concatenate(chance)))) + 1e-3
    return edges, match, noise


def _bow_mm(fit: GrooveFit) -> float:
    """Return how far the middle of a piece lies aside of its ends: an arc's sagitta."""
    x = (fit.blocks_mm - fit.middle_mm) / max(np.ptp(fit.blocks_mm) / 2, 1e-9)
    design = np.column_stack([np.ones_like(x), x, x**2])
    weights = fit.block_weights
    solution, *_ = np.linalg.lstsq(design * weights[:, None], fit.block_offsets_mm * weights)
    return abs(float(solution[2]))


def _within(strip: Strip, along_mm: NDArray[np.float64]) -> tuple[float, float]:
    """Return two places along a strip in order and cut to its length."""
    first, last = np.clip(np.sort(along_mm), 0.0, strip.u_mm[-1])
    return float(first), float(last)


def _seen_bins(
    strip: Strip, fit: GrooveFit, first: float, last: float
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Return the edges (B + 1,) of the bins of 0.4 mm within a line, and whether each stands out."""
    edges, match, noise = match_along(strip, fit)
    inside = np.flatnonzero((edges[:-1] >= first) & (edges[1:] <= last))
    # Twice the noise: one piece in forty is passed by chance.
    return edges[inside[0] : inside[-1] + 2], match[inside] > 2 * noise


def _share_seen(strip: Strip, fit: GrooveFit, first: float, last: float) -> float:
    """Return the share of the length that stands out by itself."""
    return float(np.mean(_seen_bins(strip, fit, first, last)[1]))


def _seen_runs(
    strip: Strip, fit: GrooveFit, first: float, last: float
) -> tuple[tuple[float, float], ...]:
    """Return the parts (from, to) of a line between long gaps; none when it has no such gap."""
    edges, seen = _seen_bins(strip, fit, first, last)
    at = np.flatnonzero(seen)
    if not at.size:
        return ()
    breaks = np.flatnonzero(np.diff(edges[at]) > GAP_MM)
    starts, stops = edges[at[np.append(0, breaks + 1)]], edges[at[np.append(breaks, -1)] + 1]
    runs = zip(starts.tolist(), stops.tolist(), strict=True)
    long = tuple((start, stop) for start, stop in runs if stop - start > SHORTEST_MM)
    return long if len(breaks) else ()


def blur_mm(face: Face) -> float:
    """Return the blur of a resampled strip on the plate, standard deviation [mm].

    Linear interpolation between pixels adds 1/6 px² on average over its phases.
    """
    return float(np.sqrt(face.blur_px**2 + 1 / 6)) / face.scale_px_per_mm


def direction(ends_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the unit vector (2,) from a line's start to its end."""
    step = ends_mm[1] - ends_mm[0]
    return np.asarray(step / np.hypot(*step))


def place(strip: Strip, fit: GrooveFit, along_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return plate points (N, 2) of the fitted line at places along the strip."""
    along = direction(np.array([strip.start_mm, strip.end_mm]))
    across = np.array([-along[1], along[0]])
    return np.asarray(
        strip.start_mm + along_mm[:, None] * along + fit.across_mm(along_mm)[:, None] * across
    )


def _on_the_face(metal: Metal, ends_mm: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """Lengthen a piece both ways as far as the face reaches without a break."""
    along = direction(ends_mm)
    middle = ends_mm.mean(axis=0)
    step = metal.grid.step_u_mm
    reach = int(np.hypot(*metal.mask.shape))
    places = np.arange(-reach, reach + 1) * step
    samples = np.round((middle + places[:, None] * along - metal.grid.origin_mm) / step).astype(int)
    rows, columns = metal.mask.shape
    on = (samples >= 0).all(axis=1) & (samples[:, 0] < columns) & (samples[:, 1] < rows)
    on[on] = metal.mask[samples[on, 1], samples[on, 0]] > 0
    if not on[reach]:
        return None
    after = reach + int(np.argmin(np.append(on[reach:], False)))
    before = reach - int(np.argmin(np.append(on[reach::-1], False)))
    if (after - before) * step < SHORTEST_MM:
        return None
    return np.asarray(middle + places[[before + 1, after - 1]][:, None] * along)
