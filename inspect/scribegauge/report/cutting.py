"""The photo brought into an overlay's frame: as taken, or straightened to the plate."""

import cv2
import numpy as np
from numpy.typing import NDArray

from scribegauge.photo.record import Photo
from scribegauge.report.drawing import Picture
from scribegauge.report.drawingstyle import BEYOND
from scribegauge.report.frame import OverlayFrame

# Photo and panel go together so smoothly that each 16th px is enough to know the others.
_COARSE_PX = 16
# Beyond so many photo px a panel px, one sample for each would pick up single pixels' noise.
_DENSE = 1.5


def cut(photo: Photo, frame: OverlayFrame) -> Picture:
    """Bring the photo into the panel; grey beyond the photo.

    Parameters
    ----------
    photo : Photo
        The first of the reading, upright.
    frame : OverlayFrame

    Returns
    -------
    ndarray, shape (height, width, 3), uint8
        RGB.
    """
    maps, finer = _maps(frame)
    picture = cv2.remap(
        photo.rgb,
        maps[..., 0],
        maps[..., 1],
        cv2.INTER_LINEAR if finer > 1 else cv2.INTER_CUBIC,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=BEYOND,
    )
    if finer > 1:
        size = (frame.width_px, frame.height_px)
        picture = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
    return np.asarray(picture, dtype=np.uint8)


def _maps(frame: OverlayFrame) -> tuple[NDArray[np.float32], int]:
    """Return where each panel px lies in the photo, (H, W, 2), and how many times finer they are.

    A coarse sample lies in the middle of the 16 px that `cv2.resize` makes of it; one more all round
    keeps those at the edge from being guessed.
    """
    counts = [-(-size // _COARSE_PX) + 2 for size in (frame.width_px, frame.height_px)]
    columns, rows = ((np.arange(count) - 0.5) * _COARSE_PX - 0.5 for count in counts)
    across, down = np.meshgrid(columns, rows)
    places = frame.to_photo(np.column_stack([across.ravel(), down.ravel()]))
    coarse = places.reshape(counts[1], counts[0], 2).astype(np.float32)
    middle = coarse[counts[1] // 2, counts[0] // 2 : counts[0] // 2 + 2]
    step = float(np.hypot(*(middle[1] - middle[0]))) / _COARSE_PX
    finer = int(np.clip(np.ceil(step / _DENSE), 1, 4))
    each = _COARSE_PX * finer
    fine = cv2.resize(coarse, (counts[0] * each, counts[1] * each), interpolation=cv2.INTER_LINEAR)
    ends = (each + finer * frame.height_px, each + finer * frame.width_px)
    return np.ascontiguousarray(fine[each : ends[0], each : ends[1]], np.float32), finer
