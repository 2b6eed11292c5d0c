"""Write down circles, pricks and distances of a layout, and how the figure was laid."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.figure.intended import IntendedCircle
from scribegauge.figure.relabel import Settled
from scribegauge.marks.record import Marks
from scribegauge.plate.face import Face
from scribegauge.report.fitreading import (
    CircleReading,
    DistanceReading,
    FitReading,
    LinePlaceReading,
    PlaceReading,
)
from scribegauge.report.fitscene import FitScene, fit_scene
from scribegauge.report.reading import Reading, Reason
from scribegauge.uncertainty.fitted import Size
from scribegauge.verdict.decide import decide
from scribegauge.verdict.marklimits import distance_limit_mm, radius_limit_mm
from scribetarget.wording import say

Points = NDArray[np.float64]


def with_marks(
    reading: Reading, fit: FigureFit, marks: Marks, faces: Sequence[Face], settled: Settled
) -> Reading:
    """Add what a layout holds beside its polygon, and how it was laid.

    Parameters
    ----------
    reading : Reading
    fit : FigureFit
    marks : Marks
        Of the first photo.
    faces : sequence of Face
    settled : Settled
        Which of the ways in which the figure lies alike was taken, and why.
    """
    layout = fit.layout
    if not (layout.marks.measured or layout.fit.asked or settled.ways > 1):
        return reading
    scene = fit_scene(fit, marks, faces[0])
    if scene is None:
        return replace(reading, fit=_fit(None, fit, settled))
    full = replace(
        reading,
        circles=tuple(_circle(scene, k, circle) for k, circle in enumerate(layout.marks.circles)),
        places=tuple(
            _place(scene, prick.name, prick.at_mm, scene.fit.layout.tolerance.place_mm)
            for prick in layout.marks.pricks
        ),
        marked_lines=tuple(_line(scene, line.name) for line in layout.marks.lines),
        distances=tuple(_distance(scene, *pair) for pair in layout.marks.distances),
        fit=_fit(scene, fit, settled),
    )
    full = _at_free_size(full) if layout.fit.size_free else full
    return _noted(_drawn_so(full, scene) if layout.fit.asked and len(layout.names) else full)


def _circle(scene: FitScene, number: int, circle: IntendedCircle) -> CircleReading:
    arc = scene.matched.circles[number]
    path = scene.photo(scene.fitted.laid_mm(circle.path_mm()))
    limit = radius_limit_mm(scene.fit.layout.tolerance, circle.radius_mm)
    place = scene.fit.layout.tolerance.place_mm
    if arc is None:
        nothing = (None,) * 5
        return CircleReading(
            circle.name, None, circle.radius_mm, *nothing[:4], limit, None, None, None, place, path
        )
    order = [k for k in scene.matched.circles[:number] if k is not None]
    size = scene.fitted.radius(len(order), circle.radius_mm)
    off = scene.off(circle.name)
    length = None if off is None else float(np.hypot(*off[0]))
    return CircleReading(
        name=circle.name,
        arc=arc + 1,
        intended_mm=size.intended_mm,
        measured_mm=size.measured_mm,
        deviation_mm=size.measured_mm - size.intended_mm,
        U_mm=size.U_mm,
        verdict=_judged(size, limit),
        tolerance_mm=limit,
        off_mm=length,
        U_off_mm=None if off is None else off[1],
        off_verdict=None if off is None or place is None else decide(length or 0.0, off[1], place),
        off_tolerance_mm=place,
        path_px=path,
    )


def _place(
    scene: FitScene, name: str, at_mm: tuple[float, float], limit: float | None
) -> PlaceReading:
    there = scene.fitted.laid_mm(np.array([at_mm]))
    at, off = scene.index.get(name), scene.off(name)
    length = None if off is None else float(np.hypot(*off[0]))
    return PlaceReading(
        name=name,
        intended_mm=_pair(there[0]),
        intended_px=scene.photo(there)[0],
        measured_mm=None if at is None else _pair(scene.fitted.measured.points_mm[at]),
        off_mm=length,
        U_mm=None if off is None else off[1],
        verdict=None if off is None or limit is None else decide(length or 0.0, off[1], limit),
        tolerance_mm=limit,
    )


def _line(scene: FitScene, name: str) -> LinePlaceReading:
    at, limit = scene.index.get(name), scene.fit.layout.tolerance.place_mm
    if at is None:
        return LinePlaceReading(name, False, None, None, None, limit)  # noqa: FBT003 - a record
    off, expanded = scene.fitted.aside_mm(at)
    verdict = None if limit is None else decide(off, expanded, limit)
    return LinePlaceReading(
        name=name, seen=True, off_mm=off, U_mm=expanded, verdict=verdict, tolerance_mm=limit
    )


def _distance(scene: FitScene, first: str, second: str) -> DistanceReading:
    places = {
        **dict(zip(scene.fit.layout.names, scene.fit.layout.vertices_mm.tolist(), strict=True)),
        **{prick.name: prick.at_mm for prick in scene.fit.layout.marks.pricks},
        **{circle.name: circle.centre_mm for circle in scene.fit.layout.marks.circles},
    }
    wanted = float(np.hypot(*np.subtract(places[first], places[second])))
    limit = distance_limit_mm(scene.fit.layout.tolerance, wanted)
    if wanted == 0:  # two centres that should be one point
        limit = scene.fit.layout.tolerance.place_mm
    ends = {scene.index.get(first), scene.index.get(second)}
    if None in ends:
        return DistanceReading((first, second), wanted, None, None, None, None, limit)
    if ends == set(scene.fitted.datum.kept):  # what is fitted to it is off by nothing
        length = scene.fitted.distance(*scene.fitted.datum.points).measured_mm
        return DistanceReading((first, second), length, length, 0.0, None, None, None)
    size = scene.fitted.distance(scene.index[first], scene.index[second])
    return DistanceReading(
        between=(first, second),
        intended_mm=size.intended_mm,
        measured_mm=size.measured_mm,
        deviation_mm=size.measured_mm - size.intended_mm,
        U_mm=size.U_mm,
        verdict=_judged(size, limit),
        tolerance_mm=limit,
    )


def _judged(size: Size, limit: float | None) -> str | None:
    if limit is None:
        return None
    return decide(size.measured_mm - size.intended_mm, size.U_mm, limit)


def _fit(scene: FitScene | None, fit: FigureFit, settled: Settled) -> FitReading:
    choice, names = fit.layout.fit, fit.layout.names
    scale = scene.fitted.scale if scene is not None and choice.size_free else (None, None)
    vertices: tuple[PlaceReading, ...] = ()
    sides: tuple[DistanceReading, ...] = ()
    if scene is not None:
        vertices = tuple(
            _place(scene, name, (float(x), float(y)), None)
            for name, (x, y) in zip(names, fit.layout.vertices_mm, strict=True)
        )
    if scene is not None and choice.size_free:
        ends = zip(names, (*names[1:], *names[:1]), strict=True)
        sides = tuple(_distance(scene, a, b) for a, b in ends)
    return FitReading(
        by=choice.side or "best fit",
        size="free" if choice.size_free else "fixed",
        hand="mirrored" if settled.mirrored else "given",
        ways=settled.ways,
        told_by=settled.told_by,
        scale=scale[0],
        U_scale=scale[1],
        vertices=vertices,
        sides=sides,
    )


def _at_free_size(reading: Reading) -> Reading:
    """Take back the verdicts at a fixed size: with a free one, `fit.sides` has them."""
    bare = tuple(
        replace(side, verdict=None, tolerance_mm=None, p_conform=None) for side in reading.sides
    )
    return replace(reading, sides=bare, tolerance_side_mm=None)


def _drawn_so(reading: Reading, scene: FitScene) -> Reading:
    """Let the picture have the intended figure where the chosen fit lays it."""
    if reading.plate is None:
        return reading
    there = scene.fitted.laid_mm(scene.fit.layout.vertices_mm)
    places = tuple(_pair(place) for place in there)
    plate = replace(reading.plate, intended_mm=places, intended_px=scene.photo(there))
    return replace(reading, plate=plate)


def _noted(reading: Reading) -> Reading:
    """Warn of marks of the layout that were not found."""
    unseen = [
        say("circle {name}", name=circle.name) for circle in reading.circles if circle.arc is None
    ]
    unseen += [
        say("prick {name}", name=place.name)
        for place in reading.places
        if place.measured_mm is None
    ]
    unseen += [say("line {name}", name=line.name) for line in reading.marked_lines if not line.seen]
    if not unseen:
        return reading
    told = Reason(
        "mark_not_seen",
        say(
            "Not seen: {marks}. Take the photo again with the lamp low from another side.",
            marks=", ".join(unseen),
        ),
    )
    status = "warned" if reading.status == "measured" else reading.status
    return replace(reading, status=status, reasons=(*reading.reasons, told))


def _pair(point: Points) -> tuple[float, float]:
    return float(point[0]), float(point[1])
