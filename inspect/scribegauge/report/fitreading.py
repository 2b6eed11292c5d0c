"""The reading's records of intended circles, pricks and distances, and of how the figure was laid."""

from dataclasses import dataclass

Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class CircleReading:
    """A circle of the layout compared with the one found; `arc` is its place in `arcs`, from 1.

    `off_mm` is how far its centre lies from its place in the figure laid over the scribed one,
    None where nothing else says where that is. `path_px` is the intended circle in the photo.
    """

    name: str
    arc: int | None
    intended_mm: float
    measured_mm: float | None
    deviation_mm: float | None
    U_mm: float | None
    verdict: str | None
    tolerance_mm: float | None
    off_mm: float | None
    U_off_mm: float | None
    off_verdict: str | None
    off_tolerance_mm: float | None
    path_px: tuple[Pair, ...]


@dataclass(frozen=True, slots=True)
class PlaceReading:
    """A vertex or a prick of the layout: where it should be in the plate, and how far it is off."""

    name: str
    intended_mm: Pair
    intended_px: Pair
    measured_mm: Pair | None
    off_mm: float | None
    U_mm: float | None
    verdict: str | None
    tolerance_mm: float | None


@dataclass(frozen=True, slots=True)
class LinePlaceReading:
    """A line of the layout that is no side: how far it passes from its two ends, at most."""

    name: str
    seen: bool
    off_mm: float | None
    U_mm: float | None
    verdict: str | None
    tolerance_mm: float | None


@dataclass(frozen=True, slots=True)
class DistanceReading:
    """The distance of two points of the layout, or a side once the size is left free."""

    between: tuple[str, str]
    intended_mm: float
    measured_mm: float | None
    deviation_mm: float | None
    U_mm: float | None
    verdict: str | None
    tolerance_mm: float | None


@dataclass(frozen=True, slots=True)
class FitReading:
    """How the intended figure was laid over the scribed one.

    Attributes
    ----------
    by : str
        ``best fit`` or the name of a side.
    size : str
        ``fixed`` or ``free``; when free, `scale` is the factor by which the scribed figure is larger
        and `sides` have what is left of their deviations.
    hand : str
        ``given`` or ``mirrored``.
    ways : int
        In how many ways the layout lies alike on itself.
    told_by : str
        What told which of them was taken: ``shape`` (there is one only), ``hints``, ``marks``,
        ``edge``; ``nothing`` where the one was taken that is turned least.
    """

    by: str
    size: str
    hand: str
    ways: int
    told_by: str
    scale: float | None
    U_scale: float | None
    vertices: tuple[PlaceReading, ...]
    sides: tuple[DistanceReading, ...]
