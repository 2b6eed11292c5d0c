"""A plate in numbers only: marks of a construction as a hand scribed and a photo measured them."""

import cmath
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import pytest

from scribegauge.construction.catalogue import shipped
from scribegauge.construction.engine import Frame, run_with_slips
from scribegauge.construction.plan import plan_of
from scribegauge.construction.record import Plan
from scribegauge.construction.seen import Seen, size_of
from scribegauge.construction.values import Circle, Line, Slip, slipped

#: Standard uncertainties of a careful reading [mm]: pricks, lines at their ends, circles.
U_MM = {complex: 0.012, Line: 0.008, Circle: 0.010}
WHERE = Frame(cmath.exp(2.1j), 41 - 17j)


@dataclass(frozen=True, slots=True)
class Bench:
    """A construction to be scribed with given slips and measured with random errors."""

    plan: Plan

    def seen(
        self,
        slips: Mapping[str, Slip],
        rng: np.random.Generator | None = None,
        without: tuple[str, ...] = (),
    ) -> Seen:
        true = run_with_slips(self.plan, slips, WHERE)
        places = {
            mark: place
            for mark, place in true.items()
            if not isinstance(place, float) and mark not in without
        }
        u_mm = np.concatenate([[U_MM[type(place)]] * size_of(place) for place in places.values()])
        exact = Seen(places, np.diag(u_mm**2))
        if rng is None:
            return exact
        errors = exact.slips(rng.normal(0, u_mm))
        return Seen({m: slipped(p, errors[m]) for m, p in places.items()}, exact.covariance)


@pytest.fixture
def bench() -> Callable[..., Bench]:
    """Make a bench for a shipped construction."""

    def make(name: str, **sizes: float) -> Bench:
        return Bench(plan_of(shipped(name), sizes))

    return make
