"""The overlay: the photo with what was found and what was intended drawn on it."""

import cv2
import numpy as np
from PIL import Image, ImageDraw

from scribegauge.photo.record import Photo
from scribegauge.report import panel, typeface
from scribegauge.report.frame import OverlayFrame, fit_frame
from scribegauge.report.labels import (
    TEXT_PX,
    Box,
    draw_label,
    draw_letter,
    draw_words,
)
from scribegauge.report.placing import RING_PX, Placed, place
from scribegauge.report.reading import Reading
from scribegauge.report.scene import Edge, Scene, px_per_mm, scene_of
from scribegauge.report.strokes import (
    DARK,
    ENLARGED,
    FOUND,
    INTENDED,
    OTHER,
    RED,
    RING,
    UNSEEN,
    WHITE,
    Picture,
    draw_path,
    draw_ring,
    wash,
)

_BAR_MM = 10.0
_WASH_STRENGTH = 0.35
_BEYOND = (150, 150, 146)

# The two lowest bits of a phone photo are noise, and noise is most of a PNG: without them it is
# written in two thirds of the time. Only the background of the overlay is drawn so.
_KEPT_BITS, _MIDDLE = np.uint8(0xFC), np.uint8(0x02)

# Differences from the row above, run lengths: half the time of zlib's fastest on photos, and smaller.
_PNG = (
    *(cv2.IMWRITE_PNG_COMPRESSION, 1),
    *(cv2.IMWRITE_PNG_STRATEGY, cv2.IMWRITE_PNG_STRATEGY_RLE),
    *(cv2.IMWRITE_PNG_FILTER, cv2.IMWRITE_PNG_FILTER_UP),
)


def overlay_frame(reading: Reading) -> OverlayFrame:
    """Tell where photo points lie in the overlay of this reading.

    Raises
    ------
    ValueError
        If the reading has no plate.
    """
    return fit_frame(reading, panel.header(reading).height)


def draw_overlay(photo: Photo, reading: Reading) -> bytes:
    """Draw the overlay.

    Parameters
    ----------
    photo : Photo
        The first photo of the reading, upright.
    reading : Reading
        With a plate; everything drawn comes from it.

    Returns
    -------
    bytes
        A PNG, 1600 px wide.

    Raises
    ------
    ValueError
        If the reading has no plate: a refusal has nothing to draw.
    """
    header = panel.header(reading)
    return _png(np.vstack([np.asarray(header), figure_picture(photo, reading)]))


def figure_picture(photo: Photo, reading: Reading) -> Picture:
    """Draw the overlay without title and headline, for a page that has its own.

    Returns
    -------
    ndarray, shape (H, 1600, 3), uint8
        RGB; the drawn-on photo and the key below it.

    Raises
    ------
    ValueError
        If the reading has no plate.
    """
    frame = fit_frame(reading, 0)
    scene = scene_of(reading, frame)
    picture = _cut(photo, frame)
    _draw_marks(picture, scene)
    bar_px = _BAR_MM * px_per_mm(reading, frame)
    placed = place(scene, frame.width_px, frame.height_px, bar_px)
    image = Image.fromarray(picture)
    _draw_words(image, placed, bar_px)
    footer = panel.footer(reading, scene, placed.left_out)
    return np.vstack([np.asarray(image), np.asarray(footer)])


def _cut(photo: Photo, frame: OverlayFrame) -> Picture:
    """Cut the frame's rectangle out of the photo and bring it to size; grey beyond the photo."""
    height, width = photo.grey.shape
    left, top = frame.left_px, frame.top_px
    right, bottom = left + frame.crop_width_px, top + frame.crop_height_px
    part: Picture = photo.rgb[max(top, 0) : max(bottom, 0), max(left, 0) : max(right, 0)]
    beyond = (max(-top, 0), max(bottom - height, 0), max(-left, 0), max(right - width, 0))
    if any(beyond):
        wider = cv2.copyMakeBorder(part, *beyond, cv2.BORDER_CONSTANT, value=_BEYOND)
        part = np.asarray(wider, dtype=np.uint8)
    shrinks = frame.crop_width_px > frame.width_px
    way = cv2.INTER_AREA if shrinks else cv2.INTER_CUBIC
    size = (frame.width_px, frame.height_px)
    shown = np.asarray(cv2.resize(part, size, interpolation=way), dtype=np.uint8)
    return np.asarray(shown & _KEPT_BITS | _MIDDLE, dtype=np.uint8)


def _draw_marks(picture: Picture, scene: Scene) -> None:
    for edge in scene.edges:
        if edge.intended is not None and edge.enlarged is not None:
            wash(picture, np.vstack([edge.intended, edge.enlarged[::-1]]), RED, _WASH_STRENGTH)
    for edge in scene.edges:
        _draw_reference(picture, edge)
    for edge in scene.edges:
        if edge.enlarged is not None:
            draw_path(picture, edge.enlarged, ENLARGED)
    _draw_found(picture, scene)


def _draw_reference(picture: Picture, edge: Edge) -> None:
    if not edge.line_seen:
        draw_path(picture, edge.ends, UNSEEN)
    elif edge.intended is not None:
        draw_path(picture, edge.intended, INTENDED)


def _draw_found(picture: Picture, scene: Scene) -> None:
    for line in scene.other_lines:
        draw_path(picture, line, OTHER)
    for line in scene.side_lines:
        draw_path(picture, line, FOUND)
    for centre, radius_px in scene.pricks:
        draw_ring(picture, centre, max(radius_px, RING_PX), RING)


def _draw_words(image: Image.Image, placed: Placed, bar_px: float) -> None:
    for label in placed.labels:
        draw_label(image, label.rows, label.box, loud=label.loud)
    for name, box in placed.letters:
        draw_letter(image, name, box.centre)
    if placed.scale_bar is not None:
        _draw_bar(image, placed.scale_bar, bar_px)


def _draw_bar(image: Image.Image, box: Box, bar_px: float) -> None:
    x, y = box.centre
    draw = ImageDraw.Draw(image)
    for colour, grow in ((DARK, 4), (WHITE, 0)):
        ends = (x - bar_px / 2, x + bar_px / 2)
        draw.rectangle((ends[0] - grow, y + 24 - grow, ends[1] + grow, y + 30 + grow), colour)
        for end in ends:
            draw.rectangle((end - 3 - grow, y + 12 - grow, end + 3 + grow, y + 42 + grow), colour)
    draw_words(image, f"{_BAR_MM:g} mm", (x, y + 4), typeface.bold(TEXT_PX), "ms")


def _png(picture: Picture) -> bytes:
    good, data = cv2.imencode(".png", cv2.cvtColor(picture, cv2.COLOR_RGB2BGR), _PNG)
    if not good:
        raise ValueError("the overlay could not be written as PNG")
    return data.tobytes()
