"""A drawing as DXF in millimetres, for programs that draw and for machines."""

from io import StringIO
from typing import Any

from scribegauge.drawings.record import STYLES, Arc, Dot, Item, Segment, Words
from scribegauge.errors import UseError

_MILLIMETRES = 4  # $INSUNITS
_BLACK = 7  # white where the ground is dark
_HUNDREDTHS = 100  # line weights of DXF are in 0.01 mm
_WEIGHTS = (13, 15, 18, 20, 25, 30, 35, 40, 50)  # those that the format knows, thin ones only
_ALIGNED = {"start": "MIDDLE_LEFT", "middle": "MIDDLE_CENTER", "end": "MIDDLE_RIGHT"}
DOT_MM = 0.2


def to_dxf(items: tuple[Item, ...]) -> str:
    """Write items as DXF, 1 unit = 1 mm, y upwards.

    Parameters
    ----------
    items : tuple of Item
        `layer` is the layer's name; pricks are points with a small circle round them.

    Returns
    -------
    str

    Raises
    ------
    UseError
        ``library_missing``.
    """
    document, alignments = _new_document()
    space = document.modelspace()
    for item in items:
        layer = item.layer or item.role
        if layer not in document.layers:
            document.layers.add(layer)
        _add(space, item, {"layer": layer, **_look(item.role)}, alignments)
    stream = StringIO()
    document.write(stream)
    return stream.getvalue()


def _new_document() -> tuple[Any, Any]:
    try:
        from ezdxf.document import Drawing  # noqa: PLC0415 - an extra: all else works without it
        from ezdxf.enums import TextEntityAlignment  # noqa: PLC0415
    except ImportError as error:
        raise UseError(
            "library_missing",
            "DXF files want the library ezdxf, which is not installed.",
            'Install it with: pip install "scribegauge[dxf]", or ask for .svg or .pdf.',
        ) from error
    document = Drawing.new("R2010")
    document.header["$INSUNITS"] = _MILLIMETRES
    document.header["$MEASUREMENT"] = 1
    document.styles.get("Standard").dxf.font = "DejaVuSans.ttf"
    return document, TextEntityAlignment


def _look(role: str) -> dict[str, int]:
    style = STYLES[role]
    red, green, blue = style.colour
    weight = min(_WEIGHTS, key=lambda known: abs(known - style.width_mm * _HUNDREDTHS))
    if not any(style.colour):
        return {"color": _BLACK, "lineweight": weight}
    return {"true_color": red << 16 | green << 8 | blue, "lineweight": weight}


def _add(space: Any, item: Item, look: dict[str, Any], alignments: Any) -> None:
    match item:
        case Segment(start_mm=start, end_mm=end):
            space.add_line(_up(start), _up(end), look)
        case Arc(centre_mm=centre, radius_mm=radius) if item.whole:
            space.add_circle(_up(centre), radius, look)
        case Arc(centre_mm=centre, radius_mm=radius):
            first, last = -(item.start_deg + item.sweep_deg), -item.start_deg
            space.add_arc(_up(centre), radius, first, last, dxfattribs=look)
        case Dot(at_mm=at):
            space.add_point(_up(at), look)
            space.add_circle(_up(at), DOT_MM, look)
        case Words():
            text = space.add_text(
                item.text, height=item.height_mm, rotation=-item.angle_deg, dxfattribs=look
            )
            text.set_placement(_up(item.at_mm), align=alignments[_ALIGNED[item.anchor]])


def _up(point: tuple[float, float]) -> tuple[float, float]:
    """Turn y upwards, as drawing programs have it."""
    return point[0], -point[1] + 0.0
