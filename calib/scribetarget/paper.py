"""Paper sizes that a target is printed on."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper, upright."""

    name: str
    width_mm: float
    height_mm: float


# ISO 216 A4; ANSI/ASME Y14.1 A, 8.5 x 11 inch.
PAPERS: Mapping[str, Paper] = MappingProxyType(
    {"a4": Paper("A4", 210.0, 297.0), "letter": Paper("Letter", 215.9, 279.4)}
)
