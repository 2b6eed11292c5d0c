"""A camera held over a plate, with pictures drawn by rays that do not use the lens under test."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, uniform_filter1d
from scipy.spatial.transform import Rotation
from scipy.special import ndtr

from scribegauge.plate.face import Face, scale_at
from scribegauge.simulate.pinhole import camera_centre_mm, pose_towards, rays_mm
from scribegauge.simulate.scene import CameraModel, Pose
from scribetarget.camera import Camera
from scribetarget.printscale import PrintScale
from scribetarget.spec import load_specs
from scribetarget.view import View

Brightness = Callable[[NDArray[np.float64], NDArray[np.float64], float], NDArray[np.float64]]

CAMERA = CameraModel(size_px=(640, 560), f_px=3000.0, centre_px=(319.5, 279.5), dist=(0.0,) * 5)
AIM_MM = (40.0, 45.0)
STRAIGHT_DOWN = {"distance_mm": 150.0, "tilt_deg": 0.0, "azimuth_deg": 0.0, "roll_deg": 0.0}
# Of the drawn marks, the pixel's own aperture included.
BLUR_PX = 0.7


@dataclass(frozen=True, slots=True)
class Setup:
    """A camera of known truth and the face as a perfect pose stage would give it."""

    camera: CameraModel
    pose: Pose
    face: Face

    def plate_places(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Return x and y on the plate of every pixel."""
        width, height = self.camera.size_px
        u, v = np.meshgrid(np.arange(width, dtype=float), np.arange(height, dtype=float))
        ray = rays_mm(u, v, self.camera, self.pose)
        centre = camera_centre_mm(self.pose)
        x, y = centre[:2, None, None] + ray * (-self.face.thickness_mm - centre[2])
        return x, y

    def light(
        self, *marks: Brightness, grey: float = 150.0, blur_px: float = BLUR_PX
    ) -> NDArray[np.float64]:
        """Return grey levels of metal with marks on it, before noise and rounding."""
        x, y = self.plate_places()
        light = np.full(x.shape, float(grey))
        for mark in marks:
            light += mark(x, y, blur_px / self.face.scale_px_per_mm)
        return light

    def draw(
        self,
        *marks: Brightness,
        grey: float = 150.0,
        noise: float = 2.0,
        blur_px: float = BLUR_PX,
        seed: int = 1,
    ) -> NDArray[np.uint8]:
        """Draw metal with marks on it as a grey photo."""
        return expose(self.light(*marks, grey=grey, blur_px=blur_px), noise, seed)


def expose(light: NDArray[np.float64], noise: float, seed: int) -> NDArray[np.uint8]:
    """Add noise to grey levels and round them."""
    seen = light + np.random.default_rng([seed, 5]).normal(0, noise, light.shape)
    return np.clip(np.round(seen), 0, 255).astype(np.uint8)


def _values(camera: CameraModel, pose: Pose) -> NDArray[np.float64]:
    turn = Rotation.from_matrix(pose.rotation).as_rotvec()
    lens = [camera.f_px, camera.aspect, *camera.centre_px, *camera.dist]
    return np.array([*lens, *turn, *pose.translation_mm, 1.0, 1.0])


def _view(camera: CameraModel, pose: Pose, parts: Mapping[str, NDArray[np.float64]]) -> View:
    values = _values(camera, pose)
    none = np.zeros((2, 2))
    return View(
        spec=load_specs()["S"],
        camera=Camera(*camera.size_px, values[:9], np.zeros((9, 9)), "profile", "Bench Model 1"),
        scale=PrintScale(np.ones(2), none, none, known=True),
        values=values,
        covariance=np.asarray(sum(parts.values(), np.zeros((17, 17)))),
        parts=parts,
        corner_ids=np.zeros(0, np.int64),
        corners_px=np.zeros((0, 2)),
        residuals_px=np.zeros((0, 2)),
        sigma_px=np.zeros(0),
        reduced_chi2=1.0,
    )


@pytest.fixture(scope="session", name="expose")
def _expose() -> Callable[..., NDArray[np.uint8]]:
    return expose


@pytest.fixture(scope="session")
def hold_camera() -> Callable[..., Setup]:
    """Return a function that holds a camera over a plate, aimed at (40, 45) mm of the target.

    Straight down from 150 mm at 20 px/mm unless told otherwise by arguments of `pose_towards`.
    """

    def setup(
        *,
        camera: CameraModel = CAMERA,
        thickness_mm: float = 0.0,
        u_thickness_mm: float = 0.02,
        half_mm: tuple[float, float] = (15.0, 13.0),
        parts: Mapping[str, NDArray[np.float64]] | None = None,
        **turn: float,
    ) -> Setup:
        pose = pose_towards(AIM_MM, **(STRAIGHT_DOWN | turn))
        view = _view(camera, pose, parts or {})
        outline = np.array(AIM_MM) + half_mm * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        scale = scale_at(view, thickness_mm, np.array(AIM_MM))
        face = Face(view, thickness_mm, u_thickness_mm, outline, scale, BLUR_PX)
        return Setup(camera, pose, face)

    return setup


def _between(low: float, high: float, at: NDArray[np.float64], blur: float) -> NDArray[np.float64]:
    """Return a box from low to high seen through a Gaussian blur."""
    return ndtr((at - low) / blur) - ndtr((at - high) / blur)


@pytest.fixture(scope="session")
def stroke() -> Callable[..., Brightness]:
    """Return a function that makes a straight band of other brightness between two plate points."""

    def mark(
        start: tuple[float, float],
        end: tuple[float, float],
        grey: float = -60.0,
        *,
        width_mm: float = 0.08,
        look: str = "single",
    ) -> Brightness:
        a, b = np.asarray(start, float), np.asarray(end, float)
        length = float(np.hypot(*(b - a)))
        along = (b - a) / length

        def brightness(
            x: NDArray[np.float64], y: NDArray[np.float64], blur: float
        ) -> NDArray[np.float64]:
            half = width_mm / 2
            v = (y - a[1]) * along[0] - (x - a[0]) * along[1]
            near = np.abs(v) < half + 6 * blur
            u, v = (x[near] - a[0]) * along[0] + (y[near] - a[1]) * along[1], v[near]
            across = _between(-half, half, v, blur)
            if look == "double":
                across = _between(0, half, v, blur) - _between(-half, 0, v, blur)
            seen = np.zeros(x.shape)
            seen[near] = grey * across * _between(0, length, u, blur)
            return seen

        return brightness

    return mark


@pytest.fixture(scope="session")
def brushed() -> Callable[..., Brightness]:
    """Return a function that makes a texture of parallel scratches level with the picture."""

    def texture(seed: int, spread: float, length_px: int = 40) -> Brightness:
        rng = np.random.default_rng([seed, 6])

        def brightness(
            x: NDArray[np.float64], _y: NDArray[np.float64], _blur: float
        ) -> NDArray[np.float64]:
            streaks = gaussian_filter1d(rng.normal(size=x.shape), BLUR_PX, axis=0)
            for _ in range(3):  # three boxes are nearly a Gaussian, at no cost for its length
                streaks = uniform_filter1d(streaks, round(2 * length_px), axis=1)
            return np.asarray(spread * streaks / streaks.std())

        return brightness

    return texture
