"""A drawing as a picture."""

import io

import numpy as np
from PIL import Image, ImageDraw

from scribegauge.drawings.record import STYLES, Arc, Block, Dot, Item, Page, Segment, Words
from scribegauge.drawings.svgfile import CAPITALS, DOT_MM
from scribegauge.report import typeface

# Drawn so many times larger, or thin lines would be jagged.
_FINER = 3
_DASH_MM, _HOLE_MM = 1.6, 1.2
_LEAST_PX = 1


def to_png(page: Page, px_per_mm: float) -> bytes:
    """Draw a page.

    Parameters
    ----------
    page : Page
    px_per_mm : float

    Returns
    -------
    bytes
        A PNG.
    """
    finer = px_per_mm * _FINER
    size = (round(page.width_mm * px_per_mm), round(page.height_mm * px_per_mm))
    image = Image.new("RGB", (size[0] * _FINER, size[1] * _FINER), (255, 255, 255))
    for block in page.blocks:
        for item in block.items:
            _draw(image, item, block, finer)
    sink = io.BytesIO()
    image.resize(size, Image.Resampling.BOX).save(sink, "PNG", optimize=True)
    return sink.getvalue()


def _draw(image: Image.Image, item: Item, block: Block, scale: float) -> None:
    points = block.on_paper(item.path_mm()) * scale
    style, draw = STYLES[item.role], ImageDraw.Draw(image)
    match item:
        case Segment() | Arc():
            width = max(round(style.width_mm * scale), _LEAST_PX)
            for piece in _dashes(points, scale) if style.dashed else [points]:
                draw.line([tuple(p) for p in piece.tolist()], style.colour, width, "curve")
        case Dot():
            draw.circle(tuple(points[0]), DOT_MM * scale, style.colour)
        case Words():
            _write(image, item, points[0], scale)


def _dashes(
    points: np.typing.NDArray[np.float64], scale: float
) -> list[np.typing.NDArray[np.float64]]:
    """Break a straight path into dashes."""
    start, end = points[0], points[-1]
    length = float(np.hypot(*(end - start)))
    if length == 0:
        return []
    begins = np.arange(0.0, length, (_DASH_MM + _HOLE_MM) * scale)
    ends = np.minimum(begins + _DASH_MM * scale, length)
    along = (end - start) / length
    return [
        np.array([start + a * along, start + b * along]) for a, b in zip(begins, ends, strict=True)
    ]


def _write(
    image: Image.Image, words: Words, at: np.typing.NDArray[np.float64], scale: float
) -> None:
    size = max(round(words.height_mm / CAPITALS * scale), _LEAST_PX)
    font = typeface.bold(size) if words.bold else typeface.regular(size)
    colour = STYLES[words.role].colour
    anchor = {"start": "l", "middle": "m", "end": "r"}[words.anchor] + "s"
    down = words.height_mm / 2 * scale
    if not words.angle_deg:
        place = (float(at[0]), float(at[1]) + down)
        ImageDraw.Draw(image).text(place, words.text, colour, font, anchor)
        return
    half = round(font.getlength(words.text) / 2 + 2 * size)
    patch = Image.new("L", (2 * half, 2 * half), 0)
    ImageDraw.Draw(patch).text((half, half + down), words.text, 255, font, anchor)
    turned = patch.rotate(-words.angle_deg, Image.Resampling.BICUBIC)
    corner = (round(float(at[0])) - half, round(float(at[1])) - half)
    image.paste(Image.new("RGB", patch.size, colour), corner, turned)
