"""What a reading says of the construction that a figure was drawn by."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SideParts:
    """One side: intended, as the perfect method gives it, as scribed; `U_mm` of the hand error.

    The method's error is method less intended, the hand's is scribed less method.
    """

    side: str
    intended_mm: float
    method_mm: float
    scribed_mm: float | None
    method_error_mm: float
    hand_error_mm: float | None
    U_mm: float | None


@dataclass(frozen=True, slots=True)
class AngleParts:
    """One angle, as `SideParts`."""

    at: str
    intended_deg: float
    method_deg: float
    scribed_deg: float | None
    method_error_deg: float
    hand_error_deg: float | None
    U_deg: float | None


@dataclass(frozen=True, slots=True)
class VertexParts:
    """How far one vertex is off, figures laid over one another by best fit.

    The method's from the intended place, the scribed one from the method's; `U_mm` of the latter.
    `method_mm` is where the perfect method has it in the plate.
    """

    at: str
    method_mm: tuple[float, float]
    method_error_mm: float
    hand_error_mm: float | None
    U_mm: float | None


@dataclass(frozen=True, slots=True)
class StepReading:
    """One step of the construction, replayed from the marks as scribed.

    `own_mm` is what the step added, by itself, with its `U_mm` (k = 2); `inherited_mm` how far its
    parents had moved it before. `seen` is False where the mark was not found and took its
    prediction: then `own_mm` is None and `U_mm` is that of the place. `named` steps stand out among
    all tested. `side_shares_mm` and `angle_shares_deg` are what the step did to each side and angle
    of the reading; over all steps they add up to the hand's errors. `path_px` follows the mark in
    the photo (one place for a point), empty where it is not seen or leaves none.
    """

    number: int
    mark: str
    words: str
    seen: bool
    own_mm: float | None
    U_mm: float | None
    inherited_mm: float
    named: bool
    side_shares_mm: tuple[float, ...]
    angle_shares_deg: tuple[float, ...]
    path_px: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class FindingReading:
    """What the hand did at one step, as far as the marks show it; `kind` is a stable name."""

    kind: str
    number: int
    mark: str
    at: tuple[str, ...]
    size_mm: float
    U_mm: float
    text: str


@dataclass(frozen=True, slots=True)
class ConstructionReading:
    """The construction of a figure, compared with the plate.

    Attributes
    ----------
    vertices : names of the layout's vertices in the order of the construction's `vertex_marks`.
    entered_at : number of the step at which the error entered, None where none stands out.
    by_lines : vertices without a prick, taken where their sides meet.
    not_seen : marks of the construction that were not found.
    off_mm : root mean square distance of the scribed vertices from the perfect method's.
    rival : another order of the vertices under which the steps need errors little larger, which
        fits to `rival_off_mm`; None where the plate tells.
    reverse : another order under which every vertex has the same place: only the names of the
        steps' marks differ; None where there is none.
    closing_gap_mm : by how much the last chord of a stepped figure is longer than the steps, of
        which `method_gap_mm` is the method's own; None where nothing is stepped.
    notes : sentences on what could not be done.
    """

    name: str
    title: str
    exact: bool
    sources: tuple[str, ...]
    sizes: tuple[tuple[str, float], ...]
    vertex_marks: tuple[str, ...]
    vertices: tuple[str, ...]
    sides: tuple[SideParts, ...]
    angles: tuple[AngleParts, ...]
    vertex_errors: tuple[VertexParts, ...]
    steps: tuple[StepReading, ...]
    entered_at: int | None
    findings: tuple[FindingReading, ...]
    closing_gap_mm: float | None
    by_lines: tuple[str, ...]
    not_seen: tuple[str, ...]
    rival: tuple[str, ...] | None
    notes: tuple[str, ...]
    off_mm: float | None = None
    rival_off_mm: float | None = None
    reverse: tuple[str, ...] | None = None
    method_gap_mm: float | None = None
