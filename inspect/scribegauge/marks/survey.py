"""All lines and arcs of one photo, and the light they were seen in."""

from dataclasses import dataclass

from scribegauge.marks.arcmiddle import arc_at_middle
from scribegauge.marks.arcs import find_arcs
from scribegauge.marks.arcshape import without_arcs
from scribegauge.marks.coat import is_coated
from scribegauge.marks.glare import Glare, find_glare, is_glare_edge, look_past_glare
from scribegauge.marks.lamp import Lamp, find_lamp
from scribegauge.marks.lines import find_lines
from scribegauge.marks.markpath import Mark
from scribegauge.marks.metal import Metal, look_at_metal
from scribegauge.marks.record import ArcMark, Marks
from scribegauge.marks.worth import arc_through_coat
from scribegauge.photo.record import Photo
from scribegauge.plate.face import Face


@dataclass(frozen=True, slots=True)
class Survey:
    """What one photo shows of a plate, intent aside.

    Attributes
    ----------
    metal : Metal
        The face, glare allowed for.
    glare : Glare
    marks : Marks
        Lines and arcs; pricks are looked for once the figure is known.
    coated : bool
        Whether they were scribed through a coat.
    lamp : Lamp or None
        From which side the light falls; None on a coated face, where a groove shows both walls
        whatever the light.
    """

    metal: Metal
    glare: Glare
    marks: Marks
    coated: bool
    lamp: Lamp | None


def survey(photo: Photo, face: Face) -> Survey:
    """Find every line and arc on a face.

    Parameters
    ----------
    photo : Photo
    face : Face
    """
    metal = look_at_metal(photo.grey, face)
    glare = find_glare(photo.grey, face, metal)
    metal = look_past_glare(photo.grey, face, metal, glare)
    # Arcs first: cut out of the metal they do not offer hundreds of short straight pieces.
    arcs = find_arcs(photo.grey, face, metal, ())
    lines = find_lines(photo.grey, face, without_arcs(metal, arcs))
    lines = tuple(line for line in lines if not is_glare_edge(line, metal, glare))
    coated = is_coated(photo.rgb, face, lines)
    lamp = None if coated else find_lamp(photo.grey, face)

    def at_middle(arc: ArcMark) -> ArcMark:
        if lamp is None:
            return arc_through_coat(arc)
        known: tuple[Mark, ...] = (*lines, *arcs)
        others = tuple(mark for mark in known if mark is not arc)
        return arc_at_middle(photo.grey, face, metal, arc, others, lamp)

    return Survey(metal, glare, Marks(lines, tuple(map(at_middle, arcs)), ()), coated, lamp)
