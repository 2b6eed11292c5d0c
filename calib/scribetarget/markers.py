"""Markers read in a picture, and which of them belong to one sheet."""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from scribetarget.spec import DICTIONARY_NAME, TargetSpec, load_specs, marker_positions_mm

# Four markers are 32 numbers against the 8 of a homography. Three of a foreign grid of twenty
# have been seen to fit by chance.
SHEET_MARKERS = 4
# A lens bends a ring by up to a quarter of a square; foreign layouts are whole squares off.
_AGREE_SQUARES = 0.3
_FOREIGN_NAMES = ("DICT_4X4_250", "DICT_5X5_250", "DICT_6X6_250", "DICT_ARUCO_ORIGINAL")


@dataclass(frozen=True, slots=True)
class Markers:
    """Markers read, in no order; the same number may occur twice.

    Attributes
    ----------
    ids : ndarray, shape (M,), int64
    corners_px : ndarray, shape (M, 4, 2), float64
        Clockwise from the marker's own top left; good to about a pixel of the picture read.
    """

    ids: NDArray[np.int64]
    corners_px: NDArray[np.float64]

    def only(self, chosen: NDArray[np.bool_]) -> "Markers":
        """Return the chosen ones."""
        return Markers(self.ids[chosen], self.corners_px[chosen])


@dataclass(frozen=True, slots=True)
class Sheet:
    """Markers that agree with the layout of one size.

    Attributes
    ----------
    spec : TargetSpec
    markers : Markers
        Every number once.
    """

    spec: TargetSpec
    markers: Markers

    @property
    def points_mm(self) -> NDArray[np.float64]:
        """Marker corners as drawn, shape (4 M, 2)."""
        return marker_positions_mm(self.spec, self.markers.ids).reshape(-1, 2)

    @property
    def points_px(self) -> NDArray[np.float64]:
        """The same corners as seen, shape (4 M, 2)."""
        return self.markers.corners_px.reshape(-1, 2)


def shrink(grey: NDArray[np.uint8], pixels: float) -> NDArray[np.uint8]:
    """Return the picture reduced to about so many pixels; a smaller one comes back as it is."""
    scale = float(np.sqrt(pixels / grey.size))
    if scale >= 1:
        return grey
    size = (round(grey.shape[1] * scale), round(grey.shape[0] * scale))
    small: NDArray[np.uint8] = cv2.resize(grey, size, interpolation=cv2.INTER_AREA).astype(np.uint8)
    return small


def read_markers(
    picture: NDArray[np.uint8], shape: tuple[int, int], windows_px: tuple[int, ...]
) -> Markers:
    """Read the sheet's kind of markers in a (reduced) picture.

    Parameters
    ----------
    picture : ndarray, shape (h, w), uint8
    shape : (int, int)
        Height and width of the full picture that the answer refers to.
    windows_px : tuple of int
        Odd widths of the windows that tell black from white, in pixels of `picture`.

    Returns
    -------
    Markers
        Corners in pixels of the full picture, (0, 0) at the centre of the top-left pixel.
    """
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY_NAME))
    found: list[Markers] = []
    for window in windows_px:
        detector = cv2.aruco.ArucoDetector(dictionary, _parameters(window))
        corners, ids, _ = detector.detectMarkers(picture)
        found.append(_markers(corners, ids))
    ratio = np.array([shape[1] / picture.shape[1], shape[0] / picture.shape[0]])
    numbers = np.concatenate([part.ids for part in found])
    corners_px = np.concatenate([part.corners_px for part in found])
    return _distinct(Markers(numbers, (corners_px + 0.5) * ratio - 0.5))


def count_foreign_markers(picture: NDArray[np.uint8]) -> int:
    """Return how many markers of other common families are in a (reduced) picture."""
    families = [
        cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, name)) for name in _FOREIGN_NAMES
    ]
    detector = cv2.aruco.ArucoDetector(families, _parameters(15))
    corners, ids, _, _ = detector.detectMarkersMultiDict(picture)
    return len(_markers(corners, ids).ids)


def agree(markers: Markers) -> Sheet | None:
    """Return the sheet that most markers agree on, None when none has enough of them."""
    sheets = (_agree_on(spec, markers) for spec in load_specs().values())
    good = [sheet for sheet in sheets if sheet is not None]
    return max(good, key=lambda sheet: len(sheet.markers.ids), default=None)


def without(markers: Markers, sheet: Sheet, predicted_px: NDArray[np.float64]) -> Markers:
    """Return the markers that cannot be the sheet's own.

    Parameters
    ----------
    markers : Markers
    sheet : Sheet
    predicted_px : ndarray, shape (M, 4, 2), float64
        Where the sheet would show a marker of each number (anything for numbers of other sizes).

    Returns
    -------
    Markers
        Those of other sizes, and those more than their own size away from their place.
    """
    low, high = sheet.spec.first_marker_id, sheet.spec.last_marker_id
    foreign = (markers.ids < low) | (markers.ids > high)
    away = np.linalg.norm((markers.corners_px - predicted_px).mean(axis=1), axis=1)
    return markers.only(foreign | (away > _sizes_px(markers)))


def _agree_on(spec: TargetSpec, markers: Markers) -> Sheet | None:
    mine = markers.only(np.isin(markers.ids, spec.printed_marker_ids))
    if len(mine.ids) < SHEET_MARKERS:
        return None
    squares = marker_positions_mm(spec, mine.ids).reshape(-1, 2) / spec.square_mm
    seen = mine.corners_px.reshape(-1, 2)
    matrix, inliers = cv2.findHomography(seen, squares, cv2.RANSAC, _AGREE_SQUARES)
    if matrix is None:
        return None
    whole = np.asarray(inliers, dtype=np.bool_).reshape(-1, 4).all(axis=1)
    agreed = mine.only(np.asarray(whole, dtype=np.bool_))
    _, first = np.unique(agreed.ids, return_index=True)
    if len(first) < SHEET_MARKERS:
        return None
    return Sheet(spec, Markers(agreed.ids[first], agreed.corners_px[first]))


def _parameters(window_px: int) -> cv2.aruco.DetectorParameters:
    parameters = cv2.aruco.DetectorParameters()
    parameters.adaptiveThreshWinSizeMin = window_px
    parameters.adaptiveThreshWinSizeMax = window_px
    # A marker of the smallest square we accept (20 px in 12 megapixels) has a perimeter of 1.5 %.
    parameters.minMarkerPerimeterRate = 0.015
    parameters.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    return parameters


def _markers(corners: object, ids: object) -> Markers:
    """Turn OpenCV's answer (None when nothing was seen) into arrays."""
    if ids is None:
        return Markers(np.empty(0, dtype=np.int64), np.empty((0, 4, 2)))
    numbers = np.asarray(ids, dtype=np.int64).reshape(-1)
    return Markers(numbers, np.asarray(corners, dtype=np.float64).reshape(-1, 4, 2))


def _sizes_px(markers: Markers) -> NDArray[np.float64]:
    sides = markers.corners_px - np.roll(markers.corners_px, 1, axis=1)
    sizes: NDArray[np.float64] = np.linalg.norm(sides, axis=2).mean(axis=1)
    return sizes


def _distinct(markers: Markers) -> Markers:
    """Keep one of each number at each place."""
    middles = markers.corners_px.mean(axis=1)
    apart = np.linalg.norm(middles[:, None] - middles[None, :], axis=2)
    same = (markers.ids[:, None] == markers.ids[None, :]) & (apart < _sizes_px(markers))
    repeated: NDArray[np.bool_] = np.asarray(np.tril(same, -1).any(axis=1), dtype=np.bool_)
    return markers.only(~repeated)
