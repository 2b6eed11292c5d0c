"""A scribed plate laid in a target's window, with a camera held over it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from scribegauge.simulate.finish import FINISHES
from scribegauge.simulate.hand import Hand, pits, prick_corners, scribe_sides, stray_scratches
from scribegauge.simulate.pinhole import pose_towards, project_px
from scribegauge.simulate.polygon import turned
from scribegauge.simulate.scene import CameraModel, Lamp, PaperModel, PlateModel, Pose, Scene
from scribetarget.spec import load_specs

Array = NDArray[np.float64]

LIGHTS: Mapping[str, Lamp] = MappingProxyType(
    {
        "window": Lamp(
            elevation_deg=32.0, share=0.50, size=0.18, sky_lean=0.2, rgb=(0.93, 1.0, 0.97)
        ),
        "soft": Lamp(elevation_deg=55.0, share=0.25, size=0.25, sky_lean=0.15),
        "raking": Lamp(elevation_deg=20.0, share=0.35, size=0.06, rgb=(0.95, 1.0, 1.0)),
        "lamp": Lamp(elevation_deg=48.0, share=0.50, size=0.08, distance_mm=400.0),
    }
)

_TRIES = 60
_CLEAR_MM = 1.5  # between plate and ring


@dataclass(frozen=True, slots=True)
class Bench:
    """Plate, light and camera that a scene is made with.

    Attributes
    ----------
    metal : str
    thickness_mm : float
    margin_mm : float
        Metal beyond the figure.
    print_scale : two floats
    lamp : Lamp
    camera : CameraModel
    tilt_deg : two floats
        Least and greatest tilt of the camera.
    fill : float
        How far the board reaches from the picture's middle to its nearer edge, 1 = all the way.
    """

    metal: str = "brass"
    thickness_mm: float = 1.0
    margin_mm: float = 5.0
    print_scale: tuple[float, float] = (1.0, 1.0)
    lamp: Lamp = field(default_factory=lambda: LIGHTS["window"])
    camera: CameraModel = field(default_factory=CameraModel)
    tilt_deg: tuple[float, float] = (8.0, 20.0)
    fill: float = 0.94


def scene_for_layout(
    vertices_mm: Array | Sequence[Sequence[float]],
    *,
    seed: int,
    size: str = "M",
    finish: str = "brushed",
    bench: Bench | None = None,
    hand: Hand | None = None,
) -> Scene:
    """Scribe a polygon by hand, lay it in a target's window and hold a camera over it.

    Parameters
    ----------
    vertices_mm : array, shape (n, 2)
        Intended figure, in order.
    seed : int
        Fixes the hand's errors, the plate's place and turn, and the camera's pose.
    size : str
        Target size.
    finish : str
        A name in `finish.FINISHES`.
    bench : Bench, optional
    hand : Hand, optional

    Returns
    -------
    Scene
        `truth.truth_of` gives its truth; lines are named ``side i``, pricks ``vertex i``.

    Raises
    ------
    ValueError
        When the plate does not fit into the window.
    """
    bench, hand = bench or Bench(), hand or Hand()
    rng = np.random.default_rng([seed, 21])
    spec = load_specs()[size]
    intended = np.asarray(vertices_mm, dtype=np.float64)
    intended = intended - (intended.min(axis=0) + intended.max(axis=0)) / 2
    outline = _blank(intended, bench.margin_mm, rng)
    turn_deg, room_mm = _turn_that_fits(outline, spec.window_mm, rng)
    hand = replace(hand, slope=hand.slope * FINISHES[finish].bite)
    pricked = prick_corners(intended, hand, rng)
    sides = scribe_sides(pricked, hand, rng)
    plate = PlateModel(
        outline_mm=tuple((float(x), float(y)) for x, y in outline),
        thickness_mm=bench.thickness_mm,
        metal=bench.metal,
        finish=finish,
        grain_deg=float(rng.uniform(0, 180)),
        lines=(*sides, *stray_scratches(outline, hand.strays, rng)),
        pricks=pits(pricked, hand, rng),
    )
    shift = rng.uniform(-1, 1, 2) * np.minimum(room_mm, 4.0)
    return Scene(
        plate=plate,
        plate_origin_mm=(spec.side_mm / 2 + float(shift[0]), spec.side_mm / 2 + float(shift[1])),
        plate_turn_deg=turn_deg,
        paper=PaperModel(size=size, print_scale=bench.print_scale),
        lamp=bench.lamp,
        camera=bench.camera,
        pose=filling_pose(bench, spec.side_mm, rng),
    )


def filling_pose(bench: Bench, board_mm: float, rng: np.random.Generator) -> Pose:
    """Tilt the camera by chance and bring it as near as the board's four corners allow."""
    tilt_deg, azimuth_deg = rng.uniform(*bench.tilt_deg), rng.uniform(0, 360)
    roll_deg = rng.uniform(-12, 12) + 90 * rng.integers(0, 4)
    aim = board_mm / 2 + rng.uniform(-1, 1, 2)

    def pose_at(distance_mm: float) -> Pose:
        return pose_towards(
            (float(aim[0]), float(aim[1])),
            distance_mm=distance_mm,
            tilt_deg=tilt_deg,
            azimuth_deg=azimuth_deg,
            roll_deg=roll_deg,
        )

    near, far = 0.8 * board_mm, 20.0 * board_mm
    for _ in range(40):
        middle = (near + far) / 2
        near, far = (near, middle) if _fits(pose_at(middle), bench, board_mm) else (middle, far)
    return pose_at(far)


def _fits(pose: Pose, bench: Bench, board_mm: float) -> bool:
    corners = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]) * board_mm
    seen = project_px(corners, bench.camera, pose)
    half = np.array(bench.camera.size_px) / 2
    return bool(np.all(np.abs(seen + 0.5 - half) < bench.fill * half))


def _blank(intended: Array, margin_mm: float, rng: np.random.Generator) -> Array:
    """Saw a rectangle round the figure, not quite square."""
    low, high = intended.min(axis=0) - margin_mm, intended.max(axis=0) + margin_mm
    corners = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    return corners + rng.uniform(-0.25, 0.25, corners.shape)


def _turn_that_fits(
    outline: Array, window_mm: float, rng: np.random.Generator
) -> tuple[float, Array]:
    """Turn by chance until the plate lies inside the window; also return the room left."""
    for reach_deg in np.linspace(180, 0.5, _TRIES):
        turn_deg = float(rng.uniform(-reach_deg, reach_deg))
        room: Array = window_mm / 2 - _CLEAR_MM - np.abs(turned(outline, turn_deg)).max(axis=0)
        if np.all(room >= 0):
            return turn_deg, room
    raise ValueError(f"the plate does not fit into a window of {window_mm:g} mm")
