"""Where the overlay's words stand: outside the figure, clear of every mark."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from scribegauge.report.labels import (
    LETTER_PX,
    Box,
    Taken,
    first_free,
    letter_box,
    size_of,
)
from scribegauge.report.reading import SideReading
from scribegauge.report.scene import Corner, Edge, Scene
from scribegauge.report.strokes import Points
from scribegauge.report.words import KEEP, side_name, typographic, with_uncertainty

# A prick of 0.2 mm is but a few px wide: its ring is never smaller than this.
RING_PX = 16.0

_LINE_CLEAR_PX = 12.0
_NAMED_FROM = 1.6  # times the side's length
_NEAREST_PX, _FARTHEST_PX, _STEP_PX = 40.0, 210.0, 12.0
_ALONG = (0.0, 0.15, -0.15, 0.3, -0.3)
_TURNS_DEG = (0.0, 20.0, -20.0, 40.0, -40.0, 65.0, -65.0)


@dataclass(frozen=True, slots=True)
class Label:
    """A side's words, where they stand, and whether they are to stand out."""

    rows: list[str]
    box: Box
    loud: bool


@dataclass(frozen=True, slots=True)
class Placed:
    """All words of the picture; `left_out` names the sides whose words found no room."""

    letters: tuple[tuple[str, Box], ...]
    labels: tuple[Label, ...]
    scale_bar: Box | None
    left_out: tuple[str, ...]


def place(scene: Scene, width_px: int, height_px: int, bar_px: float) -> Placed:
    """Find room for corner names, the scale bar and each side's deviation, in that order.

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
    labels, left_out = [], []
    for edge in sorted(scene.edges, key=_importance):
        label = _label(taken, edge)
        if label is None:
            left_out.append(side_name(edge.side))
        else:
            labels.append(label)
    found = tuple((name, box) for name, box in letters if box is not None)
    return Placed(found, tuple(labels), bar, tuple(left_out))


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
    return taken


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


def words_of(side: SideReading, lost: str) -> tuple[str, str]:
    """Say what a side's label says: its deviation, and the verdict where it is not ``within``."""
    if side.deviation_mm is None or side.U_mm is None:
        return lost, ""
    value = typographic(with_uncertainty(side.deviation_mm, side.U_mm, " mm"))
    return value, side.verdict if side.verdict in {"outside", "undecided"} else ""


def _label(taken: Taken, edge: Edge) -> Label | None:
    forms = _forms(edge)
    for side in (1.0, -1.0):  # inside the figure only where there is no room outside
        for rows in forms:
            box = first_free(taken, _label_boxes(edge, side, *size_of(rows)))
            if box is not None:
                return Label(rows, box, loud=edge.side.verdict == "outside")
    return None


def _forms(edge: Edge) -> list[list[str]]:
    """Give a label in one row and, where it has an uncertainty, in two.

    Words longer than their side reach past its neighbours, so they name it.
    """
    value, verdict = words_of(edge.side, _lost(edge))
    length = float(np.hypot(*(edge.ends[1] - edge.ends[0])))
    long = size_of([f"{value} {verdict}"])[0] > _NAMED_FROM * length
    name = f"{side_name(edge.side)} " if long else ""
    one_row = [f"{name}{value} {verdict}".rstrip()]
    deviation, sign, rest = value.partition(f"{KEEP}±")
    if not sign:
        return [one_row]
    second = f"±{rest.removesuffix(f'{KEEP}mm')} {verdict}".rstrip()
    return [one_row, [f"{name}{deviation}{KEEP}mm", second]]


def _lost(edge: Edge) -> str:
    """Say why a side has no length: which corner is missing, or that its line was not seen."""
    if not edge.line_seen:
        return "not seen"
    return f"no corner {' or '.join(edge.lost)}".replace(" ", KEEP)


def _label_boxes(edge: Edge, side: float, width_px: float, height_px: float) -> Iterator[Box]:
    along = edge.ends[1] - edge.ends[0]
    middle = edge.ends.mean(axis=0)
    angle = float(np.arctan2(along[1], along[0]))
    if not -np.pi / 2 < angle <= np.pi / 2:  # never upside down
        angle += np.pi if angle < 0 else -np.pi
    for distance in np.arange(_NEAREST_PX, _FARTHEST_PX, _STEP_PX):
        for share in _ALONG:
            point = middle + share * along + side * distance * edge.outward
            yield Box((float(point[0]), float(point[1])), width_px, height_px, angle)
