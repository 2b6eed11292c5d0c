"""A whole evening into the ledger."""

from collections.abc import Sequence
from pathlib import Path

from scribegauge.batch.evening import Finished
from scribegauge.errors import ScribegaugeError
from scribegauge.ledger.entries import entry_of
from scribegauge.ledger.plates import keep
from scribegauge.ledger.store import opened


def keep_evening(finished: Sequence[Finished], file: Path) -> tuple[str, tuple[str, ...]]:
    """Keep every plate that was measured; one of the same photo is replaced by the newer reading.

    Parameters
    ----------
    finished : sequence of Finished
    file : Path
        The ledger's.

    Returns
    -------
    words, troubles : str, tuple of str
        How many were new and replaced; sentences on those that could not be kept.
    """
    new = same = 0
    troubles = []
    with opened(file) as ledger:
        for each in finished:
            if each.reading.status == "refused":
                continue
            try:
                what = keep(ledger, entry_of(each.pupil, each.reading), replace=True).what
            except ScribegaugeError as error:
                troubles.append(f"{each.pupil}, {each.photo}: {error.text} {error.cure}")
                continue
            new += what == "new"
            same += what == "replaced"
    return f"{new} new, {same} there already", tuple(troubles)
