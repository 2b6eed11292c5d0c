"""What a mended reading changed: every number before and after."""

from collections.abc import Iterator
from dataclasses import dataclass

from scribegauge.report.cells import Measured, angle_cells, side_cells
from scribegauge.report.reading import Reading


@dataclass(frozen=True, slots=True)
class Difference:
    """One side or angle, measured with U, before and after; a dash where it was not measured."""

    name: str
    before: str
    after: str


def differences(before: Reading, after: Reading) -> tuple[Difference, ...]:
    """Return the sides and angles whose numbers are not the same as before.

    Parameters
    ----------
    before, after : Reading
        Of the same photo and layout.
    """
    return tuple(
        each
        for cells in (side_cells, angle_cells)
        for each in _pairs(cells(before), cells(after))
        if each.before != each.after
    )


def _pairs(before: tuple[Measured, ...], after: tuple[Measured, ...]) -> Iterator[Difference]:
    old = {row.name: _words(row) for row in before}
    for row in after:
        yield Difference(row.name, old.get(row.name, "–"), _words(row))


def _words(row: Measured) -> str:
    if row.measured == row.expanded:  # dashes
        return row.measured
    return f"{row.measured.strip()} ± {row.expanded.strip()}"
