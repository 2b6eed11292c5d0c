"""How much larger or smaller than drawn the sheet was printed, per axis."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from scribetarget.climate import U_ROOM_PERCENT, growth_covariance, season_percent
from scribetarget.errors import BarsError
from scribetarget.spec import TargetSpec

# DIN 862: a caliper is good to 20 µm up to 100 mm.
CALIPER_ERROR_MM = 0.02
# Setting the jaws on the edge of ink, by eye, each reading.
U_SETTING_MM = 0.01
# Printers stretch by 0.1 to 0.5 % and differently along and across the paper.
U_UNMEASURED = 0.002
# A sheet "fitted to the page" comes out 3 to 7 % small and still measures, once its bars are known.
LARGEST_STRETCH = 0.1
# Along and across the paper a printer differs by half a per cent; a slip of 3 mm does so by more.
LARGEST_DIFFERENCE = 0.03


@dataclass(frozen=True, slots=True)
class Bars:
    """What a caliper said of a sheet's two check bars.

    Attributes
    ----------
    readings_mm : tuple of (x, y)
        One pair for each time they were measured.
    caliper_error_mm : float
        The caliper's largest error, the same in all readings.
    u_setting_mm : tuple of (x, y)
        Standard uncertainty of the mean from setting the jaws.
    freedom : tuple of (x, y)
        Degrees of freedom of `u_setting_mm`: one less than the readings where their own scatter
        gave it, infinite where it is the usual one.
    age_days : int
        From measuring them to the photo; negative when the photo came first.
    """

    readings_mm: tuple[tuple[float, float], ...]
    caliper_error_mm: float
    u_setting_mm: tuple[float, float]
    freedom: tuple[float, float]
    age_days: int = 0


def _nothing() -> NDArray[np.float64]:
    return np.zeros((2, 2))


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
    caliper : ndarray, shape (2, 2), float64
        The part of `covariance` that is the caliper's own error.
    bars : Bars or None
        What was measured; None when nobody did.
    outgrown : bool
        True when the season may have changed the paper by more than all else that is uncertain of
        the scale.
    sheet : str
        Name of the record that the bars are from; empty when they were given by hand.
    measured : date or None
        When they were measured, where a record says so.
    """

    values: NDArray[np.float64]
    covariance: NDArray[np.float64]
    climate: NDArray[np.float64]
    known: bool
    doubted: bool = False
    caliper: NDArray[np.float64] = field(default_factory=_nothing)
    bars: Bars | None = None
    outgrown: bool = False
    sheet: str = ""
    measured: date | None = None


def scale_from_bars(
    spec: TargetSpec,
    readings_mm: Sequence[tuple[float, float]],
    caliper_error_mm: float = CALIPER_ERROR_MM,
    age_days: int = 0,
) -> PrintScale:
    """Work out the print scale from caliper readings of the two check bars.

    Parameters
    ----------
    spec : TargetSpec
    readings_mm : sequence of (x, y)
        One pair for each time the bars were measured; averaged.
    caliper_error_mm : float
        The caliper's largest error (rectangular), the same in all readings.
    age_days : int
        From measuring the bars to the photo.

    Raises
    ------
    BarsError
        ``bars_absurd`` when a reading cannot be that of this sheet.
    """
    readings = np.asarray(readings_mm, np.float64).reshape(-1, 2)
    refuse_absurd(spec, readings)
    caliper = np.full((2, 2), caliper_error_mm**2 / 3) / spec.check_bar_mm**2
    setting, freedom = _setting(readings)
    measured = caliper + np.diag(setting**2) / spec.check_bar_mm**2
    season = growth_covariance(season_percent(age_days))
    room = growth_covariance(U_ROOM_PERCENT)
    return PrintScale(
        values=readings.mean(axis=0) / spec.check_bar_mm,
        covariance=measured + room + season,
        climate=room + season,
        known=True,
        caliper=caliper,
        bars=Bars(
            readings_mm=tuple((float(x), float(y)) for x, y in readings),
            caliper_error_mm=caliper_error_mm,
            u_setting_mm=(float(setting[0]), float(setting[1])),
            freedom=(float(freedom[0]), float(freedom[1])),
            age_days=age_days,
        ),
        outgrown=bool(np.trace(season) > np.trace(measured + room)),
    )


def refuse_absurd(spec: TargetSpec, readings_mm: NDArray[np.float64]) -> None:
    """Raise ``bars_absurd`` unless all readings (N, 2) can be those of such a sheet."""
    stretch = readings_mm / spec.check_bar_mm
    likely = np.all(np.abs(stretch - 1) < LARGEST_STRETCH, axis=1)
    likely &= np.abs(stretch[:, 0] - stretch[:, 1]) < LARGEST_DIFFERENCE
    absurd = readings_mm[~likely]  # ~: NaN is absurd
    if len(absurd):
        x_mm, y_mm = absurd[0]
        raise BarsError(
            "bars_absurd",
            f"Check bars of {x_mm:g} and {y_mm:g} mm cannot be those of a size "
            f"{spec.size} sheet, where both are drawn {spec.check_bar_mm:g} mm long.",
            "Measure the bars printed beside the ring with a caliper, in millimetres, x first; "
            "print at actual size (100 %) if they are really that far off.",
        )


def unmeasured_scale() -> PrintScale:
    """Return what is known of a sheet whose bars nobody measured."""
    climate = growth_covariance(U_ROOM_PERCENT)
    covariance = np.eye(2) * U_UNMEASURED**2 + climate
    return PrintScale(np.ones(2), covariance, climate, known=False)


def doubted_scale(scale: PrintScale, u_each: float) -> PrintScale:
    """Return a print scale that is believed less: a further relative uncertainty for each axis."""
    return replace(scale, covariance=scale.covariance + np.eye(2) * u_each**2, doubted=True)


def _setting(
    readings_mm: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the standard uncertainty (2,) of the mean of readings (N, 2), and its freedom.

    Readings that scatter wider than setting the jaws usually does speak for themselves (type A,
    JCGM 100:2008, 4.2.3); those that scatter less were rounded alike, or lucky.
    """
    count = len(readings_mm)
    usual, endless = np.full(2, U_SETTING_MM), np.full(2, np.inf)
    scatter = readings_mm.std(axis=0, ddof=1) if count > 1 else np.zeros(2)
    wide = scatter > usual
    setting = np.where(wide, scatter, usual) / np.sqrt(count)
    return setting, np.where(wide, count - 1.0, endless)
