"""An intended figure laid over measured places: what is left, with its uncertainty."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.datum import Datum, factor, laid
from scribegauge.uncertainty.places import MeasuredPlaces
from scribegauge.uncertainty.propagation import COVERAGE_FACTOR, sensitivities

Matrix = NDArray[np.float64]
#: Of stacks of points (..., N) and radii (..., R).
Model = Callable[[NDArray[np.complex128], Matrix], Matrix]

_STEP_MM = 1e-4
# A distance smaller than so many standard uncertainties has no direction to speak of.
_CLEAR = 4.0
_COMPLEX = np.array([1.0, 1.0j])


@dataclass(frozen=True, slots=True)
class Size:
    """A measured length, what it was meant to be, and U (k = 2) of the difference [mm]."""

    intended_mm: float
    measured_mm: float
    U_mm: float


@dataclass(frozen=True, slots=True)
class Fitted:
    """Measured places with the intended ones laid over them.

    Attributes
    ----------
    measured : MeasuredPlaces
    intended_mm : ndarray, shape (N, 2), float64
        Layout frame, one for each measured point.
    datum : Datum
    """

    measured: MeasuredPlaces
    intended_mm: Matrix
    datum: Datum

    @property
    def scale(self) -> tuple[float, float]:
        """Scale factor and its U; exactly 1 where the size is fixed."""
        value, expanded = self._scalar(lambda points, _: self._scales(points))
        return value, expanded

    def laid_mm(self, points_mm: Matrix) -> Matrix:
        """Take layout points (K, 2) to where they lie on the plate, (K, 2) [mm]."""
        every = np.concatenate([self.intended_mm, points_mm]) @ _COMPLEX
        measured = self.measured.points_mm @ _COMPLEX
        there = laid(every, np.concatenate([measured, np.zeros(len(points_mm))]), self.datum)
        rows = there[len(self.intended_mm) :]
        return np.column_stack([rows.real, rows.imag])

    def off_mm(self, index: int) -> tuple[Matrix, float]:
        """Return how far a point lies from its place (x, y), and U where it is known worst."""

        def model(points: NDArray[np.complex128], _: Matrix) -> Matrix:
            off = points[..., index] - laid(self._intended, points, self.datum)[..., index]
            return np.stack([off.real, off.imag], axis=-1)

        value, covariance = self._propagated(model)
        return value, COVERAGE_FACTOR * float(np.sqrt(max(np.linalg.eigvalsh(covariance)[-1], 0.0)))

    def aside_mm(self, index: int) -> tuple[float, float]:
        """Return how far a line passes from its intended ends, at most, and U there.

        Parameters
        ----------
        index : int
            Of the first of the line's two points; the intended ones are its ends.
        """
        pair = [index, index + 1]

        def model(points: NDArray[np.complex128], _: Matrix) -> Matrix:
            ends = laid(self._intended, points, self.datum)[..., pair]
            start, step = points[..., index], points[..., index + 1] - points[..., index]
            along = (step / np.abs(step))[..., None]
            return np.asarray(((ends - start[..., None]) * np.conj(along)).imag)

        value, covariance = self._propagated(model)
        worst = int(np.argmax(np.abs(value)))
        expanded = COVERAGE_FACTOR * float(np.sqrt(max(covariance[worst, worst], 0.0)))
        return abs(float(value[worst])), expanded

    def distance(self, first: int, second: int) -> Size:
        """Compare the distance of two points with the one intended."""
        wanted = abs(self._intended[second] - self._intended[first])

        def apart(points: NDArray[np.complex128], _: Matrix) -> Matrix:
            step = points[..., second] - points[..., first]
            return np.stack([step.real, step.imag], axis=-1)

        step, covariance = self._propagated(apart)
        length = float(np.hypot(*step))
        worst = float(np.sqrt(max(np.linalg.eigvalsh(covariance)[-1], 0.0)))
        scale = self.scale[0]
        if length < _CLEAR * worst:
            return Size(scale * wanted, length, COVERAGE_FACTOR * worst)
        _, expanded = self._scalar(
            lambda points, _: (
                np.abs(points[..., second] - points[..., first]) - wanted * self._scales(points)
            )
        )
        return Size(scale * wanted, length, expanded)

    def radius(self, index: int, wanted_mm: float) -> Size:
        """Compare a circle's radius with the one intended."""
        _, expanded = self._scalar(
            lambda points, radii: radii[..., index] - wanted_mm * self._scales(points)
        )
        measured = float(self.measured.radii_mm[index])
        return Size(self.scale[0] * wanted_mm, measured, expanded)

    @property
    def _intended(self) -> NDArray[np.complex128]:
        return np.asarray(self.intended_mm @ _COMPLEX)

    def _scales(self, points: NDArray[np.complex128]) -> Matrix:
        return np.asarray(np.abs(factor(self._intended, points, self.datum)))

    def _scalar(self, model: Model) -> tuple[float, float]:
        value, covariance = self._propagated(
            lambda points, radii: np.asarray(model(points, radii))[..., None]
        )
        return float(value[0]), COVERAGE_FACTOR * float(np.sqrt(max(covariance[0, 0], 0.0)))

    def _propagated(self, model: Model) -> tuple[Matrix, Matrix]:
        """Return a model's values and their covariance."""
        count = len(self.measured.points_mm)
        at = np.concatenate([self.measured.points_mm.ravel(), self.measured.radii_mm])

        def of(inputs: Matrix) -> Matrix:
            points = inputs[..., : 2 * count].reshape(*inputs.shape[:-1], count, 2) @ _COMPLEX
            return np.asarray(model(points, inputs[..., 2 * count :]))

        slopes = sensitivities(of, at, np.full(len(at), _STEP_MM))
        return of(at), np.asarray(slopes @ self.measured.covariance @ slopes.T)
