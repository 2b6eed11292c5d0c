"""What the overlay shows, worked out from the reading alone, in the picture's own coordinates."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.report.constructionreading import StepReading
from scribegauge.report.drawing import Points
from scribegauge.report.frame import OverlayFrame
from scribegauge.report.reading import AngleReading, Reading, SideReading
from scribegauge.report.words import line_seen

# The largest shift of a corner is drawn about this long: seen at a glance, and still clear of the
# next side in a figure of many sides.
# Uncertainty counts as a shift: noise is never blown up until it looks like a fault.
_LONGEST_SHIFT_PX = 80.0
_FACTORS = (100, 50, 20, 10, 5, 2, 1)
# A shorter arrow would be all head.
_SHORTEST_ARROW_PX = 24.0


@dataclass(frozen=True, slots=True)
class Edge:
    """One side as it is drawn.

    Attributes
    ----------
    side : SideReading
    ends : ndarray, shape (2, 2), float64
        Scribed corners, or intended ones where a corner was not found [px].
    outward : ndarray, shape (2,), float64
        Unit vector away from the figure.
    intended, enlarged : ndarray, shape (2, 2), float64, or None
        The intended side, and the scribed one moved away from it `Scene.factor` times as far.
    line_seen : bool
        Whether its line was found, be it that a corner was not.
    lost : tuple of str
        Names of its ends that were not found.
    """

    side: SideReading
    ends: Points
    outward: Points
    intended: Points | None
    enlarged: Points | None
    line_seen: bool
    lost: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Corner:
    """A vertex by name, where it is drawn, the direction away from the figure, and its angle.

    `angle` is None where the reading has none of that name; `arrow` (2, 2) goes from the intended
    corner `Scene.factor` times as far as the scribed one is off, None where that is too short.
    """

    name: str
    point: Points
    outward: Points
    angle: AngleReading | None
    arrow: Points | None


@dataclass(frozen=True, slots=True)
class WrongStep:
    """The first step of the construction that went wrong, and its mark's path (N, 2)."""

    step: StepReading
    path: Points


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything to draw [px]; `factor` is 0 where no shift could be drawn."""

    side_lines: tuple[Points, ...]
    other_lines: tuple[Points, ...]
    intended: Points | None
    edges: tuple[Edge, ...]
    corners: tuple[Corner, ...]
    pricks: tuple[tuple[Points, float], ...]
    factor: int
    wrong: WrongStep | None = None
    circles: tuple[Points, ...] = ()


def scene_of(reading: Reading, frame: OverlayFrame) -> Scene:
    """Work out what to draw.

    Parameters
    ----------
    reading : Reading
        With a plate.
    frame : OverlayFrame
        Takes photo points to the picture panel.
    """
    plate = reading.plate
    laid = None if plate is None else plate.intended_px
    intended = None if laid is None else _panel(frame, laid)
    scribed = [
        None if v.photo_px is None else _panel(frame, [v.photo_px])[0] for v in reading.vertices
    ]
    points = _places(scribed, intended)
    factor = _factor(scribed, intended, _largest_expanded_px(reading, frame))
    outward = _outward(points)
    enlarged = _enlarged(scribed, intended, factor)
    edges = _edges(reading, points, intended, outward, enlarged)
    return Scene(
        side_lines=tuple(_panel(frame, x.path_px) for x in reading.lines if x.side),
        other_lines=(
            *(_panel(frame, x.path_px) for x in reading.lines if not x.side),
            *(_panel(frame, arc.path_px) for arc in reading.arcs),
        ),
        intended=intended,
        edges=edges,
        corners=(
            *_corners(reading, points, outward, _arrows(intended, enlarged)),
            *_named_places(reading, frame),
        ),
        pricks=_pricks(reading, frame),
        factor=factor,
        wrong=_wrong(reading, frame),
        circles=tuple(_panel(frame, circle.path_px) for circle in reading.circles),
    )


def wrong_step(reading: Reading) -> StepReading | None:
    """Return the first step of the construction that went wrong; None where none stands out."""
    construction = reading.construction
    if construction is None or construction.entered_at is None:
        return None
    named = (s for s in construction.steps if s.named and s.number == construction.entered_at)
    return next(named, None)


def _wrong(reading: Reading, frame: OverlayFrame) -> WrongStep | None:
    step = wrong_step(reading)
    if step is None or not step.path_px:
        return None
    return WrongStep(step, _panel(frame, step.path_px))


def _panel(frame: OverlayFrame, points: object) -> Points:
    return frame.to_panel(np.asarray(points, dtype=np.float64).reshape(-1, 2))


def _places(scribed: list[Points | None], intended: Points | None) -> list[Points | None]:
    if intended is None or len(intended) != len(scribed):
        return scribed
    return [laid if seen is None else seen for seen, laid in zip(scribed, intended, strict=True)]


def _shifts(scribed: list[Points | None], intended: Points | None) -> list[Points | None]:
    if intended is None or len(intended) != len(scribed):
        return [None] * len(scribed)
    return [
        None if seen is None else seen - laid for seen, laid in zip(scribed, intended, strict=True)
    ]


def _largest_expanded_px(reading: Reading, frame: OverlayFrame) -> float:
    largest_mm = max((s.U_mm for s in reading.sides if s.U_mm is not None), default=0.0)
    return largest_mm * frame.px_per_mm


def _factor(scribed: list[Points | None], intended: Points | None, expanded_px: float) -> int:
    lengths = [float(np.hypot(*s)) for s in _shifts(scribed, intended) if s is not None]
    if not lengths:
        return 0
    longest = max(*lengths, expanded_px)
    fitting = (f for f in _FACTORS if f * longest <= _LONGEST_SHIFT_PX)
    return next(fitting, 1)


def _enlarged(
    scribed: list[Points | None], intended: Points | None, factor: int
) -> list[Points | None]:
    return [
        None if shift is None or intended is None else intended[k] + factor * shift
        for k, shift in enumerate(_shifts(scribed, intended))
    ]


def _outward(points: list[Points | None]) -> list[Points]:
    """Give the unit normals away from the figure, one for each side k to k + 1 (zero where unknown)."""
    known = np.array([p for p in points if p is not None]).reshape(-1, 2)
    x, y = known[:, 0], known[:, 1]
    turn = 1.0 if float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) >= 0 else -1.0
    normals: list[Points] = []
    for k, start in enumerate(points):
        end = points[(k + 1) % len(points)]
        normals.append(np.zeros(2) if start is None or end is None else _normal(start, end, turn))
    return normals


def _normal(start: Points, end: Points, turn: float) -> Points:
    dx, dy = end - start
    length = float(np.hypot(dx, dy)) or 1.0
    return np.array([dy, -dx]) * (turn / length)


def _edges(
    reading: Reading,
    points: list[Points | None],
    intended: Points | None,
    outward: list[Points],
    enlarged: list[Points | None],
) -> tuple[Edge, ...]:
    index = {vertex.name: k for k, vertex in enumerate(reading.vertices)}
    ends = reading.vertices
    edges = []
    for side in reading.sides:
        i, j = index[side.start], index[side.end]
        start, end = points[i], points[j]
        if start is None or end is None:
            continue
        edges.append(
            Edge(
                side=side,
                ends=np.array([start, end]),
                outward=outward[i],
                intended=None if intended is None else intended[[i, j]],
                enlarged=_pair(enlarged[i], enlarged[j]) if side.measured_mm is not None else None,
                line_seen=line_seen(reading, side),
                lost=tuple(v.name for v in (ends[i], ends[j]) if v.photo_px is None),
            )
        )
    return tuple(edges)


def _pair(start: Points | None, end: Points | None) -> Points | None:
    return None if start is None or end is None else np.array([start, end])


def _arrows(intended: Points | None, enlarged: list[Points | None]) -> list[Points | None]:
    """Give each corner's deviation from tail to tip."""
    if intended is None or len(intended) != len(enlarged):
        return [None] * len(enlarged)
    arrows = [_pair(laid, end) for laid, end in zip(intended, enlarged, strict=True)]
    return [
        None if a is None or np.hypot(*(a[1] - a[0])) < _SHORTEST_ARROW_PX else a for a in arrows
    ]


def _corners(
    reading: Reading,
    points: list[Points | None],
    outward: list[Points],
    arrows: list[Points | None],
) -> tuple[Corner, ...]:
    angles = {angle.at: angle for angle in reading.angles}
    corners = []
    for k, (vertex, point) in enumerate(zip(reading.vertices, points, strict=True)):
        if point is not None:
            away = _unit(outward[k - 1] + outward[k])
            angle = angles.get(vertex.name)
            corners.append(Corner(vertex.name, point, away, angle, arrows[k]))
    return tuple(corners)


def _named_places(reading: Reading, frame: OverlayFrame) -> tuple[Corner, ...]:
    """Return the layout's pricks that were found, their names away from the middle of them all."""
    if not reading.places:
        return ()
    spots = _panel(frame, [place.intended_px for place in reading.places])
    middle = spots.mean(axis=0)
    return tuple(
        Corner(place.name, spot, _unit(spot - middle), None, None)
        for place, spot in zip(reading.places, spots, strict=True)
        if place.measured_mm is not None
    )


def _unit(vector: Points) -> NDArray[np.float64]:
    length = float(np.hypot(*vector))
    return vector / length if length > 1e-9 else np.array([0.0, -1.0])  # noqa: PLR2004


def _pricks(reading: Reading, frame: OverlayFrame) -> tuple[tuple[Points, float], ...]:
    """Centre and rim radius of each prick."""
    return tuple(
        (_panel(frame, [p.photo_px])[0], p.diameter_mm / 2 * frame.px_per_mm)
        for p in reading.pricks
    )
