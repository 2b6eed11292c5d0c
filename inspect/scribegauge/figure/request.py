"""What the person said about the plate, the sheet and the marks."""

import math
from dataclasses import dataclass, field
from datetime import date, datetime

from scribegauge.figure.hints import Hints
from scribegauge.figure.layout import Layout
from scribegauge.plate.face import U_UNKNOWN_THICKNESS_MM, UNKNOWN_THICKNESS_MM
from scribetarget.camera import Camera
from scribetarget.printscale import CALIPER_ERROR_MM
from scribetarget.sheetrecord import SheetRecord

# A caliper's own 0.02 mm (DIN 862), and a burr or a grain of dirt between its jaws.
THICKNESS_ERROR_MM = 0.035


def _today() -> date:
    return datetime.now().astimezone().date()


@dataclass(frozen=True, slots=True)
class Request:
    """What one check goes by beside the photos.

    Attributes
    ----------
    layout : Layout
    thickness_mm : float or None
        None when nobody measured it.
    bars_mm : tuple of (x, y)
        Readings of the two check bars; empty when nobody measured them.
    camera : Camera or None
        A profile, or None to go by the photo's own record of its lens.
    sheet : SheetRecord or None
        The sheet's record, which then counts instead of `bars_mm`.
    caliper_error_mm : float
        Largest error of the caliper that `bars_mm` were read from.
    thickness_error_mm : float
        Largest error of `thickness_mm`.
    today : date
        Until when the sheet grew old, for photos that do not say when they were taken.
    hints : tuple of Hints
        Where the person saw sides and pricks [px], for each photo; empty when nothing was said.
    trials : int or None
        How many random trials to check U by; None for none.
    """

    layout: Layout
    thickness_mm: float | None
    bars_mm: tuple[tuple[float, float], ...]
    camera: Camera | None
    sheet: SheetRecord | None = None
    caliper_error_mm: float = CALIPER_ERROR_MM
    thickness_error_mm: float = THICKNESS_ERROR_MM
    today: date = field(default_factory=_today)
    hints: tuple[Hints, ...] = ()
    trials: int | None = None

    @property
    def height_mm(self) -> tuple[float, float]:
        """How high the plate's face lies, and the standard uncertainty of that."""
        if self.thickness_mm is None:
            return UNKNOWN_THICKNESS_MM, U_UNKNOWN_THICKNESS_MM
        return self.thickness_mm, self.thickness_error_mm / math.sqrt(3)
