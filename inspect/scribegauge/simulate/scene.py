"""What a made-up photo shows: plate, marks, paper, light and camera, all known exactly.

Lengths in millimetres. A plate has its own frame (x right, y down); `Scene.plate_origin_mm` and
`Scene.plate_turn_deg` place it in the target frame, its face on the plane z = -thickness.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Point = tuple[float, float]
Colour = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Profile:
    """Cross-section of a scribed groove: a V between two rims, the mark's place midway.

    Attributes
    ----------
    width_mm : float
        Rim to rim.
    slope_left, slope_right : float
        Tangent of the wall slopes to the left and right of the stroke (y down: right is the
        side that the stroke direction turned by +90 degrees points to).
    burr_left, burr_right : float
        Slope of the thrown-up metal beside each rim, 0 for none.
    width_noise, slope_noise : float
        Relative spread of the width and spread of the wall slopes along the stroke.
    wander_mm : float
        Spread of the stroke about its straight (or round) course; its mean is zero.
    """

    width_mm: float = 0.06
    slope_left: float = 0.7
    slope_right: float = 0.7
    burr_left: float = 0.0
    burr_right: float = 0.25
    width_noise: float = 0.08
    slope_noise: float = 0.06
    wander_mm: float = 0.002


@dataclass(frozen=True, slots=True)
class ScribedLine:
    """One straight stroke; `fade` is the share of width lost towards its end, 0 to 1.

    `breaks_mm` lists stretches (from, to) along the stroke where the point did not bite.
    """

    role: str
    start_mm: Point
    end_mm: Point
    profile: Profile = field(default_factory=Profile)
    fade: float = 0.0
    breaks_mm: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class ScribedArc:
    """One stroke of the dividers; angles are atan2(y, x) in the plate frame."""

    role: str
    centre_mm: Point
    radius_mm: float
    start_deg: float = 0.0
    sweep_deg: float = 360.0
    profile: Profile = field(default_factory=Profile)


@dataclass(frozen=True, slots=True)
class Prick:
    """A conical pit with a raised rim; `slope` and `burr` are tangents as in `Profile`."""

    role: str
    centre_mm: Point
    diameter_mm: float = 0.22
    slope: float = 0.9
    burr: float = 0.3


@dataclass(frozen=True, slots=True)
class PlateModel:
    """A plate with what is scribed on it, in its own frame.

    Attributes
    ----------
    outline_mm : tuple of points
        Corners in order; clockwise to the viewer or not.
    thickness_mm : float
    metal : str
        A name in `finish.METALS`.
    finish : str
        A name in `finish.FINISHES`.
    grain_deg : float
        Direction of brushing or emery strokes.
    lines, arcs, pricks : tuples of marks
        Stray scratches are lines whose role begins with ``stray``.
    """

    outline_mm: tuple[Point, ...]
    thickness_mm: float
    metal: str = "brass"
    finish: str = "brushed"
    grain_deg: float = 0.0
    lines: tuple[ScribedLine, ...] = ()
    arcs: tuple[ScribedArc, ...] = ()
    pricks: tuple[Prick, ...] = ()


@dataclass(frozen=True, slots=True)
class Lamp:
    """One lamp and a broad light from above, together giving the paper radiance 1.

    Attributes
    ----------
    azimuth_deg, elevation_deg : float
        Where the lamp stands, seen from the middle of the target: atan2(y, x) in the target
        frame and height above the paper.
    distance_mm : float
        From the middle of the target; near lamps make a gradient.
    share : float
        Part of the paper's light that comes from the lamp, 0 to 1.
    size : float
        Spread of the lamp in half-vector slope; 0.05 a bulb, 0.2 a window.
    sky_lean : float
        Slope of a surface, tilted towards the lamp's side, that mirrors the middle of the broad
        light straight up; 0 is overhead, more is a room lit from one side.
    sky_spread : float
        Spread of the broad light in the same terms.
    rgb : three floats
        Colour of the light, 1 = the camera's white.
    """

    azimuth_deg: float = -60.0
    elevation_deg: float = 40.0
    distance_mm: float = 600.0
    share: float = 0.45
    size: float = 0.12
    sky_lean: float = 0.08
    sky_spread: float = 0.42
    rgb: Colour = (1.0, 0.98, 0.94)


@dataclass(frozen=True, slots=True)
class Shadow:
    """A soft-edged shadow over paper and plate beyond a straight edge.

    The edge passes through `through_mm` (target frame); the shade lies on the side that
    `towards_deg` points to and leaves `left` of the light.
    """

    through_mm: Point
    towards_deg: float
    softness_mm: float = 4.0
    left: float = 0.5


@dataclass(frozen=True, slots=True)
class PaperModel:
    """The printed sheet and the desk under it.

    Attributes
    ----------
    size : str
        Target size S, M or L.
    print_scale : two floats
        Printed over drawn, along x and y.
    margin_mm : float
        White paper round the board; the desk begins beyond it.
    ink, white : float
        Reflectance of ink and paper.
    desk_rgb : three floats
        Reflectance of the desk.
    """

    size: str = "M"
    print_scale: Point = (1.0, 1.0)
    margin_mm: float = 20.0
    ink: float = 0.045
    white: float = 0.86
    desk_rgb: Colour = (0.23, 0.16, 0.10)


@dataclass(frozen=True, slots=True)
class CameraModel:
    """Lens and sensor; pixel (0, 0) is the centre of the top-left pixel.

    Attributes
    ----------
    size_px : two ints
        Width and height.
    f_px, aspect : float
        ``fx = f_px``, ``fy = f_px * aspect``.
    centre_px : point
        Principal point.
    dist : five floats
        Brown-Conrady k1, k2, p1, p2, k3 in OpenCV's order.
    blur_px : float
        Standard deviation of the lens's point spread.
    motion_px : point
        How far the picture ran during the exposure.
    full_well_e, read_noise_e : float
        Electrons that make white, and the noise of reading one pixel.
    exposure : float
        Linear value, of 1, that paper of radiance 1 gets.
    """

    size_px: tuple[int, int] = (1600, 1200)
    f_px: float = 1240.0
    aspect: float = 1.0
    centre_px: Point = (799.5, 599.5)
    dist: tuple[float, float, float, float, float] = (0.05, -0.09, 0.0004, -0.0003, 0.03)
    blur_px: float = 0.6
    motion_px: Point = (0.0, 0.0)
    full_well_e: float = 6000.0
    read_noise_e: float = 4.0
    exposure: float = 0.55


@dataclass(frozen=True, slots=True)
class Pose:
    """Target frame to camera: ``X_camera = rotation @ X_target + translation_mm``."""

    rotation: NDArray[np.float64]
    translation_mm: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything in front of the camera, and the camera."""

    plate: PlateModel | None
    plate_origin_mm: Point
    plate_turn_deg: float
    paper: PaperModel
    lamp: Lamp
    camera: CameraModel
    pose: Pose
    shadows: tuple[Shadow, ...] = ()


@dataclass(frozen=True, slots=True)
class Truth:
    """What a perfect reading of the scene would say. Target frame unless named otherwise.

    Attributes
    ----------
    camera_matrix : ndarray, shape (3, 3)
    dist : ndarray, shape (5,)
    rotation : ndarray, shape (3, 3)
    translation_mm : ndarray, shape (3,)
    ring_ids : ndarray, shape (N,), int
        Chessboard corners inside the ring.
    ring_px : ndarray, shape (N, 2)
        Where they fall in the photo, seen or not.
    corners_mm, corners_px : ndarray, shape (n, 2)
        Where successive sides meet, on the plate's face; vertex i joins side i - 1 and side i.
    sides_mm : ndarray, shape (n,)
        From vertex i to i + 1.
    angles_deg : ndarray, shape (n,)
        Inner angle at vertex i.
    pricks_mm, pricks_px : mapping from role to ndarray, shape (2,)
    thickness_mm : float
    """

    camera_matrix: NDArray[np.float64]
    dist: NDArray[np.float64]
    rotation: NDArray[np.float64]
    translation_mm: NDArray[np.float64]
    ring_ids: NDArray[np.int64]
    ring_px: NDArray[np.float64]
    corners_mm: NDArray[np.float64]
    corners_px: NDArray[np.float64]
    sides_mm: NDArray[np.float64]
    angles_deg: NDArray[np.float64]
    pricks_mm: Mapping[str, NDArray[np.float64]]
    pricks_px: Mapping[str, NDArray[np.float64]]
    thickness_mm: float
