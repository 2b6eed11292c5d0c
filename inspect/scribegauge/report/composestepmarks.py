"""Where the marks of a construction's steps lie in the photo, so that one can be pointed at."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from scribegauge.construction.matching import mirrored
from scribegauge.construction.observe import Observed
from scribegauge.construction.values import Circle, Line, Value
from scribegauge.plate.face import Face
from scribegauge.report.constructionreading import StepReading
from scribegauge.report.markreading import Pair
from scribegauge.report.reading import Reading

_POINTS = 13


def with_paths(
    steps: Sequence[StepReading], observed: Observed, reading: Reading, face: Face
) -> tuple[StepReading, ...]:
    """Return the steps, each that left a mark on the plate with the mark's path in the photo.

    Parameters
    ----------
    steps : sequence of StepReading
    observed : Observed
    reading : Reading
        Of the same photo, with its arcs.
    face : Face
        Of the first photo.
    """
    return tuple(replace(step, path_px=_path(step.mark, observed, reading, face)) for step in steps)


def _path(mark: str, observed: Observed, reading: Reading, face: Face) -> tuple[Pair, ...]:
    place = observed.seen.places.get(mark)
    if place is None:
        return ()
    arc = observed.laid.circles.get(mark)
    if arc is not None and arc < len(reading.arcs):  # as far as it is scribed
        return reading.arcs[arc].path_px
    points = _points(mirrored(place) if observed.laid.order.mirrored else place)
    if not points:
        return ()
    places = np.array([(point.real, point.imag) for point in points])
    return tuple((float(u), float(v)) for u, v in face.photo_from_plate(places))


def _points(place: Value) -> list[complex]:
    match place:
        case Line(start, end):
            return [start + share * (end - start) for share in np.linspace(0.0, 1.0, _POINTS)]
        case Circle(centre, radius):
            turns = np.exp(2j * np.pi * np.linspace(0.0, 1.0, 4 * _POINTS))
            return [centre + radius * complex(turn) for turn in turns]
        case complex():
            return [place]
    return []
