"""Each corner cut from the photo and enlarged, with what was measured there.

A close-up is true to scale: the photo is taken to millimetres of the plate about the corner, the
sheet the right way up; where a reading does not say how plate and photo go together, it keeps the
photo's own up. Its drawing is `SPAN` wide and high, the corner is in the middle.
"""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.photo.record import Photo
from scribegauge.report.closeupwords import corner_notes
from scribegauge.report.drawing import Picture
from scribegauge.report.frame import OverlayFrame, straight_frame
from scribegauge.report.platemap import PlateMap
from scribegauge.report.reading import PlateReading, Reading, VertexReading

# 3 mm shown 60 mm wide: twenty times as large.
SPAN_MM, SHOWN_MM = 3.0, 60.0
SPAN = 300.0
_PER_MM = SPAN / SPAN_MM
_PICTURE_PX = 360
# The two lines of a corner are drawn from here to there on either side of it: what is in the middle
# (a prick, the crossing itself) stays bare, and so does the metal beyond.
_ARM_MM = (0.18, 0.5)
# Greys spread to at most so much more: noise stays noise.
_WANTED_RANGE, _MOST_GAIN = 200.0, 3.0
_PAIRS_NEEDED = 4
# Beyond this the map from millimetres to photo was fitted to nonsense.
_PLAUSIBLE = (0.5, 2.0)

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Ring:
    """A prick: its centre and the radius of its rim, in the drawing."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True)
class CloseUp:
    """One corner; everything but `name` and `picture` in the drawing's coordinates.

    `arms` point to the corner along its two side lines, as (x1, y1, x2, y2); `intended` is where the
    best-fitting intended figure has its corner, None where that is out of the picture. `passing` are
    the paths (N, 2) of other lines and arcs there, bare about the corner. `notes` say in a few words
    how far prick and other marks miss it.
    """

    name: str
    picture: Picture
    arms: tuple[tuple[float, float, float, float], ...]
    rings: tuple[Ring, ...]
    intended: tuple[float, float] | None
    passing: tuple[Points, ...] = ()
    notes: tuple[str, ...] = ()


def close_ups(
    photo: Photo, reading: Reading, frame: OverlayFrame | None = None
) -> tuple[CloseUp, ...]:
    """Cut out every corner that was found.

    Parameters
    ----------
    photo : Photo
        The first photo of the reading, upright.
    reading : Reading
    frame : OverlayFrame or None
        Of the overlay that they are shown with: they stand the same way up. None for straightened.
    """
    if reading.plate is None:
        return ()
    plate_map = (straight_frame(reading) if frame is None else frame).plate_map
    homography = _photo_from_mm(reading)
    made = []
    for k, vertex in enumerate(reading.vertices):
        if vertex.photo_px is not None and _in_photo(photo, vertex.photo_px):
            if plate_map is None:
                local = _local(reading.plate, homography, vertex)
            else:
                local = _straight(plate_map, vertex.photo_px)
            made.append(_close_up(photo, reading, k, local))
    return tuple(made)


def _in_photo(photo: Photo, point_px: tuple[float, float]) -> bool:
    height, width = photo.grey.shape
    return bool(0 <= point_px[0] < width and 0 <= point_px[1] < height)


def _photo_from_mm(reading: Reading) -> Points | None:
    """Fit the plane's map to the photo from all places known in both; None where they are too few."""
    plate = reading.plate
    pairs: list[tuple[tuple[float, float], tuple[float, float]]] = []
    if plate is not None and plate.intended_mm is not None and plate.intended_px is not None:
        pairs += zip(plate.intended_mm, plate.intended_px, strict=True)
    for line in reading.lines:
        if line.path_px:
            pairs += [(line.start_mm, line.path_px[0]), (line.end_mm, line.path_px[-1])]
    if len(pairs) < _PAIRS_NEEDED:
        return None
    mm, px = np.array([a for a, _ in pairs]), np.array([b for _, b in pairs])
    homography, _ = cv2.findHomography(mm, px, 0)
    return None if homography is None else np.asarray(homography, dtype=np.float64)


def _straight(plate_map: PlateMap, point_px: tuple[float, float]) -> Points:
    """Return the matrix (2, 2) from millimetres, the sheet's way up, to photo px about a point."""
    at = plate_map.plate_from_photo(np.array([point_px]))[0]
    ends = plate_map.photo_from_plate(at + 0.5 * np.array([[1, 0], [-1, 0], [0, 1], [0, -1]]))
    return np.column_stack([ends[0] - ends[1], ends[2] - ends[3]])


def _local(plate: PlateReading, homography: Points | None, vertex: VertexReading) -> Points:
    """Return the matrix (2, 2) from millimetres, seen the photo's way up, to photo px."""
    plain = np.eye(2) * plate.scale_px_per_mm
    if homography is None or vertex.x_mm is None or vertex.y_mm is None:
        return plain
    x, y = vertex.x_mm, vertex.y_mm
    u, v, w = homography @ np.array([x, y, 1.0])
    jacobian = (homography[:2, :2] - np.outer([u / w, v / w], homography[2, :2])) / w
    left, sizes, right = np.linalg.svd(jacobian)
    if not _PLAUSIBLE[0] < np.sqrt(sizes.prod()) / plate.scale_px_per_mm < _PLAUSIBLE[1]:
        return plain
    # The polar decomposition's symmetric part: the same stretch without the turn.
    return np.asarray(jacobian @ (left @ right).T, dtype=np.float64)


def _close_up(photo: Photo, reading: Reading, k: int, local: Points) -> CloseUp:
    vertex = reading.vertices[k]
    centre = np.array(vertex.photo_px)
    back = np.linalg.inv(local)

    def drawn(points_px: object) -> Points:
        points = np.asarray(points_px, np.float64).reshape(-1, 2)
        return np.asarray((points - centre) @ back.T * _PER_MM + SPAN / 2)

    rings = []
    for prick in reading.pricks:
        x, y = drawn(prick.photo_px)[0]
        if _shown(x, y):
            radius = prick.diameter_mm / 2 * _PER_MM
            rings.append(Ring(round(x, 1), round(y, 1), round(radius, 1)))
    return CloseUp(
        name=vertex.name,
        picture=_cut(photo, centre, local),
        arms=_arms(reading, vertex.name, drawn),
        rings=tuple(rings),
        intended=_intended(reading, k, drawn),
        passing=_passing(reading, vertex.name, drawn),
        notes=corner_notes(reading, vertex.name),
    )


def _passing(reading: Reading, name: str, drawn: Callable[[object], Points]) -> tuple[Points, ...]:
    """Give other lines and arcs that pass the corner, in pieces that leave its middle bare."""
    paths = [line.path_px for line in reading.lines if name not in line.side.split("-")]
    paths += [arc.path_px for arc in reading.arcs]
    found: list[Points] = []
    for path in paths:
        if len(path) > 1:
            found += _stretches(_finely(drawn(path)))
    return tuple(found)


def _finely(path: Points) -> Points:
    """Put points at most 2 apart on the part of a path (N, 2) that is near."""
    pieces = []
    for start, end in pairwise(path):
        low, high = np.minimum(start, end), np.maximum(start, end)
        if (high < 0).any() or (low > SPAN).any():
            continue
        count = int(np.hypot(*(end - start)) / 2) + 2
        pieces.append(start + np.linspace(0.0, 1.0, count)[:, None] * (end - start))
    return np.vstack(pieces) if pieces else np.zeros((0, 2))


def _stretches(points: Points) -> list[Points]:
    """Cut a fine path to the drawing, without its middle."""
    bare = _ARM_MM[0] * _PER_MM
    inside = (points >= 0).all(axis=1) & (points <= SPAN).all(axis=1)
    keep = inside & (np.hypot(*(points - SPAN / 2).T) > bare)
    found, start = [], None
    for k, kept in enumerate([*keep.tolist(), False]):
        if kept and start is None:
            start = k
        elif not kept and start is not None:
            found.append(points[start:k])
            start = None
    return [piece for piece in found if len(piece) > 1]


def _shown(x: float, y: float) -> bool:
    return bool(0 <= x <= SPAN and 0 <= y <= SPAN)


def _cut(photo: Photo, centre: Points, local: Points) -> Picture:
    step = local * (SPAN_MM / _PICTURE_PX)
    first = centre - step @ np.full(2, (_PICTURE_PX - 1) / 2)
    reach = np.abs(step) @ np.full(2, _PICTURE_PX / 2) + 4
    height, width = photo.grey.shape
    low = np.clip(np.floor(centre - reach), 0, [width - 1, height - 1]).astype(int)
    high = np.clip(np.ceil(centre + reach) + 1, 1, [width, height]).astype(int)
    part = photo.rgb[low[1] : high[1], low[0] : high[0]]
    matrix = np.column_stack([step, first - low])
    way = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    size = (_PICTURE_PX, _PICTURE_PX)
    cut = cv2.warpAffine(part, matrix, size, flags=way, borderMode=cv2.BORDER_REPLICATE)
    return _spread(np.asarray(cut, dtype=np.uint8))


def _spread(picture: Picture) -> Picture:
    """Spread light and dark so that a faint line is seen; colours keep their tint."""
    luma = picture.astype(np.float32) @ np.array([0.299, 0.587, 0.114], np.float32)
    low, high = np.percentile(luma, [0.5, 99.5])
    gain = min(_WANTED_RANGE / max(high - low, 1.0), _MOST_GAIN)
    middle = (low + high) / 2
    wanted = (luma - middle) * gain + np.clip(middle, 110, 146)
    return np.asarray(np.clip(picture + (wanted - luma)[..., None], 0, 255), dtype=np.uint8)


def _arms(
    reading: Reading, name: str, drawn: Callable[[object], Points]
) -> tuple[tuple[float, float, float, float], ...]:
    arms = []
    for line in reading.lines:
        if name not in line.side.split("-") or len(line.path_px) < 2:  # noqa: PLR2004
            continue
        along = np.diff(drawn([line.path_px[0], line.path_px[-1]]), axis=0)[0]
        unit = along / max(float(np.hypot(*along)), 1e-9) * _PER_MM
        for way in (1.0, -1.0):
            near, far = (SPAN / 2 + way * reach * unit for reach in _ARM_MM)
            x1, y1, x2, y2 = np.round([*near, *far], 1).tolist()
            arms.append((x1, y1, x2, y2))
    return tuple(arms)


def _intended(
    reading: Reading, k: int, drawn: Callable[[object], Points]
) -> tuple[float, float] | None:
    plate = reading.plate
    if plate is None or plate.intended_px is None or k >= len(plate.intended_px):
        return None
    x, y = drawn(plate.intended_px[k])[0]
    return (round(float(x), 1), round(float(y), 1)) if _shown(x, y) else None
