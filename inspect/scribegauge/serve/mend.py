"""Marks pointed at by hand: where they are shown on the plate's picture, and what was said of them."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.layout import Layout
from scribegauge.report.frame import WIDTH_PX, straight_frame
from scribegauge.report.reading import Reading
from scribegauge.report.words import DASH
from scribegauge.serve.record import Place, Pointed
from scribegauge.serve.refusals import BenchError

Points = NDArray[np.float64]

_NUMBERS: Final = re.compile(r"-?[0-9]{1,5}(?:\.[0-9]{1,6})?")
#: Of the picture, where a figure that was not found is laid to begin with.
_SHARE: Final = 0.4


@dataclass(frozen=True, slots=True)
class Mark:
    """One side or prick that can be moved.

    Attributes
    ----------
    field : str
        Its name in the form.
    name : str
        As a person reads it.
    places : tuple of (x, y)
        In the picture [px]; two for a side, one for a prick.
    found : bool
        Whether the reading has it.
    """

    field: str
    name: str
    places: tuple[Place, ...]
    found: bool


@dataclass(frozen=True, slots=True)
class Board:
    """The picture with its marks; `scale` is photo px per picture px where it is not straightened."""

    width_px: int
    height_px: int
    marks: tuple[Mark, ...]
    reading: Reading
    scale: float

    def to_photo(self, points_px: Points) -> Points:
        """Take points (N, 2) of the picture to the photo [px]."""
        if self.reading.plate is None:
            return np.asarray((points_px + 0.5) * self.scale - 0.5)
        return straight_frame(self.reading).to_photo(points_px)


def board_of(layout: Layout, reading: Reading) -> Board | None:
    """Return what can be moved on the picture of a reading.

    Returns
    -------
    Board or None
        None where there is no photo, or no polygon to point at.
    """
    if not reading.photos or not layout.names:
        return None
    first = reading.photos[0]
    if reading.plate is None:
        scale = max(first.width_px / WIDTH_PX, 1.0)
        size = (round(first.width_px / scale), round(first.height_px / scale))
        corners = _laid(layout, size)
    else:
        frame = straight_frame(reading)
        scale, size = 1.0, (frame.width_px, frame.height_px)
        corners = frame.to_panel(_corners(layout, reading, size))
    return Board(*size, _marks(layout, reading, corners), reading, scale)


def pointed_at(form: Mapping[str, str], board: Board, before: Pointed) -> Pointed:
    """Return where the person pointed, with what they had said before.

    Parameters
    ----------
    form : Mapping of str to str
        By a mark's field: its places as numbers, x y for each [px of the picture]; empty ones were
        not moved.
    board : Board
    before : Pointed

    Raises
    ------
    BenchError
        ``form_invalid`` when it is no place, or nothing was moved.
    """
    sides, pricks = dict(before.sides), dict(before.pricks)
    moved = 0
    for mark in board.marks:
        text = form.get(mark.field, "").strip()
        if not text:
            continue
        moved += 1
        places = board.to_photo(_places(text, mark, board))
        points = [(float(x), float(y)) for x, y in places]
        number = int(mark.field.partition("-")[2])
        if len(points) == 1:
            pricks[number] = points[0]
        else:
            sides[number] = (points[0], points[1])
    if not moved:
        raise BenchError(
            "form_invalid", "Nothing was moved.", "Choose a side or a prick and move its ends."
        )
    return Pointed(sides, pricks)


def _places(text: str, mark: Mark, board: Board) -> Points:
    numbers = [float(n) for n in _NUMBERS.findall(text[:200])]
    size = np.array([board.width_px, board.height_px])
    if len(numbers) != 2 * len(mark.places):
        raise BenchError(
            "form_invalid",
            f"{mark.name} needs {2 * len(mark.places)} numbers.",
            "Give x and y of each end in px of the picture.",
        )
    places = np.array(numbers).reshape(-1, 2)
    if (places < 0).any() or (places > size).any():
        raise BenchError(
            "form_invalid", f"{mark.name} lies beyond the picture.", "Move it onto the plate."
        )
    return places


def _corners(layout: Layout, reading: Reading, size: tuple[int, int]) -> Points:
    """Return where each corner is in the photo: as found, or else as the figure was laid."""
    intended = reading.plate.intended_px if reading.plate is not None else None
    frame = straight_frame(reading)
    fallback = frame.to_photo(_laid(layout, size)) if intended is None else np.array(intended)
    found = {vertex.name: vertex.photo_px for vertex in reading.vertices}
    places = [
        fallback[k] if found.get(name) is None else found[name]
        for k, name in enumerate(layout.names)
    ]
    return np.array(places, np.float64)


def _laid(layout: Layout, size: tuple[int, int]) -> Points:
    """Lay the figure in the middle of the picture."""
    points = layout.vertices_mm - layout.vertices_mm.mean(axis=0)
    scale = _SHARE * min(size) / float(np.ptp(points, axis=0).max())
    return np.asarray(points * scale + np.array(size) / 2)


def _marks(layout: Layout, reading: Reading, corners: Points) -> tuple[Mark, ...]:
    count = len(layout.names)
    lines = {line.side for line in reading.lines}
    sides = []
    for k, name in enumerate(layout.names):
        after = (k + 1) % count
        ends = _inside(corners[[k, after]])
        found = f"{name}-{layout.names[after]}" in lines
        sides.append(Mark(f"side-{k}", f"{name}{DASH}{layout.names[after]}", ends, found))
    pricked = {prick.at: prick.photo_px for prick in reading.pricks if prick.at}
    pricks = []
    for k, name in enumerate(layout.names):
        place = corners[k : k + 1]
        if name in pricked and reading.plate is not None:
            place = straight_frame(reading).to_panel(np.array([pricked[name]]))
        mark = Mark(f"prick-{k}", f"prick {name}", _inside(place), name in pricked)
        pricks.append(mark)
    return (*sides, *pricks)


def _inside(points: Points) -> tuple[Place, ...]:
    return tuple((round(float(x), 1), round(float(y), 1)) for x, y in points)
