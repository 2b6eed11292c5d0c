"""Made-up pupils of known hands."""

from collections.abc import Callable, Iterable
from datetime import date

import pytest

from scribegauge.progress.record import Attempt
from scribegauge.progress.score import score_of
from scribegauge.report.reading import Reading


@pytest.fixture(scope="session")
def attempts_of() -> Callable[[Iterable[Reading]], tuple[Attempt, ...]]:
    """Return a function from readings to one pupil's attempts, in the order they were made."""

    def attempts(readings: Iterable[Reading]) -> tuple[Attempt, ...]:
        made = [
            Attempt("A-01", date.fromisoformat((r.photos[0].taken or "")[:10]), score_of(r))
            for r in readings
        ]
        return tuple(sorted(made, key=lambda each: each.made))

    return attempts
