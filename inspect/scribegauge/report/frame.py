"""Which part of the photo the overlay shows, and where photo points come to lie in it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.report.reading import Reading

WIDTH_PX = 1600

# Room round the figure for letters and for two rows of label text, in overlay px.
_ROOM_PX = 200.0
# Round the plate, as a share of its size: its edge must be seen as an edge.
_PLATE_MARGIN = 0.03
_HEIGHT_FROM_WIDTH = (0.55, 1.25)


@dataclass(frozen=True, slots=True)
class OverlayFrame:
    """A rectangle of the photo, and the picture panel it is drawn to.

    Attributes
    ----------
    left_px, top_px, crop_width_px, crop_height_px : int
        The rectangle in the photo, counted from the photo's outer corner; it may reach beyond.
    width_px, height_px : int
        Size of the panel in the overlay.
    panel_top_px : int
        Where the panel begins below the overlay's upper edge.
    """

    left_px: int
    top_px: int
    crop_width_px: int
    crop_height_px: int
    width_px: int
    height_px: int
    panel_top_px: int

    def to_panel(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take photo points to the panel.

        Parameters
        ----------
        points_px : ndarray, shape (N, 2), float64
            Photo (x, y), the centre of the top-left pixel is (0, 0) [px].

        Returns
        -------
        ndarray, shape (N, 2), float64
            Panel (x, y), the centre of the top-left pixel is (0, 0) [px].
        """
        corner = np.array([self.left_px, self.top_px])
        scale = np.array([self.width_px / self.crop_width_px, self.height_px / self.crop_height_px])
        return np.asarray((points_px + 0.5 - corner) * scale - 0.5, dtype=np.float64)

    def to_overlay(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Take photo points (N, 2) to the whole overlay picture (N, 2) [px]."""
        return np.asarray(self.to_panel(points_px) + np.array([0.0, self.panel_top_px]))


def fit_frame(reading: Reading, panel_top_px: int) -> OverlayFrame:
    """Choose the rectangle: the plate with a margin, and room for words round the figure.

    Parameters
    ----------
    reading : Reading
        With a plate.
    panel_top_px : int
        Height of what stands above the picture.

    Raises
    ------
    ValueError
        If the reading has no plate.
    """
    if reading.plate is None:
        raise ValueError("a reading without a plate has no picture")
    outline = _inside(reading, reading.plate.outline_px)
    figure = _inside(reading, _figure_points(reading))
    margin = np.ptp(outline, axis=0) * _PLATE_MARGIN
    low, high = outline.min(axis=0) - margin, outline.max(axis=0) + margin
    share = _ROOM_PX / WIDTH_PX
    wanted = max(float(high[0] - low[0]), float(np.ptp(figure[:, 0])) / (1 - 2 * share))
    low, high = _at_least(low, high, figure, room_px=share * wanted)
    width = max(float(high[0] - low[0]), float(high[1] - low[1]) / _HEIGHT_FROM_WIDTH[1])
    height = max(float(high[1] - low[1]), width * _HEIGHT_FROM_WIDTH[0])
    return _frame((low + high) / 2, width, height, panel_top_px)


def _at_least(
    low: NDArray[np.float64],
    high: NDArray[np.float64],
    figure: NDArray[np.float64],
    room_px: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return (
        np.minimum(low, figure.min(axis=0) - room_px),
        np.maximum(high, figure.max(axis=0) + room_px),
    )


def _frame(
    centre: NDArray[np.float64], width: float, height: float, panel_top_px: int
) -> OverlayFrame:
    crop_width = max(round(width), 16)
    crop_height = max(round(height), 16)
    return OverlayFrame(
        left_px=round(centre[0] - crop_width / 2),
        top_px=round(centre[1] - crop_height / 2),
        crop_width_px=crop_width,
        crop_height_px=crop_height,
        width_px=WIDTH_PX,
        height_px=round(crop_height * WIDTH_PX / crop_width),
        panel_top_px=panel_top_px,
    )


def _figure_points(reading: Reading) -> list[tuple[float, float]]:
    seen = [v.photo_px for v in reading.vertices if v.photo_px is not None]
    plate = reading.plate
    laid = plate.intended_px if plate is not None and plate.intended_px is not None else ()
    outline = plate.outline_px if plate is not None else ()
    return [*seen, *laid] or list(outline)


def _inside(reading: Reading, points: object) -> NDArray[np.float64]:
    """Keep points to the photo: a wild corner must not shrink the plate to a dot."""
    first = reading.photos[0]
    limit = np.array([first.width_px, first.height_px], dtype=np.float64)
    array = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    return np.clip(array, 0.0, limit) if len(array) else np.array([[0.0, 0.0], limit])
