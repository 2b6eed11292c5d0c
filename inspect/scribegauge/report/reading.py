"""The reading: what one `check` found, as a record; the JSON is written from it and read to it."""

from dataclasses import dataclass

from scribegauge.report.constructionreading import ConstructionReading
from scribegauge.report.fitreading import (
    CircleReading,
    DistanceReading,
    FitReading,
    LinePlaceReading,
    PlaceReading,
)
from scribegauge.report.judgereading import (
    AngleTrials,
    CovarianceReading,
    GradeReading,
    SideTrials,
    TrialsReading,
)
from scribegauge.report.markreading import (
    ArcReading,
    CornerReading,
    LineQuality,
    MeetingReading,
)


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a reading is warned or refused; the codes are listed in the README."""

    code: str
    text: str


@dataclass(frozen=True, slots=True)
class Term:
    """One named part of an uncertainty; `u` is a standard uncertainty in the quantity's unit."""

    name: str
    u: float


@dataclass(frozen=True, slots=True)
class VertexReading:
    """Where two scribed sides meet; None where not found."""

    name: str
    x_mm: float | None
    y_mm: float | None
    photo_px: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class SideReading:
    """One side; lengths in mm, `U_mm` expanded (k = 2).

    `degrees_of_freedom` are the effective ones, rounded down; None where they are so many that
    they say nothing. `p_conform` is the probability that the side keeps within `tolerance_mm`.
    """

    start: str
    end: str
    intended_mm: float
    measured_mm: float | None
    deviation_mm: float | None
    U_mm: float | None
    verdict: str | None
    reasons: tuple[Reason, ...]
    terms: tuple[Term, ...]
    degrees_of_freedom: int | None = None
    tolerance_mm: float | None = None
    p_conform: float | None = None
    trials: SideTrials | None = None


@dataclass(frozen=True, slots=True)
class AngleReading:
    """One inside angle; degrees, `U_deg` expanded (k = 2); else as `SideReading`."""

    at: str
    intended_deg: float
    measured_deg: float | None
    deviation_deg: float | None
    U_deg: float | None
    verdict: str | None
    reasons: tuple[Reason, ...]
    terms: tuple[Term, ...]
    degrees_of_freedom: int | None = None
    tolerance_deg: float | None = None
    p_conform: float | None = None
    trials: AngleTrials | None = None


@dataclass(frozen=True, slots=True)
class PrickReading:
    """One prick and the vertex it belongs to (empty where none)."""

    at: str
    x_mm: float
    y_mm: float
    U_mm: float
    photo_px: tuple[float, float]
    off_corner_mm: float | None
    diameter_mm: float
    hinted: bool = False


@dataclass(frozen=True, slots=True)
class LineReading:
    """One scribed line as found; `side` is e.g. "A-B", or empty when it is no side.

    `path_px` follows the line in the photo (lens distortion included).
    """

    side: str
    start_mm: tuple[float, float]
    end_mm: tuple[float, float]
    width_mm: float
    look: str
    seen: float
    hinted: bool
    path_px: tuple[tuple[float, float], ...]
    quality: LineQuality | None = None


@dataclass(frozen=True, slots=True)
class SheetReading:
    """By which check bars the sheet was known.

    `bars_mm` are the readings (x, y), `name` and `measured` (ISO 8601) those of the sheet's record:
    empty and None when the bars were given by hand.
    """

    name: str
    bars_mm: tuple[tuple[float, float], ...]
    caliper_error_mm: float
    measured: str | None


@dataclass(frozen=True, slots=True)
class GridReading:
    """Plate points and where the first photo has them, lens included; with it a photo is straightened.

    `photo_px` are the points of all `x_mm` of the first `y_mm`, then of the second, and so on.
    """

    x_mm: tuple[float, ...]
    y_mm: tuple[float, ...]
    photo_px: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class PlateReading:
    """Where the plate and the intended figure lie in the photo, for the overlay.

    `intended_px` are the intended figure's vertices laid over the scribed one by best fit, None
    where nothing could be laid; `intended_mm` the same in the plate; `outline_px` the plate's edge.
    `sheet` is None when the check bars were not measured. `height_mm` is where several photos put
    the scribed face above the paper, `face_tilt_deg` how far from level; None with one photo.
    `grid` is None in readings of programs that did not keep it.
    """

    target_size: str
    thickness_mm: float
    scale_px_per_mm: float
    tilt_deg: float
    outline_px: tuple[tuple[float, float], ...]
    intended_mm: tuple[tuple[float, float], ...] | None
    intended_px: tuple[tuple[float, float], ...] | None
    u_thickness_mm: float | None = None
    sheet: SheetReading | None = None
    height_mm: float | None = None
    U_height_mm: float | None = None
    face_tilt_deg: float | None = None
    grid: GridReading | None = None


@dataclass(frozen=True, slots=True)
class PhotoReading:
    """Which photo was read."""

    name: str
    sha256: str
    width_px: int
    height_px: int
    taken: str | None
    camera: str


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything one check found. `plate` is None when the photo was refused before it.

    The tolerances are those it was judged by, None where nothing was to be judged, or not all of
    the kind by the same; `tolerance_class` is a class of ISO 2768-1 (f, m, c, v).
    """

    status: str
    reasons: tuple[Reason, ...]
    title: str
    photos: tuple[PhotoReading, ...]
    plate: PlateReading | None
    vertices: tuple[VertexReading, ...]
    sides: tuple[SideReading, ...]
    angles: tuple[AngleReading, ...]
    pricks: tuple[PrickReading, ...]
    lines: tuple[LineReading, ...]
    program: str
    tolerance_side_mm: float | None = None
    tolerance_angle_deg: float | None = None
    arcs: tuple[ArcReading, ...] = ()
    corners: tuple[CornerReading, ...] = ()
    meetings: tuple[MeetingReading, ...] = ()
    tolerance_class: str | None = None
    covariance: CovarianceReading | None = None
    grade: GradeReading | None = None
    trials: TrialsReading | None = None
    construction: ConstructionReading | None = None
    circles: tuple[CircleReading, ...] = ()
    places: tuple[PlaceReading, ...] = ()
    marked_lines: tuple[LinePlaceReading, ...] = ()
    distances: tuple[DistanceReading, ...] = ()
    fit: FitReading | None = None
