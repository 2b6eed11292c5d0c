"""Where the overlay's words stand: outside the figure, clear of every mark."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from scribegauge.report.drawing import Points
from scribegauge.report.labels import (
    LETTER_PX,
    Box,
    Taken,
    first_free,
    letter_box,
    size_of,
)
from scribegauge.report.overlaywords import (
    angle_forms,
    lost_words,
    side_forms,
    step_form,
    value_of,
)
from scribegauge.report.scene import Corner, Edge, Scene, WrongStep
from scribegauge.report.words import side_name

# A prick of 0.2 mm is but a few px wide: its ring is never smaller than this.
RING_PX = 16.0
# The ring round a point that a construction's step put wrong.
STEP_RING_PX = 44.0

_LINE_CLEAR_PX = 12.0
_NAMED_FROM = 1.6  # times the side's length
_NEAREST_PX, _FARTHEST_PX, _STEP_PX = 40.0, 210.0, 12.0
_ALONG = (0.0, 0.15, -0.15, 0.3, -0.3)
_TURNS_DEG = (0.0, 20.0, -20.0, 40.0, -40.0, 65.0, -65.0, 90.0, -90.0)
_ANGLE_FARTHEST_PX = 330.0
_ALL_ROUND_DEG = tuple(range(0, 360, 15))


@dataclass(frozen=True, slots=True)
class Label:
    """Words on a ground of their own, where they stand, and whether they are to stand out."""

    rows: list[str]
    box: Box
    loud: bool


@dataclass(frozen=True, slots=True)
class Placed:
    """All words of the picture; `left_out` names the sides and angles whose words found no room.

    `step` are the words at the construction's first wrong step, `leader` (2, 2) leads from them to
    its mark; None where there is none.
    """

    letters: tuple[tuple[str, Box], ...]
    labels: tuple[Label, ...]
    scale_bar: Box | None
    left_out: tuple[str, ...]
    angles: tuple[Label, ...] = ()
    step: Label | None = None
    leader: Points | None = None


def place(scene: Scene, width_px: int, height_px: int, bar_px: float) -> Placed:
    """Find room for corner names, the wrong step, the scale bar, and each deviation, in that order.

    Parameters
    ----------
    scene : Scene
    width_px, height_px : int
        Size of the picture panel.
    bar_px : float
        Length of the scale bar.
    """
    taken = _marks(scene, width_px, height_px)
    letters = [(c.name, first_free(taken, _letter_boxes(c))) for c in scene.corners]
    bar = first_free(taken, _bar_boxes(width_px, height_px, bar_px))
    step, leader = _step(taken, scene.wrong)
    labels, angles, left_out = [], [], []
    for edge in sorted(scene.edges, key=_importance):
        label = _side_label(taken, edge)
        if label is None:
            left_out.append(side_name(edge.side))
        else:
            labels.append(label)
    for corner in scene.corners:
        label = _angle_label(taken, corner)
        if label is not None:
            angles.append(label)
        elif corner.angle is not None and corner.angle.deviation_deg is not None:
            left_out.append(corner.name)
    found = tuple((name, box) for name, box in letters if box is not None)
    return Placed(found, tuple(labels), bar, tuple(left_out), tuple(angles), step, leader)


def _marks(scene: Scene, width_px: int, height_px: int) -> Taken:
    taken = Taken(width_px, height_px)
    for line in (*scene.side_lines, *scene.other_lines):
        taken.add_path(line, _LINE_CLEAR_PX)
    for edge in scene.edges:
        taken.add_path(edge.ends, _LINE_CLEAR_PX)
        if edge.intended is not None and edge.enlarged is not None:
            taken.add_area(np.vstack([edge.intended, edge.enlarged[::-1]]))
            taken.add_path(edge.enlarged, _LINE_CLEAR_PX)
    for centre, radius in scene.pricks:
        taken.add_disc(centre, max(radius, RING_PX) + _LINE_CLEAR_PX)
    for corner in scene.corners:
        taken.add_disc(corner.point, RING_PX)
        if corner.arrow is not None:
            taken.add_path(corner.arrow, 2 * _LINE_CLEAR_PX)
            taken.add_disc(corner.arrow[1], RING_PX)
    if scene.wrong is not None:
        _add_step(taken, scene.wrong)
    return taken


def _add_step(taken: Taken, wrong: WrongStep) -> None:
    taken.add_path(wrong.path, _LINE_CLEAR_PX)
    if len(wrong.path) == 1:
        taken.add_disc(wrong.path[0], STEP_RING_PX + _LINE_CLEAR_PX / 2)


def _importance(edge: Edge) -> tuple[int, float]:
    """Sides that are out come first, then those not seen, then by size of the deviation."""
    side = edge.side
    rank = 0 if side.verdict == "outside" else 1 if side.measured_mm is None else 2
    return rank, -abs(side.deviation_mm or 0.0)


def _letter_boxes(corner: Corner) -> Iterator[Box]:
    for distance in np.arange(LETTER_PX * 0.8, _FARTHEST_PX, _STEP_PX):
        for turn_deg in _TURNS_DEG:
            point = corner.point + distance * _turned(corner.outward, turn_deg)
            yield letter_box(corner.name, (float(point[0]), float(point[1])))


def _turned(vector: Points, turn_deg: float) -> Points:
    cos, sin = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    return np.array([cos * vector[0] - sin * vector[1], sin * vector[0] + cos * vector[1]])


def _bar_boxes(width_px: int, height_px: int, bar_px: float) -> Iterator[Box]:
    width, height = max(bar_px, 200.0) + 40.0, 100.0
    x, y = width / 2 + 16, height / 2 + 12
    for row in (height_px - y, y):
        for column in (x, width_px - x):
            yield Box((column, row), width, height, 0.0)


def _step(taken: Taken, wrong: WrongStep | None) -> tuple[Label | None, Points | None]:
    """Put the number of a wrong step near its mark, and lead from the one to the other."""
    if wrong is None:
        return None, None
    rows = step_form(wrong.step)
    width, height = size_of(rows)
    foot = wrong.path[len(wrong.path) // 2]
    for distance in np.arange(STEP_RING_PX + height, 2 * _ANGLE_FARTHEST_PX, _STEP_PX):
        for turn_deg in _ALL_ROUND_DEG:
            x, y = foot + distance * _turned(np.array([0.0, -1.0]), turn_deg)
            box = first_free(taken, [Box((float(x), float(y)), width, height, 0.0)])
            if box is not None:
                leader = _leader(box, wrong.path, foot)
                taken.add_path(leader, _LINE_CLEAR_PX)
                return Label(rows, box, loud=True), leader
    return None, None


def _leader(box: Box, path: Points, foot: Points) -> Points:
    """Lead from the edge of a box to a mark: to the ring round a point, else onto the mark."""
    centre = np.array(box.centre)
    away = foot - centre
    reach = np.array([box.width_px, box.height_px]) / 2 / np.maximum(np.abs(away), 1e-9)
    start = centre + min(float(reach.min()), 1.0) * away
    short = STEP_RING_PX / max(float(np.hypot(*away)), 1.0) if len(path) == 1 else 0.0
    return np.array([start, foot - short * away])


def _side_label(taken: Taken, edge: Edge) -> Label | None:
    lost = lost_words(edge.lost, line_seen=edge.line_seen)
    length = float(np.hypot(*(edge.ends[1] - edge.ends[0])))
    # Words longer than their side reach past its neighbours, so they name it.
    named = size_of([value_of(edge.side, lost)])[0] > _NAMED_FROM * length
    forms = side_forms(edge.side, lost, side_name(edge.side) if named else "")
    for side in (1.0, -1.0):  # inside the figure only where there is no room outside
        for rows in forms:
            box = first_free(taken, _side_boxes(edge, side, *size_of(rows)))
            if box is not None:
                return Label(rows, box, loud=edge.side.verdict == "outside")
    return None


def _side_boxes(edge: Edge, side: float, width_px: float, height_px: float) -> Iterator[Box]:
    along = edge.ends[1] - edge.ends[0]
    middle = edge.ends.mean(axis=0)
    angle = float(np.arctan2(along[1], along[0]))
    if not -np.pi / 2 < angle <= np.pi / 2:  # never upside down
        angle += np.pi if angle < 0 else -np.pi
    for distance in np.arange(_NEAREST_PX, _FARTHEST_PX, _STEP_PX):
        for share in _ALONG:
            point = middle + share * along + side * distance * edge.outward
            yield Box((float(point[0]), float(point[1])), width_px, height_px, angle)


def _angle_label(taken: Taken, corner: Corner) -> Label | None:
    """Put an angle's deviation into its corner, or beside it outside."""
    angle = corner.angle
    if angle is None or angle.deviation_deg is None or angle.U_deg is None:
        return None
    for rows in angle_forms(angle):
        box = first_free(taken, _angle_boxes(corner, *size_of(rows)))
        if box is not None:
            return Label(rows, box, loud=angle.verdict == "outside")
    return None


def _angle_boxes(corner: Corner, width_px: float, height_px: float) -> Iterator[Box]:
    nearest = 0.4 * float(np.hypot(width_px, height_px))
    near = np.arange(nearest, _ANGLE_FARTHEST_PX, _STEP_PX)
    for distances in (near[near < _FARTHEST_PX], near[near >= _FARTHEST_PX]):
        for away, distance in product((-corner.outward, corner.outward), distances):
            for turn_deg in _TURNS_DEG:
                x, y = corner.point + distance * _turned(away, turn_deg)
                yield Box((float(x), float(y)), width_px, height_px, 0.0)
