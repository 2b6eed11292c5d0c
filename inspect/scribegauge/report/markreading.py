"""The reading's records of what marks are worth: arcs, corners, meetings, the quality of lines."""

from dataclasses import dataclass

Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class DoubledReading:
    """A stretch of a line (from its start) that shows two strokes, and how far they lie apart."""

    first_mm: float
    last_mm: float
    apart_mm: float
    U_apart_mm: float


@dataclass(frozen=True, slots=True)
class LineQuality:
    """How well a line was scribed, as far as it can be seen.

    `width_verdict` compares the width with the tolerance of a side: a line wider than that cannot
    be set to it. A wander up to `U_wander_mm` is nothing but noise and light. `gaps_mm` are where
    nothing of the line is seen: it breaks there, or the light does not catch it.
    """

    length_mm: float
    U_start_mm: float
    U_end_mm: float
    U_width_mm: float
    width_verdict: str | None
    wander_mm: float
    U_wander_mm: float
    gaps_mm: tuple[Pair, ...]
    faded_start_mm: float | None
    faded_end_mm: float | None
    doubled: tuple[DoubledReading, ...]


@dataclass(frozen=True, slots=True)
class ArcReading:
    """One divider circle or arc. Angles from x towards y; a full circle sweeps 360.

    `U_centre_mm` is in the direction in which the centre is known worst. Of roundness, mismatch
    and the centre's wander, what does not exceed its U is nothing but noise and light; None where
    an arc cannot tell.
    """

    x_mm: float
    y_mm: float
    U_centre_mm: float
    radius_mm: float
    U_radius_mm: float
    start_deg: float
    sweep_deg: float
    width_mm: float
    look: str
    seen: float
    roundness_mm: float | None
    U_roundness_mm: float | None
    mismatch_mm: float | None
    U_mismatch_mm: float | None
    centre_wander_mm: float | None
    U_centre_wander_mm: float | None
    photo_px: Pair
    path_px: tuple[Pair, ...]


@dataclass(frozen=True, slots=True)
class CornerReading:
    """How the two lines of a corner end there; `before` and `after` name their sides.

    `past_…` is how far the line is seen past the corner, negative where it is not seen up to it.
    `prick_along_…` and `prick_across_…` say where the corner's prick lies from the corner, along
    each line the way the figure goes and across it to the right as the viewer sees it.
    """

    at: str
    before: str
    after: str
    past_before_mm: float | None
    U_past_before_mm: float | None
    past_after_mm: float | None
    U_past_after_mm: float | None
    prick_along_before_mm: float | None
    prick_across_before_mm: float | None
    U_prick_across_before_mm: float | None
    prick_along_after_mm: float | None
    prick_across_after_mm: float | None
    U_prick_across_after_mm: float | None


@dataclass(frozen=True, slots=True)
class MeetingReading:
    """A point where three or more marks should meet, and how far each passes from it.

    `at` is the vertex, empty where it is none. `marks` are sides by name ("A-B"), other lines and
    arcs by their place in the reading ("line 7", "arc 1"), pricks by vertex ("prick A").
    """

    at: str
    x_mm: float
    y_mm: float
    photo_px: Pair
    marks: tuple[str, ...]
    misses_mm: tuple[float, ...]
    miss_mm: float
    U_miss_mm: float
