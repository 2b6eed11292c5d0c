"""The intended figure, as a layout file gives it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.intended import FitChoice, IntendedMarks


@dataclass(frozen=True, slots=True)
class Tolerance:
    """What the person allows; None where nothing is to be judged.

    `iso2768` is a class of ISO 2768-1 (f, m, c, v) for what has no number of its own. `radius_mm` is
    for circles, `place_mm` for how far a mark may lie from its place; distances go by `side_mm`.
    """

    side_mm: float | None
    angle_deg: float | None
    iso2768: str | None = None
    radius_mm: float | None = None
    place_mm: float | None = None


@dataclass(frozen=True, slots=True)
class GradeBands:
    """The teacher's own grades for a whole plate.

    Attributes
    ----------
    names : tuple of str
        Of the bands, the best first.
    beyond : str
        The grade of a plate that reaches none of them.
    limits : Mapping[str, tuple of float]
        By ``"largest_mm"``, ``"rms_mm"`` (deviations of the sides), ``"largest_deg"``,
        ``"rms_deg"`` (of the angles): the limit of each band.
    """

    names: tuple[str, ...]
    beyond: str
    limits: Mapping[str, tuple[float, ...]]


@dataclass(frozen=True, slots=True)
class ConstructionChoice:
    """By which construction the figure is drawn.

    Attributes
    ----------
    name : str
        One that comes with the program; empty when it is in a file.
    file : Path or None
        A construction file of one's own.
    sizes : Mapping[str, float]
        Those that are not to follow from the layout's own size.
    vertices : tuple of str or None
        The layout's vertices in the order of the construction's; None where the plate is to tell.
    """

    name: str
    file: Path | None
    sizes: Mapping[str, float]
    vertices: tuple[str, ...] | None


@dataclass(frozen=True, slots=True)
class Layout:
    """What was intended: a polygon by its vertices, in order round the figure, and other marks.

    Attributes
    ----------
    title : str
    vertices_mm : ndarray, shape (n, 2), float64
        None at all when the layout holds other marks only.
    names : tuple of str
        One per vertex: A, B, C, … Z, A1, B1, …
    tolerance : Tolerance
    grade : GradeBands or None
    construction : ConstructionChoice or None
    marks : IntendedMarks
    fit : FitChoice
    """

    title: str
    vertices_mm: NDArray[np.float64]
    names: tuple[str, ...]
    tolerance: Tolerance
    grade: GradeBands | None = None
    construction: ConstructionChoice | None = None
    marks: IntendedMarks = field(default_factory=IntendedMarks)
    fit: FitChoice = field(default_factory=FitChoice)
