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


@dataclass(frozen=True, slots=True)
class Face:
    """The plane of the scribed face in the target's frame.

    Plate coordinates are the target's x and y in millimetres on the plane
    ``z = -thickness_mm`` (one thickness towards the viewer).

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
    """

    view: View
    thickness_mm: float
    u_thickness_mm: float
    outline_mm: NDArray[np.float64]
    scale_px_per_mm: float
    blur_px: float

    def photo_from_plate(self, points_mm: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take plate points (N, 2) [mm] to photo points (N, 2) [px]."""
        points = np.asarray(points_mm, np.float64).reshape(-1, 2)
        height = np.full(len(points), -self.thickness_mm)
        return project(self.view.values, np.column_stack([points, height]))

    def plate_from_photo(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take photo points (N, 2) [px] to plate points (N, 2) [mm]."""
        points = np.asarray(points_px, np.float64).reshape(-1, 2)
        return plane_from_photo(self.view.values, points, (-self.thickness_mm, 0.0, 0.0))


def scale_at(face_view: View, thickness_mm: float, point_mm: NDArray[np.float64]) -> float:
    """Return the photo's mean scale [px/mm] at one plate point (2,) [mm]."""
    x, y = point_mm
    step = np.array([[x, y], [x + 1, y], [x, y + 1]])
    px = project(face_view.values, np.column_stack([step, np.full(3, -thickness_mm)]))
    jacobian = np.stack([px[1] - px[0], px[2] - px[0]])
    return float(np.sqrt(abs(np.linalg.det(jacobian))))
