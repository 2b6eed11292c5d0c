"""The uncertainty of a circle's centre and radius, as a budget of named terms.

The points where the circle is seen stay where they are in the photo; whatever is not exactly known
moves them on the plate, and the circle is fitted to them again.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.record import ArcMark
from scribegauge.plate.face import PLANE_STEPS, U_SEATING_MM, VIEW_STEPS, Face
from scribegauge.uncertainty.figuremodel import PLANE_SIZE, VIEW_SIZE
from scribegauge.uncertainty.propagation import (
    COVERAGE_FACTOR,
    Budget,
    Cause,
    propagate,
    sensitivities,
)

POINTS = 24
LAMPS = 36
CIRCLE_SIZE = 3

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CircleModel:
    """Centre and radius as a function of view (17), plane (3) and what is seen of them (3).

    Attributes
    ----------
    face : Face
    circle : ndarray, shape (3,), float64
        Centre x, centre y, radius [mm].
    angle_rad : ndarray, shape (K,), float64
        Of points along the arc.
    points_px : ndarray, shape (K, 2), float64
        Where they lie in the photo.
    """

    face: Face
    circle: Matrix
    angle_rad: Matrix
    points_px: Matrix

    @property
    def away(self) -> Matrix:
        """Unit vectors (K, 2) outwards."""
        return np.column_stack([np.cos(self.angle_rad), np.sin(self.angle_rad)])

    @property
    def follows(self) -> Matrix:
        """How the fitted circle follows points that move outwards by a little, (3, K)."""
        return np.linalg.pinv(np.column_stack([self.away, np.ones(len(self.angle_rad))]))

    def quantities(self, inputs: Matrix) -> Matrix:
        """Return circles (..., 3) for inputs (..., 23)."""
        change = inputs[..., VIEW_SIZE : VIEW_SIZE + PLANE_SIZE]
        views = self.face.view.values + inputs[..., :VIEW_SIZE]
        points = self.face.seen_otherwise(self.points_px, views, change)
        points = points.reshape(*inputs.shape[:-1], -1, 2)
        outwards = ((points - self.circle[:2]) * self.away).sum(axis=-1) - self.circle[2]
        moved = self.circle + outwards @ self.follows.T
        return np.asarray(moved + inputs[..., VIEW_SIZE + PLANE_SIZE :])


def circle_budget(arc: ArcMark, face: Face) -> Budget:
    """Work out what makes a circle uncertain.

    Parameters
    ----------
    arc : ArcMark
    face : Face
        Of the photo in which it was measured.

    Returns
    -------
    Budget
        Of centre x, centre y and radius [mm].
    """
    angle = np.radians(arc.start_deg + (np.arange(POINTS) + 0.5) / POINTS * arc.sweep_deg)
    points = arc.centre_mm + arc.radius_mm * np.column_stack([np.cos(angle), np.sin(angle)])
    circle = np.array([*arc.centre_mm, arc.radius_mm])
    model = CircleModel(face, circle, angle, face.photo_from_plate(points))
    steps = np.concatenate([VIEW_STEPS, PLANE_STEPS, np.full(CIRCLE_SIZE, PLANE_STEPS[0])])
    at = np.zeros(len(steps))
    slopes = sensitivities(model.quantities, at, steps)
    return propagate(model.quantities(at), slopes, tuple(_causes(arc, model)))


def u_centre_mm(budget: Budget) -> float:
    """Return the expanded uncertainty (k = 2) of a centre where it is known worst [mm]."""
    largest = float(np.linalg.eigvalsh(budget.covariance[:2, :2])[-1])
    return COVERAGE_FACTOR * float(np.sqrt(max(largest, 0.0)))


def _causes(arc: ArcMark, model: CircleModel) -> Iterator[Cause]:
    face, plane_at, seen_at = model.face, VIEW_SIZE, VIEW_SIZE + PLANE_SIZE
    for name, part in face.view.parts.items():
        yield Cause(name, range(VIEW_SIZE), part)
    yield Cause("thickness", [plane_at], np.array([[face.u_height_mm**2]]))
    width = float(np.ptp(face.outline_mm, axis=0).max())
    seating = np.array([U_SEATING_MM / 2, U_SEATING_MM / width, U_SEATING_MM / width])
    yield Cause("flatness", range(plane_at, seen_at), np.diag(seating**2))
    seen = range(seen_at, seen_at + CIRCLE_SIZE)
    yield Cause("line", seen, arc.covariance)
    yield Cause("optics", seen, _optics(model, arc.u_optics_mm))


def _optics(model: CircleModel, u_optics_mm: float) -> Matrix:
    """Return the covariance (3, 3) from one wall being lit, the lamp being anywhere.

    The wall that faces the lamp lies outside the groove's middle on one half of a circle and inside
    on the other: a full circle is moved and keeps its radius, a part of one may not.
    """
    lamp = np.linspace(0, 2 * np.pi, LAMPS, endpoint=False) + np.pi / LAMPS
    seen_off = u_optics_mm * np.sign(np.cos(model.angle_rad[:, None] - lamp))
    moved = model.follows @ seen_off
    return np.asarray(moved @ moved.T / LAMPS)
