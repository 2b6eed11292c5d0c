"""How the places of lines on the plate move with where the face and the cameras really are.

Places are told as in `scribegauge.figure.lift`: aside at a line's middle and at its end, photo by
photo and line by line, noughts for a line that a photo does not show.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.lift import asides
from scribegauge.figure.lineerrors import Row, fit_errors
from scribegauge.figure.lines import normals
from scribegauge.figure.merge import Merged
from scribegauge.plate.face import PLANE_STEPS, U_SEATING_MM, VIEW_STEPS, Face
from scribegauge.plate.sharing import joint_covariance

Array = NDArray[np.float64]

NO_LINE = np.array([[0.0, 0.0], [1.0, 0.0]])


@dataclass(frozen=True, slots=True)
class Parallax:
    """P photos of n lines, two numbers for each [mm].

    Attributes
    ----------
    across : ndarray, shape (n, 2)
        Normals of the joined lines.
    asides_mm : ndarray, shape (2nP,)
        Of each photo's lines from the joined ones.
    there : ndarray, shape (2nP,), bool
        Which of them are seen.
    by_plane : ndarray, shape (2nP, 3)
        How they move with the plane's height (along z) and slopes.
    by_motion : ndarray, shape (2nP, 3 (P - 1))
        How they move with shift and turn of each later photo's plate.
    by_views : ndarray, shape (2nP, 2nP)
        Covariance from the views, as far as photos share it.
    fits : ndarray, shape (2nP, 2nP)
        Covariance from the fits of the lines.
    u_plane : ndarray, shape (3,)
        What is uncertain of height and slopes before the photos are compared.
    """

    across: Array
    asides_mm: Array
    there: NDArray[np.bool_]
    by_plane: Array
    by_motion: Array
    by_views: Array
    fits: Array
    u_plane: Array

    @property
    def photos(self) -> int:
        """Number of photos."""
        return len(self.there) // (2 * len(self.across))

    def at_sides(self, sides: Sequence[int], sizes: Array) -> Array:
        """Return two sizes (2,) at some sides in all photos and noughts elsewhere, (2nP,)."""
        chosen = np.zeros((len(self.across), 2))
        chosen[list(sides)] = sizes
        return np.tile(chosen.ravel(), self.photos)


def compare(seen: Sequence[Row], faces: Sequence[Face], merged: Merged) -> Parallax:
    """Set up how lines of several photos lie to each other.

    Parameters
    ----------
    seen : P rows of n lines or None
    faces : sequence of Face, length P
        With one pivot.
    merged : Merged
        Of these lines.
    """
    joined = joined_ends(merged)
    across = normals(joined)
    there: NDArray[np.bool_] = np.asarray(np.isfinite(merged.anchors_mm).all(axis=(2, 3)))
    moves = [
        _moves(face, ends[shown].reshape(-1, 2))
        for face, ends, shown in zip(faces, merged.anchors_mm, there, strict=True)
    ]
    by_inputs = [_asides(move, shown, across) for move, shown in zip(moves, there, strict=True)]
    views, at = [face.view for face in faces], len(VIEW_STEPS)
    plane_at = at + len(PLANE_STEPS)
    stacked = along_diagonal([each[:, :at] for each in by_inputs])
    spread = np.asarray(sum(joint_covariance(cause, views) for cause in views[0].parts))
    return Parallax(
        across=across,
        asides_mm=np.nan_to_num(asides(merged.anchors_mm - joined, across)).ravel(),
        there=np.repeat(there.ravel(), 2),
        by_plane=np.concatenate([each[:, at:plane_at] for each in by_inputs]),
        by_motion=along_diagonal([each[:, plane_at:] for each in by_inputs])[:, 3:],
        by_views=stacked @ spread @ stacked.T,
        fits=fit_errors(seen, np.hypot(*(joined[:, 1] - joined[:, 0]).T) / 2),
        u_plane=_u_plane(faces[0]),
    )


def joined_ends(merged: Merged) -> Array:
    """Return the ends (n, 2, 2) of the joined lines, of any line where there is none."""
    return np.array([NO_LINE if line is None else line.ends_mm for line in merged.lines])


def along_diagonal(blocks: Sequence[Array]) -> Array:
    """Return blocks of one shape along the diagonal of a matrix of noughts."""
    rows, columns = blocks[0].shape
    whole = np.zeros((rows * len(blocks), columns * len(blocks)))
    for k, block in enumerate(blocks):
        whole[rows * k : rows * (k + 1), columns * k : columns * (k + 1)] = block
    return whole


def _moves(face: Face, points_mm: Array) -> Array:
    """Return how points (M, 2) move with view (17), plane (3), shift and turn, (23, M, 2)."""
    steps = np.concatenate([VIEW_STEPS, PLANE_STEPS])
    inputs = np.concatenate([np.diag(steps), -np.diag(steps)])
    values, change = np.split(inputs, [len(VIEW_STEPS)], axis=1)
    spots = face.photo_from_plate(points_mm)
    moved = face.seen_otherwise(spots, face.view.values + values, change)
    up, down = np.split(moved, 2)
    right, below = np.eye(2)
    arms = points_mm - face.middle_mm
    turned = np.column_stack([-arms[:, 1], arms[:, 0]])
    motion = np.stack([0 * arms + right, 0 * arms + below, turned])
    return np.concatenate([(up - down) / (2 * steps[:, None, None]), motion])


def _asides(moves: Array, there: NDArray[np.bool_], across: Array) -> Array:
    """Turn moves (K, 2m, 2) of the ends of the lines shown into those of asides (2n, K)."""
    whole = np.zeros((len(moves), len(there), 2, 2))
    whole[:, there] = moves.reshape(len(moves), -1, 2, 2)
    return asides(whole, across).reshape(len(moves), -1).T


def _u_plane(face: Face) -> Array:
    width = float(np.ptp(face.outline_mm, axis=0).max())
    seat = np.array([U_SEATING_MM / 2, U_SEATING_MM / width, U_SEATING_MM / width])
    return np.asarray(np.hypot(seat, [face.u_thickness_mm, 0.0, 0.0]))
