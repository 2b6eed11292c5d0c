"""One photo's view of the target: camera, pose and print scale solved together."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from scribetarget.camera import LENS_NAMES, Camera
from scribetarget.printscale import PrintScale
from scribetarget.spec import TargetSpec

VIEW_NAMES = (*LENS_NAMES, "rx", "ry", "rz", "tx_mm", "ty_mm", "tz_mm", "sx", "sy")


@dataclass(frozen=True, slots=True)
class View:
    """Result of the pose stage.

    The frame is the target's: millimetres *on the paper as printed* (drawn times print scale),
    origin at the board's outer top-left corner, x right, y down, z into the table.

    Attributes
    ----------
    spec : TargetSpec
        Which target was found.
    camera : Camera
        The camera that went in (prior); the solved lens is in `values`.
    scale : PrintScale
        The print scale that went in (prior).
    values : ndarray, shape (17,), float64
        Solved parameters in the order of `VIEW_NAMES`: lens (9), rotation vector [rad] and
        translation [mm] from target to camera, print scale (2).
    covariance : ndarray, shape (17, 17), float64
        Covariance of `values`; the sum of `parts`.
    parts : Mapping[str, ndarray (17, 17)]
        The same covariance by cause: ``"lens"``, ``"focal"``, ``"bars"``, ``"caliper"``,
        ``"climate"``, ``"corners"``, ``"sheet"``.
    corner_ids : ndarray, shape (N,), int
        Corners used, as numbered by the board.
    corners_px : ndarray, shape (N, 2), float64
        Where they were seen.
    residuals_px : ndarray, shape (N, 2), float64
        Seen minus projected.
    sigma_px : ndarray, shape (N,), float64
        Standard uncertainty of each corner as it was seen.
    reduced_chi2 : float
        Squared residuals over `sigma_px` squared, per degree of freedom.
    ripple_mm : float
        How far the sheet's surface lies from a plane (standard deviation), as the corners show
        it; its effect is the part ``"sheet"``.
    roots : Mapping[str, ndarray (17, K)]
        Of the causes that another photo of the same sheet by the same camera shares: how `values`
        moves with each of K independent inputs of unit variance, so that ``root @ root.T`` is what
        is shared of the part of that name. Empty where nothing is known of them.
    """

    spec: TargetSpec
    camera: Camera
    scale: PrintScale
    values: NDArray[np.float64]
    covariance: NDArray[np.float64]
    parts: Mapping[str, NDArray[np.float64]]
    corner_ids: NDArray[np.int64]
    corners_px: NDArray[np.float64]
    residuals_px: NDArray[np.float64]
    sigma_px: NDArray[np.float64]
    reduced_chi2: float
    ripple_mm: float = 0.0
    roots: Mapping[str, NDArray[np.float64]] = field(default_factory=dict)
