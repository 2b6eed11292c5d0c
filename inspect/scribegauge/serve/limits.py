"""How much anybody may ask of the bench page, and how often."""

from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic
from typing import Final

from scribegauge.serve.refusals import BenchError

#: A phone's 50-megapixel JPEG has some 15 MB, a lossless HEIC or PNG of 12 megapixels some 35.
MOST_UPLOAD_BYTES: Final = 40_000_000
#: All other forms are a few numbers.
MOST_FORM_BYTES: Final = 64_000
#: A body that takes longer holds a place that somebody else needs; 40 MB over a poor workshop
#: network (5 Mbit/s) take 64 s.
BODY_SECONDS: Final = 90.0
#: Nothing for so long: the phone has left the network.
PAUSE_SECONDS: Final = 15.0
#: Addresses or people that are remembered; the longest unseen is forgotten first.
_MOST_REMEMBERED: Final = 2000


@dataclass(frozen=True, slots=True)
class Rate:
    """So many at once, and then one more after every so many seconds."""

    at_once: int
    seconds_each: float


#: Ten guesses, then ten an hour: with 59 bits a key is not found by guessing.
ENTRIES: Final = Rate(10, 360.0)
#: A class that passes one phone round sends a photo every ten seconds at most.
UPLOADS: Final = Rate(20, 5.0)
#: A page has some five parts, and a waiting page asks once a second.
REQUESTS: Final = Rate(240, 0.25)


class Meter:
    """Counts what each one asks; `clock` counts seconds."""

    def __init__(self, rate: Rate, clock: Callable[[], float] = monotonic) -> None:
        self._rate, self._clock = rate, clock
        self._used: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def take(self, who: str) -> None:
        """Count one.

        Raises
        ------
        BenchError
            ``too_often``.
        """
        now = self._clock()
        used, since = self._used.pop(who, (0.0, now))
        used = max(0.0, used - (now - since) / self._rate.seconds_each)
        over = used + 1 - self._rate.at_once
        self._used[who] = (used if over > 0 else used + 1, now)
        while len(self._used) > _MOST_REMEMBERED:
            self._used.popitem(last=False)
        if over > 0:
            wait = max(1, round(over * self._rate.seconds_each))
            raise BenchError(
                "too_often", "Too many requests in a short time.", f"Wait {wait} s, then try again."
            )
