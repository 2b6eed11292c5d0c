"""What numbers a person may give; beyond them it is a slip.

No import of numpy, so that a command line can look here before a command is chosen.
"""

import math
from typing import Final

from scribegauge.errors import UseError

#: The check bars are drawn 60 or 100 mm long. Wider than any printer's error: a reading beyond
#: is in another unit or of another thing. Which bar was meant is judged with the target.
BAR_RANGE_MM: Final = (40.0, 130.0)

#: From a foil to a plate of 10 mm; the scribed face of anything thicker lies out of the focus
#: that the target is in, and 80 is a slip for 0.80.
THICKNESS_RANGE_MM: Final = (0.05, 10.0)

#: From a good micrometer to a plastic caliper; twice as much is no longer a measurement.
ERROR_RANGE_MM: Final = (0.001, 0.5)

#: Fewer tell nothing of an interval of 95 %; more tell nothing new and fill the memory.
TRIALS_RANGE: Final = (20_000, 1_000_000)


def refuse_beyond(name: str, value: float | None, limits: tuple[float, float]) -> None:
    """Raise unless a number given to a function can be meant; None was not given and passes.

    Parameters
    ----------
    name : str
        Of the argument, with its unit.
    value : float or None
    limits : tuple of (least, most)
        Both allowed.

    Raises
    ------
    UseError
        ``number_absurd``; NaN and what is no number are absurd too.
    """
    least, most = limits
    if value is None:
        return
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not number or not math.isfinite(value) or not least <= value <= most:
        raise UseError(
            "number_absurd",
            f"{name} cannot be {value!r}.",
            f"Give a number from {least:g} to {most:g}, as measured, in the unit of the name.",
        )
