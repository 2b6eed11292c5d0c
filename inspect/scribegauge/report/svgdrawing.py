"""A drawing as SVG: strokes and words stay sharp at any size, the photo is carried inside."""

from collections.abc import Iterator
from html import escape

import numpy as np

from scribegauge.report import typeface
from scribegauge.report.cleantext import clean
from scribegauge.report.drawing import (
    Area,
    Drawing,
    Path,
    Photograph,
    Points,
    Ring,
    Shape,
    Words,
    pieces,
)
from scribegauge.report.drawingstyle import FAMILIES, Stroke, hexadecimal
from scribegauge.report.jpeg import PICTURE_BYTES, data_uri, jpeg_within

_ANCHORS = {"l": "start", "m": "middle", "r": "end"}
_EDGE = 0.2
# Browsers refuse numbers of many digits and draw nothing that far away.
_FAR_PX = 1e5


def svg_file(drawing: Drawing, title: str, description: str) -> bytes:
    """Write a drawing as a file of its own.

    Parameters
    ----------
    drawing : Drawing
    title, description : str
        For whoever does not see it.
    """
    head = '<?xml version="1.0" encoding="UTF-8"?>\n<svg xmlns="http://www.w3.org/2000/svg"'
    element = svg_element(drawing, title, description)
    return (head + element.removeprefix("<svg") + "\n").encode()


def svg_element(drawing: Drawing, title: str, description: str = "") -> str:
    """Write a drawing as one ``svg`` element, for a page; every string in it is escaped.

    Parameters
    ----------
    drawing : Drawing
    title, description : str
        For whoever does not see it; a drawing without title says nothing that words do not.
    """
    width, height = _number(drawing.width_px), _number(drawing.height_px)
    about = f"<desc>{escape(clean(description))}</desc>" if description else ""
    role = 'role="img"' if title else 'aria-hidden="true"'
    rows = [
        f'<svg viewBox="-0.5 -0.5 {width} {height}" {role} font-family="{escape(FAMILIES)}" '
        'stroke-linecap="round" stroke-linejoin="round">'
    ]
    if title:
        rows.append(f"<title>{escape(clean(title))}</title>{about}")
    if drawing.ground is not None:
        ground = hexadecimal(drawing.ground)
        rows.append(f'<path fill="{ground}" d="M-.5-.5H{width}V{height}H-.5Z"/>')
    for shape in drawing.shapes:
        rows += _element(shape)
    return "\n".join([*rows, "</svg>"])


def _element(shape: Shape) -> Iterator[str]:
    match shape:
        case Path(points, stroke):
            yield from _stroked(_path(pieces(points, stroke)), stroke)
        case Ring(centre, radius, stroke):
            x, y = map(_number, centre)
            for colour, width in _passes(stroke):
                yield (
                    f'<circle cx="{x}" cy="{y}" r="{_number(radius)}" fill="none" '
                    f'stroke="{colour}" stroke-width="{width}"/>'
                )
        case Area(polygon, colour, strength, edge):
            data = _path([polygon]) + "Z"
            opacity = "" if strength >= 1 else f' fill-opacity="{strength:g}"'
            yield f'<path fill="{hexadecimal(colour)}"{opacity} d="{data}"/>'
            if edge is not None:
                yield from _stroked(data, edge)
        case Words() if shape.text:
            yield _words(shape)
        case Photograph():
            x, y = map(_number, shape.corner)
            width, height = _number(shape.width_px), _number(shape.height_px)
            uri = data_uri(jpeg_within(shape.picture, PICTURE_BYTES))
            yield (
                f'<image href="{uri}" x="{x}" y="{y}" width="{width}" height="{height}" '
                'preserveAspectRatio="none"/>'
            )


def _stroked(data: str, stroke: Stroke) -> Iterator[str]:
    for colour, width in _passes(stroke):
        yield f'<path fill="none" stroke="{colour}" stroke-width="{width}" d="{data}"/>'


def _passes(stroke: Stroke) -> list[tuple[str, str]]:
    plain = (hexadecimal(stroke.colour), _number(stroke.width_px))
    if stroke.halo is None:
        return [plain]
    edge = _number(stroke.width_px + 2 * stroke.halo_px)
    return [(hexadecimal(stroke.halo), edge), plain]


def _path(parts: list[Points]) -> str:
    rows = []
    for part in parts:
        near = np.clip(part, -_FAR_PX, _FAR_PX)
        rows.append("M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in near))
    return "".join(rows)


def _words(words: Words) -> str:
    text = clean(words.text)
    x, y = map(_number, words.at)
    said = [f'x="{x}" y="{y}" font-size="{_number(words.size_px)}"']
    said.append(f'fill="{hexadecimal(words.colour)}"')
    if words.anchor != "l":
        said.append(f'text-anchor="{_ANCHORS[words.anchor]}"')
    if words.bold:
        said.append('font-weight="bold"')
    if words.edge is not None:
        width = _number(_EDGE * words.size_px)
        said.append(f'stroke="{hexadecimal(words.edge)}" stroke-width="{width}"')
        said.append('paint-order="stroke"')
    if words.turn_rad:
        said.append(f'transform="rotate({_number(np.degrees(words.turn_rad))} {x} {y})"')
    if words.room_px is not None:  # whatever letters the reader has, they keep to their ground
        wide = _number(min(words.room_px, typeface.length(text, words.size_px, bold=words.bold)))
        said.append(f'textLength="{wide}" lengthAdjust="spacingAndGlyphs"')
    return f"<text {' '.join(said)}>{escape(text)}</text>"


def _number(value: float) -> str:
    return f"{round(float(value), 2) + 0.0:g}" if abs(value) < 1e4 else f"{value:.1f}"  # noqa: PLR2004
