"""Marks, where they were seen in a photo, laid on another face than they were found on."""

from dataclasses import replace

import numpy as np

from scribegauge.marks.record import ArcMark, LineMark, Marks, PrickMark
from scribegauge.plate.face import Face

# Of a circle, to see how it grows or shrinks.
POINTS = 12


def line_on_face(line: LineMark, old: Face, new: Face) -> LineMark:
    """Return a line on another face."""
    return replace(line, ends_mm=new.plate_from_photo(old.photo_from_plate(line.ends_mm)))


def prick_on_face(prick: PrickMark, old: Face, new: Face) -> PrickMark:
    """Return a prick on another face."""
    centre = new.plate_from_photo(old.photo_from_plate(prick.centre_mm[None]))[0]
    return replace(prick, centre_mm=centre)


def arc_on_face(arc: ArcMark, old: Face, new: Face) -> ArcMark:
    """Return an arc on another face; a circle stays one as long as both faces are nearly level."""
    turn = 2 * np.pi * np.arange(POINTS) / POINTS
    around = arc.centre_mm + arc.radius_mm * np.column_stack([np.cos(turn), np.sin(turn)])
    places = new.plate_from_photo(old.photo_from_plate(around))
    centre = places.mean(axis=0)
    return replace(arc, centre_mm=centre, radius_mm=float(np.hypot(*(places - centre).T).mean()))


def marks_on_face(marks: Marks, old: Face, new: Face) -> Marks:
    """Return all marks of a photo on another face.

    Parameters
    ----------
    marks : Marks
    old, new : Face
        Of the same photo.
    """
    return Marks(
        lines=tuple(line_on_face(line, old, new) for line in marks.lines),
        arcs=tuple(arc_on_face(arc, old, new) for arc in marks.arcs),
        pricks=tuple(prick_on_face(prick, old, new) for prick in marks.pricks),
    )
