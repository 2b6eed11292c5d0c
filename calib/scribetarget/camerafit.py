"""A calibrated camera for photos of another size, or turned to stand upright."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribetarget.camera import Camera
from scribetarget.errors import CameraFileError

Array = NDArray[np.float64]

# A lens of 4 to 7 mm that is focused at 350 mm instead of 250 mm moves out by 0.4 to 0.8 % of its
# focal length (thin lens: image distance f (1 + f / distance)).
U_REFOCUS = 0.005
# Where optical stabilisation holds the lens at the moment, over the longer side of the picture.
# On computed photos of 50 mm squares both together cost 1 um: the photo's own corners decide.
U_STABILISER = 0.001
# Makers round the 35 mm equivalent to whole millimetres; another lens or zoom differs by more.
SAME_FOCAL = 0.04
OWN_PROFILE = "Calibrate the camera that took this photo, or leave --camera out."


def camera_for_photo(
    camera: Camera, width_px: int, height_px: int, name: str, focal_35mm: float | None = None
) -> Camera:
    """Return a calibrated camera for one photo, scaled and turned to its size.

    A photo turned upright by its own record may have been turned either way, so the centre and
    the tangential terms of the turned camera are the mean of both turns, and its covariance
    covers both. The covariance is widened by what refocusing changes between photos.

    Parameters
    ----------
    camera : Camera
        As read from a camera file.
    width_px, height_px : int
        Of the upright photo.
    name : str
        Maker and model as the photo has them; empty when it does not say.
    focal_35mm : float, optional
        The photo's 35 mm equivalent focal length.

    Raises
    ------
    CameraFileError
        ``camera_other_model``, ``camera_other_lens``, ``camera_other_size``.
    """
    _refuse_other(camera, name, focal_35mm)
    size = (width_px, height_px)
    if _same_shape(camera, size):
        fitted = _scaled(camera, size)
    elif _same_shape(camera, size[::-1]):
        fitted = _turned_either_way(_scaled(camera, size[::-1]))
    else:
        raise CameraFileError(
            "camera_other_size",
            f"The photo has {width_px} by {height_px} pixels and the camera file is for "
            f"{camera.width_px} by {camera.height_px}: other proportions, so it was cropped or "
            "taken in another mode.",
            "Use the photo as the camera saved it, taken in the mode that was calibrated, or "
            "leave --camera out.",
        )
    spread = np.zeros(9)
    spread[0] = U_REFOCUS * fitted.values[0]
    spread[2:4] = U_STABILISER * max(size)
    return replace(fitted, covariance=fitted.covariance + np.diag(spread**2))


def half_turned(camera: Camera) -> Camera:
    """Turn the picture that a camera makes by 180 degrees."""
    size = np.array([camera.width_px, camera.height_px])
    values, sign = camera.values.copy(), np.ones(9)
    values[2:4] = size - 1 - values[2:4]
    values[6:8] = -values[6:8]
    sign[[2, 3, 6, 7]] = -1
    return replace(camera, values=values, covariance=camera.covariance * np.outer(sign, sign))


def _refuse_other(camera: Camera, name: str, focal_35mm: float | None) -> None:
    """Raise when the photo says that it is another camera's or another lens's."""
    if name and camera.name and _plain(name) != _plain(camera.name):
        raise CameraFileError(
            "camera_other_model",
            f"The photo was taken with {name}, the camera file is for {camera.name}.",
            OWN_PROFILE,
        )
    if focal_35mm and camera.focal_35mm:
        ratio = focal_35mm / camera.focal_35mm
        if abs(np.log(ratio)) > SAME_FOCAL:
            raise CameraFileError(
                "camera_other_lens",
                f"The photo was taken at {focal_35mm:g} mm (35 mm equivalent), the camera file "
                f"is for {camera.focal_35mm:g} mm: another lens of the same phone, or zoom.",
                "Take the photo with the lens and zoom that were calibrated, or leave --camera "
                "out.",
            )


def _plain(name: str) -> str:
    return " ".join(name.split()).casefold()


def _same_shape(camera: Camera, size: tuple[int, int]) -> bool:
    """Whether a picture of this size is the whole picture, made larger or smaller."""
    width, height = size
    return bool(abs(width * camera.height_px / camera.width_px - height) <= 1) or bool(
        abs(height * camera.width_px / camera.height_px - width) <= 1
    )


def _scaled(camera: Camera, size: tuple[int, int]) -> Camera:
    """Make the picture larger or smaller: pixel edges, at -0.5, stay in place."""
    along_x, along_y = size[0] / camera.width_px, size[1] / camera.height_px
    if along_x == along_y == 1:
        return camera
    scale = np.array([along_x, along_y / along_x, along_x, along_y, *[1.0] * 5])
    shift = np.zeros(9)
    shift[2:4] = 0.5
    values = (camera.values + shift) * scale - shift
    covariance = camera.covariance * np.outer(scale, scale)
    return replace(
        camera, width_px=size[0], height_px=size[1], values=values, covariance=covariance
    )


def _turned_either_way(camera: Camera) -> Camera:
    """Turn the picture by 90 degrees, not known which way: mean and covariance of both."""
    one, other = (_turned(camera, way) for way in (1, -1))
    apart = (one[0] - other[0]) / 2
    return replace(
        camera,
        width_px=camera.height_px,
        height_px=camera.width_px,
        values=(one[0] + other[0]) / 2,
        covariance=(one[1] + other[1]) / 2 + np.outer(apart, apart),
    )


def _turned(camera: Camera, way: int) -> tuple[Array, Array]:
    """Return lens and covariance of the picture turned clockwise (1) or counter-clockwise (-1).

    Clockwise takes (x, y) to (height - 1 - y, x). The tangential part of the distortion is
    ``2 (p·x) x + r² p`` with the vector p = (p2, p1), which turns as any vector does.
    """
    f, aspect, cx, cy, k1, k2, p1, p2, k3 = camera.values
    centre = (camera.height_px - 1 - cy, cx) if way == 1 else (cy, camera.width_px - 1 - cx)
    values = np.array([f * aspect, 1 / aspect, *centre, k1, k2, way * p2, -way * p1, k3])
    change = np.zeros((9, 9))
    change[0, :2] = aspect, f
    change[1, 1] = -1 / aspect**2
    change[2, 3], change[3, 2] = -way, way
    change[6, 7], change[7, 6] = way, -way
    change[[4, 5, 8], [4, 5, 8]] = 1
    return values, change @ camera.covariance @ change.T
