"""Geometry of the printed targets, read from the packaged target.json."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TargetSpec:
    """One size of target: a two-squares-wide ChArUco ring round an empty window.

    Lengths as drawn, in millimetres; frame: origin at the outer top-left corner, x right,
    y down.
    """

    size: str
    square_mm: float
    marker_mm: float
    squares_per_side: int
    ring_squares: int
    first_marker_id: int
    last_marker_id: int
    printed_marker_ids: tuple[int, ...]
    corner_ids: tuple[int, ...]
    check_bar_mm: float

    @property
    def side_mm(self) -> float:
        """Outer side of the board."""
        return self.square_mm * self.squares_per_side

    @property
    def window_mm(self) -> float:
        """Side of the empty window."""
        return self.square_mm * (self.squares_per_side - 2 * self.ring_squares)
