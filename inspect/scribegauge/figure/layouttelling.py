"""What a layout file means, told to the person who wrote it."""

from collections.abc import Iterator

from scribegauge.figure.fitkey import side_names
from scribegauge.figure.intended import FULL_TURN_DEG
from scribegauge.figure.layout import Layout
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm


def layout_told(layout: Layout) -> str:
    """Return title, sides, angles, other marks and tolerances of a layout as text."""
    return "\n".join([layout.title, *_polygon(layout), *_marks(layout), *_allowed(layout)]) + "\n"


def _polygon(layout: Layout) -> Iterator[str]:
    if not layout.names:
        return
    lengths = side_lengths_mm(layout.vertices_mm)
    angles = inside_angles_deg(layout.vertices_mm)
    for side, length in zip(side_names(layout.names), lengths, strict=True):
        yield f"  side {side:<12}{length:9.3f} mm"
    for name, angle in zip(layout.names, angles, strict=True):
        yield f"  angle {name:<11}{angle:9.3f}°"


def _marks(layout: Layout) -> Iterator[str]:
    marks = layout.marks
    for circle in marks.circles:
        what = "circle" if circle.sweep_deg >= FULL_TURN_DEG else f"arc of {circle.sweep_deg:g}°"
        yield f"  {what} {circle.name}: radius {circle.radius_mm:g} mm about {_at(circle.centre_mm)}"
    for prick in marks.pricks:
        yield f"  prick {prick.name} at {_at(prick.at_mm)}"
    for line in marks.lines:
        yield f"  line {line.name} from {_at(line.from_mm)} to {_at(line.to_mm)}"
    if marks.distances:
        yield "  distances " + ", ".join(f"{a} to {b}" for a, b in marks.distances)


def _allowed(layout: Layout) -> Iterator[str]:
    tolerance = layout.tolerance
    own = {
        "sides and distances": (tolerance.side_mm, " mm"),
        "angles": (tolerance.angle_deg, "°"),
        "radii": (tolerance.radius_mm, " mm"),
        "places": (tolerance.place_mm, " mm"),
    }
    parts = [f"{what} ±{value:g}{unit}" for what, (value, unit) in own.items() if value is not None]
    parts += [f"else class {tolerance.iso2768} of ISO 2768-1"] if tolerance.iso2768 else []
    yield f"Allowed: {', '.join(parts)}." if parts else "No tolerance: measured, not judged."


def _at(point: tuple[float, float]) -> str:
    return f"({point[0]:g}, {point[1]:g})"
