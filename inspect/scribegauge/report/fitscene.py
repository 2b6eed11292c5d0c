"""A layout's points matched with those found and laid over them, ready to be compared."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.datum import Datum
from scribegauge.figure.fit import FigureFit
from scribegauge.figure.fitkey import side_names
from scribegauge.figure.markplace import Matched, match_marks
from scribegauge.marks.record import Marks
from scribegauge.plate.face import Face
from scribegauge.uncertainty.fitted import Fitted
from scribegauge.uncertainty.places import measured_places

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FitScene:
    """Everything that is compared; `index` has the place of each measured point by name."""

    fit: FigureFit
    face: Face
    marks: Marks
    matched: Matched
    fitted: Fitted
    index: dict[str, int]

    def off(self, name: str) -> tuple[Points, float] | None:
        """Return how far a point is off (x, y) and U; None where that cannot be said."""
        at = self.index.get(name)
        if at is None or not self.fitted.datum.determined or at in self.fitted.datum.kept:
            return None
        return self.fitted.off_mm(at)

    def photo(self, points_mm: Points) -> tuple[tuple[float, float], ...]:
        """Take plate points (N, 2) to the photo."""
        return tuple((float(u), float(v)) for u, v in self.face.photo_from_plate(points_mm))


def fit_scene(fit: FigureFit, marks: Marks, face: Face) -> FitScene | None:
    """Measure and lay everything; None where fewer points were found than are needed."""
    layout, wanted = fit.layout, fit.layout.marks
    matched = match_marks(wanted, fit.placement, marks)
    seen = np.flatnonzero(np.isfinite(fit.corners_mm).all(axis=1))
    named = [
        (layout.names[k], (float(layout.vertices_mm[k, 0]), float(layout.vertices_mm[k, 1])))
        for k in seen
    ]
    pricks = [(p, k) for p, k in zip(wanted.pricks, matched.pricks, strict=True) if k is not None]
    circles = [
        (c, k) for c, k in zip(wanted.circles, matched.circles, strict=True) if k is not None
    ]
    lines = [(g, k) for g, k in zip(wanted.lines, matched.lines, strict=True) if k is not None]
    named += [(prick.name, prick.at_mm) for prick, _ in pricks]
    named += [(circle.name, circle.centre_mm) for circle, _ in circles]
    datum = _datum(fit, {name: k for k, (name, _) in enumerate(named)}, len(seen))
    if datum is None:
        return None
    named += [end for g, _ in lines for end in ((g.name, g.from_mm), ("", g.to_mm))]
    measured = measured_places(
        fit,
        [marks.pricks[k] for _, k in pricks],
        [marks.arcs[k] for _, k in circles],
        [marks.lines[k] for _, k in lines],
        face,
    )
    places = np.array([place for _, place in named], np.float64).reshape(-1, 2)
    index = {name: k for k, (name, _) in enumerate(named)}
    return FitScene(fit, face, marks, matched, Fitted(measured, places, datum), index)


def _datum(fit: FigureFit, index: dict[str, int], corners: int) -> Datum | None:
    """Choose what the figure is laid by; None where that was not found."""
    choice, layout, turn = fit.layout.fit, fit.layout, fit.placement.rotation_rad
    if choice.side:
        start = side_names(layout.names).index(choice.side)
        ends = layout.names[start], layout.names[(start + 1) % len(layout.names)]
        if not all(name in index for name in ends):
            return None
        return Datum(
            (index[ends[0]], index[ends[1]]), side=True, size_free=choice.size_free, turn_rad=turn
        )
    # The polygon where there is one: it is what the other marks are placed by.
    points = tuple(range(corners if corners > 1 else len(index)))
    if not points:
        return None
    return Datum(points, side=False, size_free=choice.size_free, turn_rad=turn)
