"""How much larger or smaller than drawn the sheet was printed, per axis."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribetarget.errors import BarsError
from scribetarget.spec import TargetSpec

# DIN 862: a caliper is good to 20 µm up to 100 mm; rectangular.
U_CALIPER_MM = 0.02 / np.sqrt(3)
# Setting the jaws on the edge of ink, by eye, each reading.
U_SETTING_MM = 0.01
# Printers stretch by 0.1 to 0.5 % and differently along and across the paper.
U_UNMEASURED = 0.002
# Paper grows 10 to 100 ppm per % of relative humidity; a room changes by a few % between measuring
# the bars and taking the photo.
U_CLIMATE_BOTH, U_CLIMATE_EACH = 6e-5, 3e-5
# A sheet "fitted to the page" comes out 3 to 7 % small and still measures, once its bars are known.
LARGEST_STRETCH = 0.1
# Along and across the paper a printer differs by half a per cent; a slip of 3 mm does so by more.
LARGEST_DIFFERENCE = 0.03


@dataclass(frozen=True, slots=True)
class PrintScale:
    """Printed size over drawn size along the sheet's x and y.

    Attributes
    ----------
    values : ndarray, shape (2,), float64
        (sx, sy): true millimetres per drawn millimetre.
    covariance : ndarray, shape (2, 2), float64
        Standard-uncertainty covariance of `values` (caliper, setting on ink, paper climate).
    climate : ndarray, shape (2, 2), float64
        The part of `covariance` that is the paper's.
    known : bool
        False when no bar was measured: only the shape of a figure can then be trusted.
    doubted : bool
        True when the photo shows the sheet stretched otherwise than the bars say.
    """

    values: NDArray[np.float64]
    covariance: NDArray[np.float64]
    climate: NDArray[np.float64]
    known: bool
    doubted: bool = False


def scale_from_bars(
    spec: TargetSpec,
    readings_mm: Sequence[tuple[float, float]],
    u_caliper_mm: float = U_CALIPER_MM,
) -> PrintScale:
    """Work out the print scale from caliper readings of the two check bars.

    Parameters
    ----------
    spec : TargetSpec
    readings_mm : sequence of (x, y)
        One pair for each time the bars were measured; averaged.
    u_caliper_mm : float
        Standard uncertainty of the caliper, the same in all readings.

    Raises
    ------
    BarsError
        ``bars_absurd`` when a reading cannot be that of this sheet.
    """
    readings = np.asarray(readings_mm, np.float64).reshape(-1, 2)
    stretch = readings / spec.check_bar_mm
    likely = np.all(np.abs(stretch - 1) < LARGEST_STRETCH, axis=1)
    likely &= np.abs(stretch[:, 0] - stretch[:, 1]) < LARGEST_DIFFERENCE
    absurd = readings[~likely]  # ~: NaN is absurd
    if len(absurd):
        x_mm, y_mm = absurd[0]
        raise BarsError(
            "bars_absurd",
            f"Check bars of {x_mm:g} and {y_mm:g} mm cannot be those of a size "
            f"{spec.size} sheet, where both are drawn {spec.check_bar_mm:g} mm long.",
            "Measure the bars printed beside the ring with a caliper, in millimetres, x first; "
            "print at actual size (100 %) if they are really that far off.",
        )
    setting = U_SETTING_MM / np.sqrt(len(readings))
    bars = (np.full((2, 2), u_caliper_mm**2) + np.eye(2) * setting**2) / spec.check_bar_mm**2
    climate = _climate()
    return PrintScale(stretch.mean(axis=0), bars + climate, climate, known=True)


def unmeasured_scale() -> PrintScale:
    """Return what is known of a sheet whose bars nobody measured."""
    climate = _climate()
    covariance = np.eye(2) * U_UNMEASURED**2 + climate
    return PrintScale(np.ones(2), covariance, climate, known=False)


def doubted_scale(scale: PrintScale, u_each: float) -> PrintScale:
    """Return a print scale that is believed less: a further relative uncertainty for each axis."""
    return replace(scale, covariance=scale.covariance + np.eye(2) * u_each**2, doubted=True)


def _climate() -> NDArray[np.float64]:
    return np.full((2, 2), U_CLIMATE_BOTH**2) + np.eye(2) * U_CLIMATE_EACH**2
