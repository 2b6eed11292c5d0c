"""The scribed face: where it lies above the paper, and how it meets the photo."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribetarget.lens import plane_from_photo, project
from scribetarget.view import View

# Standard uncertainty of the height when nobody gave the thickness: sheet for hand work is 0.5 to
# 2 mm thick (common practice, no source); middle and half-width over sqrt(3).
UNKNOWN_THICKNESS_MM = 1.0
U_UNKNOWN_THICKNESS_MM = 0.45
# Swarf or a burr under one edge: up to 0.05 mm (common practice, no source), either way; as a
# rectangular distribution over the plate's width.
U_SEATING_MM = 0.05 / np.sqrt(3)
# Steps of view and plane for differences: small against curvature, large against rounding.
VIEW_STEPS = np.array(
    [1.0, 1e-4, 0.5, 0.5, 1e-4, 1e-4, 1e-5, 1e-5, 1e-4, *[1e-5] * 3, *[1e-3] * 3, 1e-5, 1e-5]
)
PLANE_STEPS = np.array([1e-2, 1e-4, 1e-4])


@dataclass(frozen=True, slots=True)
class Face:
    """The plane of the scribed face in the target's frame.

    Plate coordinates are the target's x and y in millimetres on the plane ``z = -thickness_mm`` (one
    thickness towards the viewer). On a plate that several photos show not to lie flat they are
    measured in its own plane, so that lengths are true.

    Attributes
    ----------
    view : View
    thickness_mm, u_thickness_mm : float
        Height of the face above the paper and its standard uncertainty.
    outline_mm : ndarray, shape (K, 2), float64
        The plate's edge as a closed polygon.
    scale_px_per_mm : float
        Mean scale of the photo at the plate.
    blur_px : float
        Standard deviation of the photo's blur, as the target's edges show it.
    slopes : (a, b)
        The face is the plane ``z = -thickness_mm + a (x - px) + b (y - py)``.
    pivot_mm : (px, py) or None
        None for the outline's middle.
    shift_mm : (x, y)
    turn_rad : float
        Where the plate was moved between photos: what takes this photo's places to the first's, a
        turn about the pivot and a shift.
    u_found_mm : float or None
        Standard uncertainty of the height where several photos show it, None where one does not.
    """

    view: View
    thickness_mm: float
    u_thickness_mm: float
    outline_mm: NDArray[np.float64]
    scale_px_per_mm: float
    blur_px: float
    slopes: tuple[float, float] = (0.0, 0.0)
    pivot_mm: tuple[float, float] | None = None
    shift_mm: tuple[float, float] = (0.0, 0.0)
    turn_rad: float = 0.0
    u_found_mm: float | None = None

    @property
    def middle_mm(self) -> NDArray[np.float64]:
        """The pivot of the plane's slopes, shape (2,)."""
        return self.outline_mm.mean(axis=0) if self.pivot_mm is None else np.array(self.pivot_mm)

    @property
    def u_height_mm(self) -> float:
        """Standard uncertainty of the height of what one photo was measured for."""
        return self.u_thickness_mm if self.u_found_mm is None else self.u_found_mm

    def photo_from_plate(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take plate points (N, 2) [mm] to photo points (N, 2) [px]."""
        points = np.asarray(points_mm, np.float64).reshape(-1, 2)
        pivot = self.middle_mm
        level = (points - pivot - self.shift_mm) @ np.linalg.inv(self._in_plane()).T
        height = level @ np.array(self.slopes) - self.thickness_mm
        return project(self.view.values, np.column_stack([level + pivot, height]))

    def plate_from_photo(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take photo points (N, 2) [px] to plate points (N, 2) [mm]."""
        return self.seen_otherwise(points_px, self.view.values, np.zeros(3))

    def seen_otherwise(
        self,
        points_px: NDArray[np.float64],
        values: NDArray[np.float64],
        change: NDArray[np.float64],
    ) -> NDArray[np.float64]:
        """Take photo points to the plate as they would lie for another view and another plane.

        Parameters
        ----------
        points_px : ndarray, shape (N, 2), float64
        values : ndarray, shape (..., 17), float64
            View parameters.
        change : ndarray, shape (..., 3), float64
            Of the plane's height about the pivot (along z) and of its two slopes.

        Returns
        -------
        ndarray, shape (..., N, 2), float64
            [mm]
        """
        points = np.asarray(points_px, np.float64).reshape(-1, 2)
        pivot = self.middle_mm
        slopes = change[..., 1:] + np.array(self.slopes)
        foot = change[..., 0] - self.thickness_mm - slopes @ pivot
        plane = np.concatenate([np.asarray(foot)[..., None], slopes], axis=-1)
        level = plane_from_photo(values, points, plane) - pivot
        return np.asarray(level @ self._in_plane().T + pivot + self.shift_mm)

    def _in_plane(self) -> NDArray[np.float64]:
        """Return the matrix (2, 2) from level coordinates about the pivot to the plate's own.

        On a plane of gradient g steps along g are longer by ``sqrt(1 + g²)`` than seen from above.
        """
        slopes = np.array(self.slopes)
        steep = float(slopes @ slopes)
        longer = (np.sqrt(1 + steep) - 1) / steep if steep > 0 else 0.0
        c, s = np.cos(self.turn_rad), np.sin(self.turn_rad)
        turn = np.array([[c, -s], [s, c]])
        return np.asarray(turn @ (np.eye(2) + longer * np.outer(slopes, slopes)))


def scale_at(face_view: View, thickness_mm: float, point_mm: NDArray[np.float64]) -> float:
    """Return the photo's mean scale [px/mm] at one plate point (2,) [mm]."""
    x, y = point_mm
    step = np.array([[x, y], [x + 1, y], [x, y + 1]])
    px = project(face_view.values, np.column_stack([step, np.full(3, -thickness_mm)]))
    jacobian = np.stack([px[1] - px[0], px[2] - px[0]])
    return float(np.sqrt(abs(np.linalg.det(jacobian))))
