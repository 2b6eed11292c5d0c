"""A plate that lies elsewhere in one photo than in the others."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.errors import PhotoError
from scribegauge.figure.assign import Placement, place_figure
from scribegauge.figure.layout import Layout
from scribegauge.marks.record import Marks
from scribetarget.wording import say

# More of the outline than that must be scribed where one photo alone has the figure, and by so much
# more than where all photos together have it.
LEAST_SHARE, BETTER = 0.4, 0.25
# A shadow taken for the plate moves its edge by twice its thickness, usually 2 mm.
SAME_EDGE_MM = 2.0
# Under this share of the outline a photo shows none of the sides.
NOTHING = 0.1


@dataclass(frozen=True, slots=True)
class Shown:
    """What one photo shows: its name, its marks and the plate's outline (K, 2) [mm]."""

    name: str
    marks: Marks
    outline_mm: NDArray[np.float64]


def refuse_elsewhere(layout: Layout, placement: Placement, photos: Sequence[Shown]) -> None:
    """Raise when a photo shows the figure or the plate in another place than the others.

    A plate that was moved farther than lines may lie aside would otherwise go unnoticed: the photo
    would add nothing, or some of its lines would be taken for other sides.

    Parameters
    ----------
    layout : Layout
    placement : Placement
        By the lines of all photos.
    photos : sequence of Shown

    Raises
    ------
    PhotoError
        ``plate_elsewhere``
    """
    if len(photos) == 1:
        return
    vertices = layout.vertices_mm
    shares = [placement.share_of(vertices, _lines(photo)) for photo in photos]
    most = photos[int(np.argmax(shares))]
    for photo, share in zip(photos, shares, strict=True):
        alone = place_figure(vertices, _lines(photo))
        if alone is not None and alone.score > max(LEAST_SHARE, share + BETTER):
            away = alone.plate_from_layout(vertices) - placement.plate_from_layout(vertices)
            raise _elsewhere(
                say(
                    "In {photo} the plate lies elsewhere than in the other photos, by {away_mm:.0f} mm at "
                    "its corners, or it is another plate.",
                    photo=photo.name,
                    away_mm=float(np.hypot(*away.T).max()),
                )
            )
        if share < NOTHING and _edges_apart_mm(photo, most) > SAME_EDGE_MM:
            raise _elsewhere(
                say(
                    "{photo} shows none of the sides, and its plate's edge lies {apart_mm:.0f} mm from "
                    "where {other} shows it.",
                    photo=photo.name,
                    apart_mm=_edges_apart_mm(photo, most),
                    other=most.name,
                )
            )


def _elsewhere(text: str) -> PhotoError:
    return PhotoError(
        "plate_elsewhere",
        text,
        say(
            "Leave the plate where it lies and move only lamp or camera, or check each photo alone."
        ),
    )


def _lines(photo: Shown) -> NDArray[np.float64]:
    return np.array([line.ends_mm for line in photo.marks.lines]).reshape(-1, 2, 2)


def _edges_apart_mm(first: Shown, other: Shown) -> float:
    """Return how far the boxes round two outlines differ."""
    boxes = [
        np.concatenate([each.outline_mm.min(axis=0), each.outline_mm.max(axis=0)])
        for each in (first, other)
    ]
    return float(np.abs(boxes[0] - boxes[1]).max())
