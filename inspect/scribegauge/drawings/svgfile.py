"""A drawing as SVG: user units are millimetres, so lengths at scale 1 are true."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from xml.sax.saxutils import escape, quoteattr

from scribegauge.drawings.record import STYLES, Arc, Block, Colour, Dot, Item, Page, Segment, Words

_FONT = "DejaVu Sans, Verdana, Helvetica, sans-serif"
# Height of capitals by size of the letters in these fonts.
CAPITALS = 0.73
DOT_MM = 0.45
_GAP_MM = 8.0


def to_svg(pages: Sequence[Page], title: str) -> str:
    """Write pages below each other as one SVG.

    Parameters
    ----------
    pages : sequence of Page
    title : str

    Returns
    -------
    str
        Width and height in mm; coordinates within each part are those of the drawing, not rounded.
    """
    width = max(page.width_mm for page in pages)
    height = sum(page.height_mm for page in pages) + _GAP_MM * (len(pages) - 1)
    rows = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="0 0 {_n(width)} {_n(height)}" font-family="{_FONT}">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{_n(width)}" height="{_n(height)}" fill="white"/>',
    ]
    top = 0.0
    for page in pages:
        for block in page.blocks:
            rows += _block(block, top)
        top += page.height_mm + _GAP_MM
    return "\n".join([*rows, "</svg>"]) + "\n"


def _block(block: Block, top_mm: float) -> Iterator[str]:
    x, y = block.shift_mm
    scale = "" if block.scale == 1 else f" scale({_n(block.scale)})"
    yield f'<g transform="translate({_n(x)} {_n(y + top_mm)}){scale}">'
    for layer, items in groupby(block.items, key=lambda item: item.layer):
        yield f"<g id={quoteattr(layer)}>" if layer and block.scale == 1 else "<g>"
        for item in items:
            yield _item(item, block.scale)
        yield "</g>"
    yield "</g>"


def _item(item: Item, scale: float) -> str:
    match item:
        case Segment(start_mm=(x1, y1), end_mm=(x2, y2)):
            ends = f'x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"'
            return f"<line {ends} {_stroke(item.role, scale)}/>"
        case Arc():
            return _arc(item, scale)
        case Dot(at_mm=(x, y)):
            colour = _colour(STYLES[item.role].colour)
            return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(DOT_MM / scale)}" fill="{colour}"/>'
    return _words(item, scale)


def _arc(arc: Arc, scale: float) -> str:
    x, y = arc.centre_mm
    if arc.whole:
        place = f'cx="{_n(x)}" cy="{_n(y)}" r="{_n(arc.radius_mm)}"'
        return f"<circle {place} {_stroke(arc.role, scale)}/>"
    (x1, y1), (x2, y2) = arc.at(arc.start_deg), arc.at(arc.start_deg + arc.sweep_deg)
    large, r = int(arc.sweep_deg > 180), _n(arc.radius_mm)  # noqa: PLR2004 - half a turn
    path = f"M {_n(x1)} {_n(y1)} A {r} {r} 0 {large} 1 {_n(x2)} {_n(y2)}"
    return f'<path d="{path}" {_stroke(arc.role, scale)}/>'


def _words(words: Words, scale: float) -> str:
    (x, y), size = words.at_mm, words.height_mm / CAPITALS / scale
    turn = f' transform="rotate({_n(words.angle_deg)} {_n(x)} {_n(y)})"' if words.angle_deg else ""
    weight = ' font-weight="bold"' if words.bold else ""
    place = f'x="{_n(x)}" y="{_n(y)}" dy="{_n(words.height_mm / 2 / scale)}"'
    colour = _colour(STYLES[words.role].colour)
    return (
        f'<text {place} font-size="{_n(size)}" text-anchor="{words.anchor}" fill="{colour}"'
        f"{weight}{turn}>{escape(words.text)}</text>"
    )


def _stroke(role: str, scale: float) -> str:
    style = STYLES[role]
    dash = f' stroke-dasharray="{_n(1.6 / scale)} {_n(1.2 / scale)}"' if style.dashed else ""
    width = _n(style.width_mm / scale)
    return f'fill="none" stroke="{_colour(style.colour)}" stroke-width="{width}"{dash}'


def _colour(colour: Colour) -> str:
    return "#" + "".join(f"{part:02x}" for part in colour)


def _n(value: float) -> str:
    """Write a number with all its digits and no more."""
    text = repr(float(value) + 0.0)
    return text.removesuffix(".0")
