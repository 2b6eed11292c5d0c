"""Several photos of one plate become one set of side lines, and the face's height comes with them.

Two photos from different places see the face shifted against the paper by as much as it is high
(parallax), so where they put the same lines tells its height and tilt. All of it is one linear
model: places of lines in all photos = true lines + what height, tilt, lens, sheet and light make of
them; lines and face follow by generalised least squares with every covariance in it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.accounts import Account, differences_of, most_probable
from scribegauge.figure.adjust import LOOSE, NOTHING, PLANE_SIZE, Adjustment, adjust, apart
from scribegauge.figure.lift import Lift, asides, shifted
from scribegauge.figure.lineerrors import Row, optics_errors
from scribegauge.figure.lines import normals
from scribegauge.figure.merge import Merged, merge_lines
from scribegauge.figure.parallax import Parallax, compare, joined_ends
from scribegauge.marks.onface import line_on_face
from scribegauge.marks.record import LineMark
from scribegauge.plate.face import Face

Array = NDArray[np.float64]

# Of so many photos the odd one out can be told.
FEWEST_TO_VOTE = 3


@dataclass(frozen=True, slots=True)
class Finding:
    """What several photos tell beyond the lines.

    Attributes
    ----------
    account : Account
        Why they differ.
    compared : int
        Sides that more than one photo shows.
    height_mm, u_height_mm : float
        Of the face above the paper at the plate's middle.
    slopes, u_slopes : ndarray, shape (2,), float64
        Of the face along x and y.
    apart_mm : ndarray, shape (n,), float64
        How far photos put each side's line apart, all else allowed for; 0 where only one shows it.
    odd : tuple of int or None, length n
        Which photo is alone with its line of a disputed side, where two or more others agree.
    moved_mm : ndarray, shape (P,), float64
        How far the plate had moved since the first photo.
    """

    account: Account
    compared: int
    height_mm: float
    u_height_mm: float
    slopes: Array
    u_slopes: Array
    apart_mm: Array
    odd: tuple[int | None, ...]
    moved_mm: Array


@dataclass(frozen=True, slots=True)
class Settled:
    """Lines and face as all photos together show them.

    Attributes
    ----------
    merged : Merged
        In the plate frame of the first photo.
    faces : tuple of Face
        Of each photo, at the height and tilt that were found.
    finding : Finding or None
        None where there is one photo.
    """

    merged: Merged
    faces: tuple[Face, ...]
    finding: Finding | None


def settle(seen: Sequence[Row], faces: Sequence[Face]) -> Settled:
    """Join the side lines of all photos.

    Parameters
    ----------
    seen : P rows of n lines or None
        Side by side, plate frame.
    faces : sequence of Face, length P
    """
    merged = merge_lines(seen)
    if len(seen) == 1 or all(line is None for line in merged.lines):
        return Settled(merged, tuple(faces), None)
    x, y = faces[0].middle_mm
    faces = [replace(face, pivot_mm=(float(x), float(y))) for face in faces]
    scene = compare(seen, faces, merged)
    account = most_probable(differences_of(scene, seen))
    found = adjust(scene, account, optics_errors(seen, scene.across, account.same_lamp))
    there = [_moved_face(face, photo, found) for photo, face in enumerate(faces)]
    rows = [
        [line and line_on_face(line, old, new) for line in row]
        for row, old, new in zip(seen, faces, there, strict=True)
    ]
    return Settled(
        _lifted(merge_lines(rows), scene, found, account),
        tuple(there),
        _finding(scene, found, account, there),
    )


def _moved_face(face: Face, photo: int, found: Adjustment) -> Face:
    rise, a, b = (float(step) for step in found.change[:PLANE_SIZE])
    changed = replace(
        face,
        thickness_mm=face.thickness_mm - rise,
        slopes=(a, b),
        u_found_mm=float(found.u_plane[0]),
    )
    if photo == 0:
        return changed
    x, y, turn = (float(step) for step in found.change[PLANE_SIZE * photo :][:PLANE_SIZE])
    return replace(changed, shift_mm=(x, y), turn_rad=turn)


def _lifted(merged: Merged, scene: Parallax, found: Adjustment, account: Account) -> Merged:
    """Return the lines that follow from all photos, once these are laid on the face found."""
    joined = joined_ends(merged)
    across = normals(joined)
    places = np.nan_to_num(asides(merged.anchors_mm - joined, across)).ravel()
    moved = found.follows @ (places - np.where(scene.there, found.moved_mm, 0.0))
    lines = shifted(joined, across, moved.reshape(-1, 2))
    lines[[line is None for line in merged.lines]] = np.nan
    lift = Lift(
        lines_mm=lines,
        anchors_mm=merged.anchors_mm,
        across=across,
        follows=found.follows,
        fits=found.follows @ scene.fits @ found.follows.T,
        optics=found.follows @ found.optics @ found.follows.T,
        loose=LOOSE.get(account.cause, NOTHING),
    )
    marks = [line and _joined(line, side, lift) for side, line in enumerate(merged.lines)]
    return replace(merged, lines=tuple(marks), lift=lift)


def _joined(line: LineMark, side: int, lift: Lift) -> LineMark:
    """Return one joined line with what is uncertain of it by itself."""
    ends = lift.lines_mm[side]
    half = float(np.hypot(*(ends[1] - ends[0]))) / 2
    at = slice(2 * side, 2 * side + 2)
    fits, optics = np.diag(lift.fits)[at], np.sqrt(np.diag(lift.optics)[at])
    return replace(
        line,
        ends_mm=ends,
        covariance=np.diag(fits / [1.0, half**2]),
        u_optics_mm=float(optics[0]),
        u_optics_turn_mm=float(optics[1]),
    )


def _finding(
    scene: Parallax, found: Adjustment, account: Account, faces: Sequence[Face]
) -> Finding:
    places = apart(scene, found)
    ends = np.stack([places[..., 0] - places[..., 1], places[..., 0] + places[..., 1]])
    seen = np.isfinite(places).all(axis=2).sum(axis=0)
    low, high = (np.nan_to_num(way * ends, nan=-np.inf).max(axis=1) for way in (-1, 1))
    gaps = np.where(seen > 0, high + low, 0.0).max(axis=0)
    return Finding(
        account=account,
        compared=int((seen > 1).sum()),
        height_mm=faces[0].thickness_mm,
        u_height_mm=float(found.u_plane[0]),
        slopes=np.array(faces[0].slopes),
        u_slopes=found.u_plane[1:],
        apart_mm=gaps,
        odd=tuple(_odd(places[:, side, 0]) for side in range(places.shape[1])),
        moved_mm=np.array([np.hypot(*face.shift_mm) for face in faces]),
    )


def _odd(places: Array) -> int | None:
    """Return which photo is alone with its place (P,), or None where none can be told."""
    if np.isfinite(places).sum() < FEWEST_TO_VOTE:
        return None
    return int(np.nanargmax(np.abs(places - np.nanmedian(places))))
