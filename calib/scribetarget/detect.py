"""Find the target in a picture: which sheet, and every corner of its ring that can be seen."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scribetarget.corners import MIN_CORNERS, SeenCorners, inside_picture, see_corners
from scribetarget.darkness import is_too_dark
from scribetarget.errors import SightingError
from scribetarget.markers import (
    Markers,
    Sheet,
    agree,
    count_foreign_markers,
    read_markers,
    shrink,
    without,
)
from scribetarget.screen import refuse_screen
from scribetarget.sighting import Sighting
from scribetarget.smear import find_smear
from scribetarget.spec import TargetSpec, corner_positions_mm, marker_positions_mm
from scribetarget.warp import Warp, fit_warp
from scribetarget.wording import say

# Sizes to read markers at, in pixels, with the widths of the black-or-white windows. Phone photos
# of a ring that fills the frame are read at the first; the others are for far or soft ones.
_LEVELS = ((1.2e6, (15,)), (3.2e6, (9, 23)), (1e9, (13, 35)))
_MARKER_SIGMA_PX = 1.5
_SURE_MARKERS = 8  # fewer may be a foreign grid that fits by chance, if its corners do not
_READ_SHARE = 0.7  # of the visible ring's area that read markers must enclose before we stop
_MIN_SQUARE_PX = 20.0  # 2 px per marker module: below, markers do not decode reliably
# The plate may lie anywhere in the window: nearly all of it must be surrounded by seen corners,
# since beyond them the lens is extrapolated.
_WINDOW_SHARE = 0.9


def find_target(grey: NDArray[np.uint8]) -> Sighting:
    """Find the target and require that its corners surround the window.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
        Picture, upright.

    Returns
    -------
    Sighting

    Raises
    ------
    SightingError
        ``no_target``, ``too_dark``, ``foreign_sheet``, ``mirrored``, ``two_targets``,
        ``target_too_small``, ``target_cut_off`` or ``screen_shown``.
    """
    sighting = find_ring_part(grey)
    if window_share(sighting) < _WINDOW_SHARE:
        raise SightingError(
            "target_cut_off",
            say("Too little of the ring of squares is in the photo to surround the plate."),
            say(
                "Step back or turn the phone so that all four sides of the ring are in the picture."
            ),
        )
    refuse_screen(grey, sighting)
    return sighting


def find_ring_part(grey: NDArray[np.uint8]) -> Sighting:
    """Find the target even when part of its ring is cut off: enough to calibrate a camera.

    Raises `SightingError` as `find_target` does, but ``target_cut_off`` only when fewer than a
    dozen corners are left.
    """
    sheet, warp = _read_sheet(grey)
    places_px = warp.to_picture_px(corner_positions_mm(sheet.spec, sheet.spec.corner_ids))
    if inside_picture(places_px, grey.shape).sum() < MIN_CORNERS:
        raise _few_corners(sheet)
    _check_size(sheet.spec, warp)
    seen = see_corners(grey, sheet.spec, warp)
    if seen.kept.sum() < MIN_CORNERS:
        raise _few_corners(sheet)
    return _sighting(grey, sheet, warp, seen)


def window_share(sighting: Sighting) -> float:
    """Return which share of the window's area lies inside the hull of the corners seen."""
    spec = sighting.spec
    low, high = (
        spec.ring_squares * spec.square_mm,
        spec.side_mm - spec.ring_squares * spec.square_mm,
    )
    window = np.array([[low, low], [high, low], [high, high], [low, high]], dtype=np.float32)
    hull = cv2.convexHull(corner_positions_mm(spec, sighting.corner_ids).astype(np.float32))
    area, _ = cv2.intersectConvexConvex(hull, window)
    return float(area) / spec.window_mm**2


def _read_sheet(grey: NDArray[np.uint8]) -> tuple[Sheet, Warp]:
    """Read markers at growing sizes until they enclose most of the ring that is in the picture."""
    best: tuple[Sheet, Warp] | None = None
    strangers = 0
    size = 0
    for pixels, windows in _LEVELS:
        picture = shrink(grey, pixels)
        if picture.size == size:
            break
        size = picture.size
        markers = read_markers(picture, _shape(grey), windows)
        strangers = max(strangers, len(markers.ids))
        sheet = agree(markers)
        if sheet is None:
            continue
        warp = _marker_warp(sheet, _shape(grey))
        _refuse_second_sheet(markers, sheet, warp)
        if best is None or len(sheet.markers.ids) > len(best[0].markers.ids):
            best = sheet, warp
        if _read_share(*best, _shape(grey)) >= _READ_SHARE:
            break
    if best is None:
        raise _nothing_found(grey, strangers)
    return best


def _nothing_found(grey: NDArray[np.uint8], strangers: int) -> SightingError:
    """Say why there is no sheet: mirrored, another sheet, or none."""
    picture = shrink(grey, _LEVELS[0][0])
    flipped = np.ascontiguousarray(picture[:, ::-1])
    if agree(read_markers(flipped, _shape(flipped), _LEVELS[0][1])) is not None:
        return SightingError(
            "mirrored",
            say("The picture is mirrored."),
            say("Use the rear camera, or turn off mirroring in the camera's settings."),
        )
    if strangers >= 2 or count_foreign_markers(picture) >= 3:  # noqa: PLR2004
        return _foreign_sheet()
    if is_too_dark(picture):
        return SightingError(
            "too_dark",
            say("The photo is too dark: ink and paper cannot be told apart in it."),
            say(
                "Bring a lamp nearer or turn it up, and tap on the plate so that the phone exposes for "
                "it."
            ),
        )
    return SightingError(
        "no_target",
        say("No target sheet was found in the photo."),
        say(
            "Photograph the plate lying in the window of the printed sheet, the whole ring in view, "
            "sharp and evenly lit."
        ),
    )


def _foreign_sheet() -> SightingError:
    return SightingError(
        "foreign_sheet",
        say("Markers found, but not of this sheet."),
        say(
            "Print the target that belongs to this program and photograph the plate in its window."
        ),
    )


def _few_corners(sheet: Sheet) -> SightingError:
    if len(sheet.markers.ids) < _SURE_MARKERS:
        return _foreign_sheet()
    return SightingError(
        "target_cut_off",
        say("The sheet was recognised, but fewer than a dozen of its corners are clear."),
        say("Show the whole ring of squares, sharp, evenly lit and uncovered."),
    )


def _refuse_second_sheet(markers: Markers, sheet: Sheet, warp: Warp) -> None:
    number = np.clip(markers.ids, sheet.spec.first_marker_id, sheet.spec.last_marker_id)
    places_mm = marker_positions_mm(sheet.spec, number).reshape(-1, 2)
    rest = without(markers, sheet, warp.to_picture_px(places_mm).reshape(-1, 4, 2))
    if agree(rest) is not None:
        raise SightingError(
            "two_targets",
            say("Two target sheets are in the photo."),
            say("Leave only the sheet with the plate in view."),
        )


def _marker_warp(sheet: Sheet, shape: tuple[int, int]) -> Warp:
    points_mm, points_px = sheet.points_mm, sheet.points_px
    return fit_warp(points_mm, points_px, np.full(len(points_mm), _MARKER_SIGMA_PX), shape)


def _read_share(sheet: Sheet, warp: Warp, shape: tuple[int, int]) -> float:
    """Return the area that read markers enclose over that of the ring's visible corners."""
    places = warp.to_picture_px(corner_positions_mm(sheet.spec, sheet.spec.corner_ids))
    visible = places[inside_picture(places, shape)].astype(np.float32)
    if len(visible) < MIN_CORNERS:
        return 0.0
    read = cv2.convexHull(sheet.points_px.astype(np.float32))
    return float(cv2.contourArea(read) / cv2.contourArea(cv2.convexHull(visible)))


def _check_size(spec: TargetSpec, warp: Warp) -> None:
    if _square_px(spec, warp) < _MIN_SQUARE_PX:
        raise SightingError(
            "target_too_small",
            say("The sheet is too small in the photo to measure from."),
            say(
                "Go closer, so that the ring nearly fills the picture, and send the photo unreduced."
            ),
        )


def _sighting(grey: NDArray[np.uint8], sheet: Sheet, warp: Warp, seen: SeenCorners) -> Sighting:
    kept, saddles = seen.kept, seen.saddles
    axes = warp.axes_px(corner_positions_mm(sheet.spec, seen.ids), sheet.spec.square_mm)
    contrast = float(np.median(saddles.contrast[kept]))
    level = float(np.median(saddles.mean_level[kept]))
    return Sighting(
        spec=sheet.spec,
        corner_ids=seen.ids[kept],
        corners_px=saddles.corners_px[kept],
        sigma_px=seen.sigma_px[kept],
        marker_ids=sheet.markers.ids,
        square_px=_square_px(sheet.spec, warp),
        blur_px=float(np.median(saddles.blur_px[kept])),
        contrast=contrast,
        white_level=level + contrast / 2,
        black_level=level - contrast / 2,
        clipped_share=float(saddles.clipped_share[kept].mean()),
        noise=float(np.median(saddles.residual[kept])),
        smear=find_smear(grey, saddles, kept, axes),
    )


def _square_px(spec: TargetSpec, warp: Warp) -> float:
    places = corner_positions_mm(spec, spec.corner_ids)
    area = np.abs(np.linalg.det(warp.axes_px(places, spec.square_mm)))
    return float(np.sqrt(area).mean())


def _shape(grey: NDArray[np.uint8]) -> tuple[int, int]:
    return int(grey.shape[0]), int(grey.shape[1])
