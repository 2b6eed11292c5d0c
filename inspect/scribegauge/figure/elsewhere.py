"""A plate that lies elsewhere in one photo than in the others."""

from collections.abc import Sequence

import numpy as np

from scribegauge.errors import PhotoError
from scribegauge.figure.assign import Placement, place_figure
from scribegauge.figure.layout import Layout
from scribegauge.marks.record import Marks

# More of the outline than that must be scribed where one photo alone has the figure, and by so much
# more than where all photos together have it.
LEAST_SHARE, BETTER = 0.4, 0.25


def refuse_elsewhere(
    layout: Layout, placement: Placement, photos: Sequence[tuple[str, Marks]]
) -> None:
    """Raise when a photo shows the figure in another place than all photos together.

    A plate that was moved farther than lines may lie aside would otherwise go unnoticed: the photo
    would add nothing, or some of its lines would be taken for other sides.

    Parameters
    ----------
    layout : Layout
    placement : Placement
        By the lines of all photos.
    photos : sequence of (name, Marks)

    Raises
    ------
    PhotoError
        ``plate_elsewhere``
    """
    vertices = layout.vertices_mm
    for name, marks in photos[: len(photos) if len(photos) > 1 else 0]:
        lines = np.array([line.ends_mm for line in marks.lines]).reshape(-1, 2, 2)
        alone = place_figure(vertices, lines)
        if alone is None or alone.score < LEAST_SHARE:
            continue
        if alone.score > placement.share_of(vertices, lines) + BETTER:
            away = alone.plate_from_layout(vertices) - placement.plate_from_layout(vertices)
            raise PhotoError(
                "plate_elsewhere",
                f"In {name} the plate lies elsewhere than in the other photos, by "
                f"{np.hypot(*away.T).max():.0f} mm at its corners, or it is another plate.",
                "Leave the plate where it lies and move only lamp or camera, or check each photo "
                "alone.",
            )
