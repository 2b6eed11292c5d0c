"""How the sides and angles of a figure follow from all that is not exactly known.

Inputs are what each thing may be off by: first the view of each photo, then the plane of the face,
then every side's line. All at zero gives the figure as measured.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit, angles_of, area_sign, sides_of
from scribegauge.figure.lines import moved
from scribegauge.plate.face import PLANE_STEPS, VIEW_STEPS, Face
from scribetarget.view import VIEW_NAMES

Matrix = NDArray[np.float64]

VIEW_SIZE = len(VIEW_NAMES)
# Height and tilt along x and y.
PLANE_SIZE = 3
# Offset and turn.
LINE_SIZE = 2
# Steps for differences, as those of view and plane.
LINE_STEPS = np.array([1e-3, 1e-5])


@dataclass(frozen=True, slots=True)
class FigureModel:
    """A measured figure as a function of its inputs.

    Attributes
    ----------
    fit : FigureFit
    faces : tuple of Face, length P
        One for each photo, in the order of the fit's photos.
    anchors_mm : ndarray, shape (P, n, 2, 2), float64
        Each photo's side lines; NaN where it shows none.
    anchors_px : tuple of ndarray, shape (2m, 2), float64
        Where the ends of the lines that a photo shows lie in it.
    """

    fit: FigureFit
    faces: tuple[Face, ...]
    anchors_mm: Matrix
    anchors_px: tuple[Matrix, ...]

    @property
    def count(self) -> int:
        """Number of sides."""
        return int(self.anchors_mm.shape[1])

    @property
    def plane_at(self) -> int:
        """Place of the plane's first input."""
        return VIEW_SIZE * len(self.faces)

    @property
    def lines_at(self) -> int:
        """Place of the first line's first input."""
        return self.plane_at + PLANE_SIZE

    @property
    def steps(self) -> Matrix:
        """Steps of all inputs for differences."""
        views = [VIEW_STEPS] * len(self.faces)
        return np.concatenate([*views, PLANE_STEPS, *[LINE_STEPS] * self.count])

    def view_inputs(self, photo: int) -> range:
        """Return the places of one photo's view parameters."""
        return range(VIEW_SIZE * photo, VIEW_SIZE * (photo + 1))

    def quantities(self, inputs: Matrix) -> Matrix:
        """Return sides [mm] and inside angles [rad], shape (..., 2n), for inputs (..., m).

        Angles are between 0 and 2π; NaN where a line needed for it was not found.
        """
        anchors = np.stack(
            [self._anchors(photo, inputs) for photo in range(len(self.faces))], axis=0
        )
        lines = self.fit.join(anchors)
        shifts = inputs[..., self.lines_at :].reshape(*inputs.shape[:-1], self.count, LINE_SIZE)
        lines = moved(lines, shifts[..., 0], shifts[..., 1])
        clockwise = area_sign(self.fit.layout.vertices_mm)
        return np.concatenate([sides_of(lines), angles_of(lines, clockwise)], axis=-1)

    def _anchors(self, photo: int, inputs: Matrix) -> Matrix:
        """Return one photo's lines (..., n, 2, 2), which stay where they are seen in the photo."""
        face, at = self.faces[photo], inputs.shape[:-1]
        views = inputs[..., VIEW_SIZE * photo : VIEW_SIZE * (photo + 1)]
        change = inputs[..., self.plane_at : self.lines_at]
        ends = face.seen_otherwise(self.anchors_px[photo], face.view.values + views, change)
        seen = np.isfinite(self.anchors_mm[photo]).all(axis=(1, 2))
        anchors = np.full((*at, self.count, 2, 2), np.nan)
        anchors[..., seen, :, :] = ends.reshape(*at, -1, 2, 2)
        return anchors


def figure_model(fit: FigureFit, faces: Sequence[Face]) -> FigureModel:
    """Set up the model of a figure measured in one or more photos."""
    anchors = fit.anchors_mm
    seen: NDArray[np.bool_] = np.asarray(np.isfinite(anchors).all(axis=(2, 3)))
    places = [
        face.photo_from_plate(ends[there].reshape(-1, 2))
        for face, ends, there in zip(faces, anchors, seen, strict=True)
    ]
    return FigureModel(fit, tuple(faces), anchors, tuple(places))


def apart(after: Matrix, before: Matrix) -> Matrix:
    """Return after - before for quantities (..., 2n), angles across 0/2π included."""
    step = after - before
    n = step.shape[-1] // 2
    step[..., n:] = (step[..., n:] + np.pi) % (2 * np.pi) - np.pi
    return step
