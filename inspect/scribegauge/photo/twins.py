"""That no photo is counted twice: it would look like a second opinion."""

from collections.abc import Sequence
from itertools import combinations

from scribegauge.errors import UseError
from scribegauge.photo.record import Photo


def refuse_twins(photos: Sequence[Photo]) -> None:
    """See that no photo is given twice.

    Raises
    ------
    UseError
        ``photo_twice``.
    """
    for first, second in combinations(photos, 2):
        if first.sha256 == second.sha256:
            raise UseError(
                "photo_twice",
                f"{first.name} and {second.name} are the same photo.",
                "Give each photo once; a second one must be taken with lamp or camera elsewhere.",
            )
