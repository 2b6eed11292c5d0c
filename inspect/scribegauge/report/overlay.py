"""The overlay: the photo with what was found and what was intended drawn on it."""

from collections.abc import Iterator, Sequence

import cv2
import numpy as np

from scribegauge.photo.record import Photo
from scribegauge.report import panel
from scribegauge.report.closeups import close_ups
from scribegauge.report.closeupstrip import strip
from scribegauge.report.cutting import cut
from scribegauge.report.drawing import (
    Area,
    Drawing,
    Path,
    Photograph,
    Picture,
    Ring,
    Shape,
    circle,
    shifted,
)
from scribegauge.report.drawingstyle import (
    DARK,
    ENLARGED,
    FOUND,
    INTENDED,
    LEADER,
    OTHER,
    PAPER,
    RING,
    SIGNAL,
    STEP,
    UNSEEN,
    WASH_STRENGTH,
    WHITE,
)
from scribegauge.report.frame import WIDTH_PX, OverlayFrame, straight_frame
from scribegauge.report.labels import TEXT_PX, Box, label_shapes, letter_words, on_photo
from scribegauge.report.overlaywords import described
from scribegauge.report.placing import RING_PX, STEP_RING_PX, Placed, place
from scribegauge.report.reading import Reading
from scribegauge.report.scene import Edge, Scene, scene_of
from scribegauge.report.strokes import paint
from scribegauge.report.svgdrawing import svg_file

_BAR_MM = 10.0

# The two lowest bits of a phone photo are noise, and noise is most of a PNG: without them it is
# written in two thirds of the time. Only the background of the overlay is drawn so.
_KEPT_BITS, _MIDDLE = np.uint8(0xFC), np.uint8(0x02)

# Differences from the row above, run lengths: half the time of zlib's fastest on photos, and smaller.
_PNG = (
    *(cv2.IMWRITE_PNG_COMPRESSION, 1),
    *(cv2.IMWRITE_PNG_STRATEGY, cv2.IMWRITE_PNG_STRATEGY_RLE),
    *(cv2.IMWRITE_PNG_FILTER, cv2.IMWRITE_PNG_FILTER_UP),
)


def draw_overlay(photo: Photo, reading: Reading, frame: OverlayFrame | None = None) -> bytes:
    """Draw the overlay as a PNG.

    Parameters
    ----------
    photo : Photo
        The first photo of the reading, upright.
    reading : Reading
        With a plate; everything drawn comes from it.
    frame : OverlayFrame or None
        None for the plate straightened.

    Returns
    -------
    bytes
        A PNG, 1600 px wide.

    Raises
    ------
    ValueError
        If the reading has no plate: a refusal has nothing to draw.
    """
    return png(paint(overlay(photo, reading, frame)))


def write_overlay_svg(photo: Photo, reading: Reading, frame: OverlayFrame | None = None) -> bytes:
    """Draw the overlay as SVG: strokes and words as such, the photo inside as JPEG.

    Parameters
    ----------
    photo, reading, frame : as for `draw_overlay`

    Raises
    ------
    ValueError
        If the reading has no plate.
    """
    frame = straight_frame(reading) if frame is None else frame
    factor = scene_of(reading, frame).factor
    title = reading.title or reading.photos[0].name
    return svg_file(overlay(photo, reading, frame), title, described(reading, factor))


def overlay(photo: Photo, reading: Reading, frame: OverlayFrame | None = None) -> Drawing:
    """Put the whole overlay together: heading, picture, key, facts, corners enlarged.

    Parameters
    ----------
    photo, reading, frame : as for `draw_overlay`

    Raises
    ------
    ValueError
        If the reading has no plate.
    """
    frame = straight_frame(reading) if frame is None else frame
    corners = strip(close_ups(photo, reading, frame))
    return _stacked((panel.header(reading), figure_drawing(photo, reading, frame), corners))


def panel_top_px(reading: Reading) -> float:
    """Tell where the picture begins below the overlay's upper edge."""
    return panel.header(reading).height_px


def figure_drawing(photo: Photo, reading: Reading, frame: OverlayFrame) -> Drawing:
    """Draw the overlay without heading and corners, for a page that has its own.

    Raises
    ------
    ValueError
        If the reading has no plate.
    """
    scene = scene_of(reading, frame)
    bar_px = _BAR_MM * frame.px_per_mm
    placed = place(scene, frame.width_px, frame.height_px, bar_px)
    background = cut(photo, frame) & _KEPT_BITS | _MIDDLE
    size = (frame.width_px, frame.height_px)
    shapes = (
        Photograph(background, (-0.5, -0.5), *size),
        *_marks(scene),
        *_words(placed, bar_px),
    )
    footer = panel.footer(reading, scene, placed.left_out)
    return _stacked((Drawing(*size, shapes), footer))


def _stacked(drawings: Sequence[Drawing]) -> Drawing:
    """Set drawings below one another."""
    shapes: list[Shape] = []
    top = 0.0
    for drawing in drawings:
        shapes += shifted(drawing.shapes, (0.0, top))
        top += drawing.height_px
    return Drawing(WIDTH_PX, top, tuple(shapes), PAPER)


def _marks(scene: Scene) -> Iterator[Shape]:
    for edge in scene.edges:
        if edge.intended is not None and edge.enlarged is not None:
            band = np.vstack([edge.intended, edge.enlarged[::-1]])
            yield Area(band, SIGNAL, WASH_STRENGTH)
    yield from (Path(points, INTENDED) for points in scene.circles)
    for edge in scene.edges:
        yield from _reference(edge)
    for edge in scene.edges:
        if edge.enlarged is not None:
            yield Path(edge.enlarged, ENLARGED)
    for corner in scene.corners:
        if corner.arrow is not None:
            yield from panel.arrow(corner.arrow)
    yield from _found(scene)  # thin, and above all else: it is what was measured


def _reference(edge: Edge) -> Iterator[Shape]:
    if not edge.line_seen:
        yield Path(edge.ends, UNSEEN)
    elif edge.intended is not None:
        yield Path(edge.intended, INTENDED)


def _found(scene: Scene) -> Iterator[Shape]:
    for line in scene.other_lines:
        yield Path(line, OTHER)
    if scene.wrong is not None:
        path = scene.wrong.path
        yield Path(circle(path[0], STEP_RING_PX) if len(path) == 1 else path, STEP)
    for line in scene.side_lines:
        yield Path(line, FOUND)
    for centre, radius_px in scene.pricks:
        yield Ring(centre, max(radius_px, RING_PX), RING)


def _words(placed: Placed, bar_px: float) -> Iterator[Shape]:
    if placed.leader is not None:
        yield Path(placed.leader, LEADER)
    labels = [*placed.labels, *placed.angles, *([placed.step] if placed.step else [])]
    for label in labels:
        yield from label_shapes(label.rows, label.box, loud=label.loud)
    for name, box in placed.letters:
        yield letter_words(name, box.centre)
    if placed.scale_bar is not None:
        yield from _bar(placed.scale_bar, bar_px)


def _bar(box: Box, bar_px: float) -> Iterator[Shape]:
    x, y = box.centre
    ends = (x - bar_px / 2, x + bar_px / 2)
    for colour, grow in ((DARK, 4), (WHITE, 0)):
        yield _block((ends[0] - grow, y + 24 - grow), (ends[1] + grow, y + 30 + grow), colour)
        for end in ends:
            corner = (end - 3 - grow, y + 12 - grow)
            yield _block(corner, (end + 3 + grow, y + 42 + grow), colour)
    yield on_photo(f"{_BAR_MM:g} mm", (x, y + 4), TEXT_PX)


def _block(
    low: tuple[float, float], high: tuple[float, float], colour: tuple[int, int, int]
) -> Area:
    (left, top), (right, bottom) = low, high
    return Area(np.array([[left, top], [right, top], [right, bottom], [left, bottom]]), colour)


def png(picture: Picture) -> bytes:
    """Write a picture as PNG, quickly rather than small."""
    good, data = cv2.imencode(".png", cv2.cvtColor(picture, cv2.COLOR_RGB2BGR), _PNG)
    if not good:
        raise ValueError("the overlay could not be written as PNG")
    return data.tobytes()
