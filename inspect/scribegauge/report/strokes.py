"""A drawing painted as pixels.

cv2 draws the strokes and Pillow the words, each at what it does best.
"""

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from scribegauge.report import typeface
from scribegauge.report.drawing import (
    Area,
    Drawing,
    Path,
    Photograph,
    Picture,
    Points,
    Ring,
    Shape,
    Words,
    pieces,
)
from scribegauge.report.drawingstyle import Colour, Stroke

# cv2 takes points as whole numbers of 1/16 px.
_SHIFT = 4
# Beyond this cv2's whole numbers overflow; nothing that far is in the picture.
_FAR_PX = 1e5
# Width of the edge round letters, as a share of their size.
_EDGE = 0.1


def paint(drawing: Drawing) -> Picture:
    """Paint a drawing.

    Parameters
    ----------
    drawing : Drawing

    Returns
    -------
    ndarray, shape (H, W, 3), uint8
        RGB.
    """
    size = (round(drawing.height_px), round(drawing.width_px), 3)
    picture = np.empty(size, np.uint8)
    picture[:] = drawing.ground or (255, 255, 255)
    for shape in drawing.shapes:
        _paint(picture, shape)
    return picture


def _paint(picture: Picture, shape: Shape) -> None:
    match shape:
        case Path(points, stroke):
            draw_path(picture, points, stroke)
        case Ring(centre, radius, stroke):
            draw_ring(picture, centre, radius, stroke)
        case Area(polygon, colour, strength, edge):
            wash(picture, polygon, colour, strength)
            if edge is not None:
                draw_path(picture, np.vstack([polygon, polygon[:1]]), edge)
        case Photograph():
            _lay(picture, shape)
        case Words():
            _write(picture, shape)


def _lay(picture: Picture, shape: Photograph) -> None:
    left, top = round(shape.corner[0] + 0.5), round(shape.corner[1] + 0.5)
    size = (round(shape.width_px), round(shape.height_px))
    part = shape.picture
    if part.shape[1::-1] != size:
        way = cv2.INTER_AREA if part.shape[1] > size[0] else cv2.INTER_CUBIC
        part = np.asarray(cv2.resize(part, size, interpolation=way), dtype=np.uint8)
    picture[top : top + size[1], left : left + size[0]] = part


def _fixed(points: Points) -> NDArray[np.int32]:
    near = np.clip(points, -_FAR_PX, _FAR_PX)
    return np.round(near * (1 << _SHIFT)).astype(np.int32).reshape(-1, 1, 2)


def draw_path(picture: Picture, points: Points, stroke: Stroke) -> None:
    """Draw an open path (N, 2) onto the picture, its edge first."""
    parts = [_fixed(piece) for piece in pieces(points, stroke)]
    for colour, width in _passes(stroke):
        cv2.polylines(picture, parts, False, colour, width, cv2.LINE_AA, _SHIFT)  # noqa: FBT003


def _passes(stroke: Stroke) -> list[tuple[Colour, int]]:
    plain = (stroke.colour, max(round(stroke.width_px), 1))
    if stroke.halo is None:
        return [plain]
    return [(stroke.halo, max(round(stroke.width_px + 2 * stroke.halo_px), 1)), plain]


def draw_ring(picture: Picture, centre: Points, radius_px: float, stroke: Stroke) -> None:
    """Draw a ring about a point (2,); its inside is left as it is."""
    point = _fixed(centre.reshape(1, 2)).ravel()
    fixed_radius = round(radius_px * (1 << _SHIFT))
    for colour, width in _passes(stroke):
        at = (int(point[0]), int(point[1]))
        cv2.circle(picture, at, fixed_radius, colour, width, cv2.LINE_AA, _SHIFT)


def wash(picture: Picture, polygon: Points, colour: Colour, strength: float) -> None:
    """Tint the inside of a polygon (N, 2); `strength` from 0 to 1."""
    height, width = picture.shape[:2]
    low = np.clip(np.floor(polygon.min(axis=0)).astype(int) - 1, 0, [width, height])
    high = np.clip(np.ceil(polygon.max(axis=0)).astype(int) + 2, 0, [width, height])
    if (high <= low).any():
        return
    part = picture[low[1] : high[1], low[0] : high[0]]
    mask = np.zeros(part.shape[:2], np.uint8)
    cv2.fillPoly(mask, [_fixed(polygon - low)], (255,), cv2.LINE_AA, _SHIFT)
    rows, columns = np.nonzero(mask)  # a long thin wash fills little of its rectangle
    old = part[rows, columns].astype(np.float32)
    alpha = mask[rows, columns, None] * np.float32(strength / 255.0)
    mixed = old + alpha * (np.array(colour, np.float32) - old)
    part[rows, columns] = np.round(mixed).astype(np.uint8)


def _write(picture: Picture, words: Words) -> None:
    """Write on a patch, turn that about the words' foot, and lay it on: no more is touched."""
    size = max(round(words.size_px), 1)
    font = typeface.bold(size) if words.bold else typeface.regular(size)
    edge = 0 if words.edge is None else max(round(_EDGE * size), 1)
    left, top, right, bottom = font.getbbox(
        words.text, anchor=f"{words.anchor}s", stroke_width=edge
    )
    foot = np.array([2.0 - np.floor(left), 2.0 - np.floor(top)])
    wide, high = (np.ceil([right, bottom]) + foot + 2).astype(int).tolist()
    part = np.array(words.at) % 1.0 if not words.turn_rad else np.zeros(2)
    patch = Image.new("RGBA", (wide, high), (*(words.edge or words.colour), 0))
    ImageDraw.Draw(patch).text(
        tuple(foot + part),
        words.text,
        words.colour,
        font,
        f"{words.anchor}s",
        stroke_width=edge,
        stroke_fill=words.edge or words.colour,
    )
    ink = np.asarray(patch)
    if words.turn_rad:
        _blend(picture, *_turned(ink, foot, words))
    else:
        low = np.array(words.at) - part - foot
        _blend(picture, ink, (int(low[0]), int(low[1])))


def _turned(
    ink: NDArray[np.uint8], foot: Points, words: Words
) -> tuple[NDArray[np.uint8], tuple[int, int]]:
    """Turn a patch about a foot; return it and where its upper left corner goes."""
    high, wide = ink.shape[:2]
    cos, sin = np.cos(words.turn_rad), np.sin(words.turn_rad)
    turn = np.array([[cos, -sin], [sin, cos]])
    corners = (np.array([[0, 0], [wide, 0], [wide, high], [0, high]]) - foot) @ turn.T + words.at
    low = np.floor(corners.min(axis=0)).astype(int) - 1
    size = np.ceil(corners.max(axis=0)).astype(int) + 2 - low
    shift = np.array(words.at) - low - turn @ foot
    turned = cv2.warpAffine(
        ink,
        np.column_stack([turn, shift]),
        (int(size[0]), int(size[1])),
        flags=cv2.INTER_CUBIC,
        borderValue=(*ink[0, 0, :3].tolist(), 0),
    )
    return np.asarray(turned, np.uint8), (int(low[0]), int(low[1]))


def _blend(picture: Picture, ink: NDArray[np.uint8], corner: tuple[int, int]) -> None:
    """Lay a patch (h, w, 4) onto the picture, as far as it lies inside."""
    height, width = picture.shape[:2]
    left, top = max(corner[0], 0), max(corner[1], 0)
    right, bottom = min(corner[0] + ink.shape[1], width), min(corner[1] + ink.shape[0], height)
    if right <= left or bottom <= top:
        return
    over = ink[top - corner[1] : bottom - corner[1], left - corner[0] : right - corner[0]]
    part = picture[top:bottom, left:right]
    alpha = over[..., 3:].astype(np.float32) / 255.0
    part[:] = np.round(part + alpha * (over[..., :3] - part.astype(np.float32))).astype(np.uint8)
