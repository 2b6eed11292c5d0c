"""Writes a layout down as a layout file."""

from collections.abc import Iterator

from scribegauge.figure.intended import FULL_TURN_DEG, IntendedMarks, Pair
from scribegauge.figure.layout import Layout, Tolerance

_LONGEST_ROW = 96


def layout_text(layout: Layout, *, may_cross: bool = False) -> str:
    """Return the text of a layout file.

    Parameters
    ----------
    layout : Layout
        Its grade, construction and fit are left out: nothing here makes such layouts.
    may_cross : bool
        Whether the polygon is a star whose sides are meant to cross.

    Returns
    -------
    str
        TOML that `scribegauge.figure.layoutfile.read_layout` reads, lengths to the nanometre.
    """
    rows = ["layout = 1", f'title = "{_escaped(layout.title)}"', *_tolerance(layout.tolerance)]
    if len(layout.vertices_mm):
        points = [_point((float(x), float(y))) for x, y in layout.vertices_mm]
        rows += ["", "[polygon]", *_list("vertices_mm", points)]
        rows += _list("names", [f'"{name}"' for name in layout.names])
        rows += ["may_cross = true"] if may_cross else []
    rows += [row for block in _marks(layout.marks) for row in ("", *block)]
    return "\n".join(rows) + "\n"


def _tolerance(tolerance: Tolerance) -> list[str]:
    own = {
        "side_mm": tolerance.side_mm,
        "angle_deg": tolerance.angle_deg,
        "radius_mm": tolerance.radius_mm,
        "place_mm": tolerance.place_mm,
    }
    parts = [f"{key} = {_number(value)}" for key, value in own.items() if value is not None]
    parts += [f'iso2768 = "{tolerance.iso2768}"'] if tolerance.iso2768 else []
    return [f"tolerance = {{ {', '.join(parts)} }}"] if parts else []


def _marks(marks: IntendedMarks) -> Iterator[list[str]]:
    for circle in marks.circles:
        block = ["[[circle]]", f'name = "{circle.name}"', f"centre_mm = {_point(circle.centre_mm)}"]
        block.append(f"radius_mm = {_number(circle.radius_mm)}")
        if circle.sweep_deg < FULL_TURN_DEG:
            block.append(f"start_deg = {_number(circle.start_deg)}")
            block.append(f"sweep_deg = {_number(circle.sweep_deg)}")
        yield block
    for prick in marks.pricks:
        yield ["[[prick]]", f'name = "{prick.name}"', f"at_mm = {_point(prick.at_mm)}"]
    for line in marks.lines:
        ends = f"from_mm = {_point(line.from_mm)}", f"to_mm = {_point(line.to_mm)}"
        yield ["[[line]]", f'name = "{line.name}"', *ends]
    for text in marks.texts:
        yield ["[[text]]", f"at_mm = {_point(text.at_mm)}", f'says = "{_escaped(text.says)}"']
    for first, second in marks.distances:
        yield ["[[distance]]", f'between = ["{first}", "{second}"]']


def _list(key: str, items: list[str]) -> list[str]:
    row = f"{key} = [{', '.join(items)}]"
    return [row] if len(row) <= _LONGEST_ROW else [f"{key} = [", *(f"  {i}," for i in items), "]"]


def _point(point: Pair) -> str:
    return f"[{_number(point[0])}, {_number(point[1])}]"


def _number(value: float) -> str:
    return f"{round(value, 6) + 0.0:.6f}".rstrip("0").rstrip(".")


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"')
