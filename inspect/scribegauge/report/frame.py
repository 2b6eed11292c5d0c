"""What part of plate and photo the overlay shows, and where photo points come to lie in it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.report.platemap import PlateMap, map_of
from scribegauge.report.reading import GridReading, PlateReading, Reading

WIDTH_PX = 1600

Points = NDArray[np.float64]

# Room round the figure for letters and for two rows of label text, in overlay px.
_ROOM_PX = 200.0
# Round the plate, as a share of its size: its edge must be seen as an edge.
_PLATE_MARGIN = 0.03
_HEIGHT_FROM_WIDTH = (0.55, 1.25)


@dataclass(frozen=True, slots=True)
class OverlayFrame:
    """A rectangle of the photo or of the plate, and the picture panel it is drawn to.

    Attributes
    ----------
    low : ndarray, shape (2,), float64
        The rectangle's upper left corner: in the photo counted from its outer corner [px], it may
        lie beyond; or on the plate [mm].
    scale : float
        Panel px per photo px or per millimetre.
    width_px, height_px : int
        Size of the panel in the overlay.
    px_per_mm : float
        Mean scale of the panel at the plate.
    plate_map : PlateMap or None
        Takes the photo to the plate where the picture is straightened; None where it is shown as
        taken.
    """

    low: Points
    scale: float
    width_px: int
    height_px: int
    px_per_mm: float
    plate_map: PlateMap | None

    def to_panel(self, points_px: Points) -> Points:
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
        if self.plate_map is None:
            places = points_px + 0.5
        else:
            places = self.plate_map.plate_from_photo(points_px)
        return np.asarray((places - self.low) * self.scale - 0.5, dtype=np.float64)

    def to_photo(self, points_px: Points) -> Points:
        """Take panel points (N, 2) to the photo (N, 2) [px]."""
        places = (np.asarray(points_px) + 0.5) / self.scale + self.low
        if self.plate_map is None:
            return np.asarray(places - 0.5, dtype=np.float64)
        return self.plate_map.photo_from_plate(places)


def taken_frame(reading: Reading) -> OverlayFrame:
    """Frame the photo as it was taken: the plate with a margin, room for words round the figure.

    Parameters
    ----------
    reading : Reading
        With a plate.

    Raises
    ------
    ValueError
        If the reading has no plate.
    """
    plate = _plate_of(reading)
    first = reading.photos[0]
    ends = np.array([[0.0, 0.0], [first.width_px, first.height_px]])
    return _fitted(
        _inside(ends, plate.outline_px), _inside(ends, _figure_points(reading)), plate, None
    )


def straight_frame(reading: Reading) -> OverlayFrame:
    """Frame the plate straightened, perspective and lens taken out, the sheet the right way up.

    A reading that does not say how plate and photo go together is framed as taken.

    Parameters
    ----------
    reading : Reading
        With a plate.

    Raises
    ------
    ValueError
        If the reading has no plate.
    """
    plate = _plate_of(reading)
    if plate.grid is None:
        return taken_frame(reading)
    plate_map = map_of(plate.grid)
    ends = _ends(plate.grid)

    def on_plate(points: object) -> Points:
        array = np.asarray(points, dtype=np.float64).reshape(-1, 2)
        return _inside(ends, plate_map.plate_from_photo(array))

    return _fitted(on_plate(plate.outline_px), on_plate(_figure_points(reading)), plate, plate_map)


def _plate_of(reading: Reading) -> PlateReading:
    if reading.plate is None:
        raise ValueError("a reading without a plate has no picture")
    return reading.plate


def _ends(grid: GridReading) -> Points:
    return np.array([[min(grid.x_mm), min(grid.y_mm)], [max(grid.x_mm), max(grid.y_mm)]])


def _fitted(
    outline: Points, figure: Points, plate: PlateReading, plate_map: PlateMap | None
) -> OverlayFrame:
    """Choose the rectangle, in photo px or in mm."""
    margin = np.ptp(outline, axis=0) * _PLATE_MARGIN
    low, high = outline.min(axis=0) - margin, outline.max(axis=0) + margin
    share = _ROOM_PX / WIDTH_PX
    wanted = max(float(high[0] - low[0]), float(np.ptp(figure[:, 0])) / (1 - 2 * share))
    low = np.minimum(low, figure.min(axis=0) - share * wanted)
    high = np.maximum(high, figure.max(axis=0) + share * wanted)
    width = max(float(high[0] - low[0]), float(high[1] - low[1]) / _HEIGHT_FROM_WIDTH[1], 1e-3)
    height = max(float(high[1] - low[1]), width * _HEIGHT_FROM_WIDTH[0])
    scale = WIDTH_PX / width
    per_mm = scale * plate.scale_px_per_mm if plate_map is None else scale
    size = np.array([width, height])
    return OverlayFrame(
        low=(low + high) / 2 - size / 2,
        scale=scale,
        width_px=WIDTH_PX,
        height_px=round(height * scale),
        px_per_mm=per_mm,
        plate_map=plate_map,
    )


def _figure_points(reading: Reading) -> list[tuple[float, float]]:
    seen = [v.photo_px for v in reading.vertices if v.photo_px is not None]
    plate = reading.plate
    laid = plate.intended_px if plate is not None and plate.intended_px is not None else ()
    outline = plate.outline_px if plate is not None else ()
    return [*seen, *laid] or list(outline)


def _inside(ends: Points, points: object) -> Points:
    """Keep points to what is known: a wild corner must not shrink the plate to a dot."""
    array = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    return np.clip(array, ends[0], ends[1]) if len(array) else ends
