"""What a line drawing is made of. Millimetres, y downwards; angles grow clockwise to the viewer."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Colour = tuple[int, int, int]
FULL_TURN_DEG = 360.0
_PATH_STEP_DEG = 2.0


@dataclass(frozen=True, slots=True)
class Style:
    """How a stroke looks on paper: breadth [mm], colour, and whether it is dashed."""

    width_mm: float
    colour: Colour
    dashed: bool = False


#: What strokes and words stand for, and how they look.
STYLES = {
    "figure": Style(0.5, (0, 0, 0)),
    "mark": Style(0.2, (95, 95, 95)),
    "old": Style(0.2, (150, 150, 150)),
    "new": Style(0.5, (190, 70, 0)),
    "opening": Style(0.3, (190, 70, 0), dashed=True),
    "dimension": Style(0.15, (0, 70, 140)),
    "rule": Style(0.2, (0, 0, 0)),
}


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight stroke; `layer` names the part of a drawing that it belongs to."""

    start_mm: Point
    end_mm: Point
    role: str
    layer: str = ""

    def path_mm(self) -> NDArray[np.float64]:
        """Return its ends, shape (2, 2)."""
        return np.array([self.start_mm, self.end_mm])


@dataclass(frozen=True, slots=True)
class Arc:
    """A circle, or an arc where it sweeps less than 360°."""

    centre_mm: Point
    radius_mm: float
    role: str
    layer: str = ""
    start_deg: float = 0.0
    sweep_deg: float = FULL_TURN_DEG

    @property
    def whole(self) -> bool:
        """Whether it is a full circle."""
        return self.sweep_deg >= FULL_TURN_DEG

    def at(self, angle_deg: float) -> Point:
        """Return the point at an angle."""
        angle = np.radians(angle_deg)
        x, y = self.centre_mm
        return x + self.radius_mm * float(np.cos(angle)), y + self.radius_mm * float(np.sin(angle))

    def path_mm(self) -> NDArray[np.float64]:
        """Return points along it, shape (N, 2)."""
        count = max(round(self.sweep_deg / _PATH_STEP_DEG), 4) + 1
        return np.array(
            [self.at(a) for a in self.start_deg + np.linspace(0, self.sweep_deg, count)]
        )


@dataclass(frozen=True, slots=True)
class Dot:
    """A prick; its size on paper is the same at every scale."""

    at_mm: Point
    role: str
    layer: str = ""

    def path_mm(self) -> NDArray[np.float64]:
        """Return its place, shape (1, 2)."""
        return np.array([self.at_mm])


@dataclass(frozen=True, slots=True)
class Words:
    """One row of words; their height on paper is the same at every scale.

    Attributes
    ----------
    at_mm : (float, float)
        Of the middle of the row's height, at its start, middle or end as `anchor` says.
    text : str
    height_mm : float
        Of capital letters.
    anchor : str
        ``start``, ``middle`` or ``end``.
    angle_deg : float
        Clockwise turn.
    """

    at_mm: Point
    text: str
    height_mm: float
    role: str
    anchor: str = "middle"
    layer: str = ""
    angle_deg: float = 0.0
    bold: bool = False

    def path_mm(self) -> NDArray[np.float64]:
        """Return its place, shape (1, 2)."""
        return np.array([self.at_mm])


Item = Segment | Arc | Dot | Words


@dataclass(frozen=True, slots=True)
class Block:
    """Items drawn together: ``paper = shift + scale * place``, lengths 1:1 at scale 1."""

    items: tuple[Item, ...]
    scale: float = 1.0
    shift_mm: Point = (0.0, 0.0)

    def on_paper(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take places (N, 2) to the paper."""
        return np.asarray(self.scale * points_mm + self.shift_mm)


@dataclass(frozen=True, slots=True)
class Page:
    """A sheet of paper, or as much of a drawing board as is needed."""

    width_mm: float
    height_mm: float
    blocks: tuple[Block, ...]


def bounds_mm(items: Iterable[Item]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the lowest and highest x and y that strokes and dots reach, (2,) each."""
    points = np.concatenate([item.path_mm() for item in items])
    return points.min(axis=0), points.max(axis=0)


def fitted(items: tuple[Item, ...], low_mm: Point, high_mm: Point, *, most: float = 1.0) -> Block:
    """Put items in the middle of a box on paper, as large as it allows but not larger than `most`."""
    low, high = bounds_mm(items)
    room = np.subtract(high_mm, low_mm)
    scale = min(most, float((room / np.maximum(high - low, 1e-9)).min()))
    middle = np.add(low_mm, high_mm) / 2 - scale * (low + high) / 2
    return Block(items, scale, (float(middle[0]), float(middle[1])))
