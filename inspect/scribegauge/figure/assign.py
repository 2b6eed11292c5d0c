"""Which scribed line is which side: lay the intended figure over the lines found.

Every pair of lines may be any pair of sides that meet at the same angle; each such guess fixes turn
and place of the whole figure, and the guess under which most of the outline is really scribed wins.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.lines import directions, meeting, normals

# A side may be this far from where the rest of the figure has it and still be that side: four
# times the slip that spoils a layout (0.25 mm, common practice, no source).
FARTHEST_OFF_MM = 1.0
FARTHEST_TURN_DEG = 2.5
# Lines looked at for a first guess, longest first.
MOST_LINES = 16
FEWEST_LINES = 2
# A side counts as scribed when a line covers at least this share of it.
LEAST_COVERED = 0.1
# Below this the crossing point of two lines is too uncertain to place a figure by.
FLATTEST_CROSSING_DEG = 20.0


@dataclass(frozen=True, slots=True)
class Placement:
    """Where the layout lies on the plate: ``plate = rotation @ layout + shift_mm``.

    Attributes
    ----------
    rotation_rad : float
    shift_mm : ndarray, shape (2,)
    score : float
        Scribed share of the outline, 0 to 1, lowered by lines that lie aside.
    """

    rotation_rad: float
    shift_mm: NDArray[np.float64]
    score: float

    def plate_from_layout(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take layout points (N, 2) to plate points (N, 2) [mm]."""
        return np.asarray(points_mm @ _rotation(self.rotation_rad).T + self.shift_mm)

    def match(
        self, vertices_mm: NDArray[np.float64], lines_mm: NDArray[np.float64]
    ) -> tuple[int | None, ...]:
        """Return for each side which of some lines (L, 2, 2) is it, or None."""
        if len(lines_mm) == 0:
            return (None,) * len(vertices_mm)
        at = np.array([self.rotation_rad]), self.shift_mm[None]
        shares, chosen = _shares(vertices_mm, lines_mm, *at)
        pairs = zip(chosen[0], shares[0], strict=True)
        return tuple(int(k) if share > LEAST_COVERED else None for k, share in pairs)

    def share_of(self, vertices_mm: NDArray[np.float64], lines_mm: NDArray[np.float64]) -> float:
        """Return the scribed share of the outline by some lines (L, 2, 2), as `score`."""
        at = np.array([self.rotation_rad]), self.shift_mm[None]
        shares, _ = _shares(vertices_mm, lines_mm, *at)
        lengths = np.linalg.norm(np.roll(vertices_mm, -1, axis=0) - vertices_mm, axis=1)
        return float(shares[0] @ lengths / lengths.sum())


def place_figure(
    vertices_mm: NDArray[np.float64], lines_mm: NDArray[np.float64]
) -> Placement | None:
    """Find the placement under which most of the outline is scribed.

    Parameters
    ----------
    vertices_mm : ndarray, shape (n, 2), float64
        Layout frame.
    lines_mm : ndarray, shape (L, 2, 2), float64
        Seen ends of each line, plate frame.

    Returns
    -------
    Placement or None
        None when no two lines meet like two sides. Among placements that score alike (a regular
        figure turned by a symmetry) the one turned least is returned.
    """
    if len(lines_mm) < FEWEST_LINES:
        return None
    rotations, shifts = _guesses(vertices_mm, lines_mm)
    if len(rotations) == 0:
        return None
    shares, _ = _shares(vertices_mm, lines_mm, rotations, shifts)
    scores = shares.sum(axis=1)
    alike = scores > scores.max() - 0.02
    turn = np.abs((rotations + np.pi) % (2 * np.pi) - np.pi)
    best = int(np.flatnonzero(alike)[np.argmin(turn[alike])])
    rotation, shift = float(rotations[best]), shifts[best]
    return settle(vertices_mm, lines_mm, rotation, shift)


def settle(
    vertices_mm: NDArray[np.float64],
    lines_mm: NDArray[np.float64],
    rotation_rad: float,
    shift_mm: NDArray[np.float64],
) -> Placement:
    """Move a figure that lies about right onto the lines, by least absolute distances.

    Parameters
    ----------
    vertices_mm, lines_mm : ndarray
        As in `place_figure`; without lines the figure stays where it is.
    rotation_rad : float
    shift_mm : ndarray, shape (2,), float64
    """
    if len(lines_mm) == 0:
        return Placement(rotation_rad, shift_mm, 0.0)
    rotation, shift = rotation_rad, shift_mm
    for _ in range(3):
        rotation, shift = _refined(vertices_mm, lines_mm, rotation, shift)
    placed = Placement(rotation, shift, 0.0)
    return replace(placed, score=placed.share_of(vertices_mm, lines_mm))


def _sides(vertices_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the sides (n, 2, 2) of a polygon, from vertex i to i + 1."""
    return np.stack([vertices_mm, np.roll(vertices_mm, -1, axis=0)], axis=1)


def _rotation(angle_rad: float) -> NDArray[np.float64]:
    c, s = np.cos(angle_rad), np.sin(angle_rad)
    return np.array([[c, -s], [s, c]])


def _guesses(
    vertices_mm: NDArray[np.float64], lines_mm: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return rotations (G,) and shifts (G, 2) that lay a pair of sides on a pair of lines."""
    length = np.linalg.norm(lines_mm[:, 1] - lines_mm[:, 0], axis=1)
    chosen = lines_mm[np.argsort(-length)[:MOST_LINES]]
    sides = _sides(vertices_mm)
    i, j = (index.ravel() for index in np.indices((len(chosen), len(chosen))))
    a, b = (index.ravel() for index in np.indices((len(sides), len(sides))))
    i, j = i[i != j], j[i != j]
    a, b = a[a < b], b[a < b]
    i, a = np.repeat(i, len(a)), np.tile(a, len(i))
    j, b = np.repeat(j, len(b)), np.tile(b, len(j))
    line_i, line_j, side_a, side_b = (
        _angle(chosen[i]),
        _angle(chosen[j]),
        _angle(sides[a]),
        _angle(sides[b]),
    )
    wanted, is_so = side_b - side_a, line_j - line_i
    alike = np.abs(_half_turn(wanted - is_so)) < np.radians(FARTHEST_TURN_DEG)
    alike &= np.abs(_half_turn(is_so)) > np.radians(FLATTEST_CROSSING_DEG)
    i, j, a, b = i[alike], j[alike], a[alike], b[alike]
    turn = line_i[alike] - side_a[alike] - _half_turn(wanted - is_so)[alike] / 2
    rotations = np.concatenate([turn, turn + np.pi])
    there = np.tile(meeting(chosen[i], chosen[j]), (2, 1))
    here = np.tile(meeting(sides[a], sides[b]), (2, 1))
    c, s = np.cos(rotations), np.sin(rotations)
    turned = np.stack([c * here[:, 0] - s * here[:, 1], s * here[:, 0] + c * here[:, 1]], axis=1)
    good = np.isfinite(there).all(axis=1) & np.isfinite(here).all(axis=1)
    return rotations[good], (there - turned)[good]


def _angle(ends: NDArray[np.float64]) -> NDArray[np.float64]:
    along = directions(ends)
    return np.asarray(np.arctan2(along[..., 1], along[..., 0]))


def _half_turn(angle_rad: NDArray[np.float64]) -> NDArray[np.float64]:
    """Bring angles between lines into -90° … 90°."""
    return np.asarray((angle_rad + np.pi / 2) % np.pi - np.pi / 2)


def _shares(
    vertices_mm: NDArray[np.float64],
    lines_mm: NDArray[np.float64],
    rotations: NDArray[np.float64],
    shifts: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Return for each guess and side the share of it that a line covers, and which line.

    Both of shape (G, n). A line counts less the farther it lies aside, so that of two strokes the
    nearer one is taken.
    """
    c, s = np.cos(rotations)[:, None], np.sin(rotations)[:, None]
    x, y = vertices_mm.T
    places = np.stack([c * x - s * y, s * x + c * y], axis=-1) + shifts[:, None]
    shares = np.zeros((len(rotations), len(vertices_mm)))
    chosen = np.zeros(shares.shape, np.int64)
    along, across = directions(lines_mm), normals(lines_mm)
    reach = np.linalg.norm(lines_mm[:, 1] - lines_mm[:, 0], axis=1)
    start, end = places, np.roll(places, -1, axis=1)
    length = np.linalg.norm(end - start, axis=-1)
    for k in range(len(lines_mm)):
        off = np.maximum(
            np.abs((start - lines_mm[k, 0]) @ across[k]), np.abs((end - lines_mm[k, 0]) @ across[k])
        )
        t0, t1 = (start - lines_mm[k, 0]) @ along[k], (end - lines_mm[k, 0]) @ along[k]
        overlap = np.minimum(np.maximum(t0, t1), reach[k]) - np.maximum(np.minimum(t0, t1), 0.0)
        share = np.clip(overlap / length, 0.0, 1.0) * np.clip(
            1 - (off / FARTHEST_OFF_MM) ** 2, 0, 1
        )
        better = share > shares
        shares[better] = share[better]
        chosen[better] = k
    return shares, chosen


def _refined(
    vertices_mm: NDArray[np.float64],
    lines_mm: NDArray[np.float64],
    rotation: float,
    shift: NDArray[np.float64],
) -> tuple[float, NDArray[np.float64]]:
    """Move the figure by least absolute distances of its matched sides from their lines."""
    shares, chosen = _shares(vertices_mm, lines_mm, np.array([rotation]), shift[None])
    placed = vertices_mm @ _rotation(rotation).T + shift
    centre = placed.mean(axis=0)
    rows, rest, weight = [], [], []
    for side, (share, k) in enumerate(zip(shares[0], chosen[0], strict=True)):
        if share <= LEAST_COVERED:
            continue
        normal = normals(lines_mm[k])
        for vertex in (side, (side + 1) % len(placed)):
            arm = placed[vertex] - centre
            rows.append([normal[0], normal[1], normal[1] * arm[0] - normal[0] * arm[1]])
            rest.append(-(placed[vertex] - lines_mm[k, 0]) @ normal)
            weight.append(share)
    if len(rows) < 2 * FEWEST_LINES:
        return rotation, shift
    design, target, w = np.array(rows), np.array(rest), np.array(weight)
    for _ in range(5):
        normal_matrix = (design.T * w) @ design + 1e-9 * np.eye(3)
        step = np.linalg.solve(normal_matrix, (design.T * w) @ target)
        left = np.abs(target - design @ step)
        w = np.array(weight) / np.maximum(left, 0.05)
    turned = _rotation(float(step[2]))
    new_shift = turned @ (shift - centre) + centre + step[:2]
    return rotation + float(step[2]), new_shift
