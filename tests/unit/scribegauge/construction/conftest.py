"""A plate in numbers only: marks of a construction as a hand scribed and a photo measured them."""

import cmath
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import pytest

from scribegauge.construction.catalogue import shipped
from scribegauge.construction.choice import Chosen, chosen_by
from scribegauge.construction.engine import Frame, run_with_slips
from scribegauge.construction.plan import plan_of
from scribegauge.construction.record import Plan
from scribegauge.construction.seen import Seen, size_of
from scribegauge.construction.values import Circle, Line, Slip, Value, slipped
from scribegauge.figure.assign import Placement
from scribegauge.figure.fit import FigureFit, fit_figure
from scribegauge.figure.layout import ConstructionChoice, Layout, Tolerance
from scribegauge.figure.merge import merge_lines
from scribegauge.marks.record import ArcMark, LineMark, Marks, PrickMark

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


SIDE_MM = 12.0
TURN = np.exp(0.4j)
AT = 34 + 50j


def line(start: complex, end: complex) -> LineMark:
    return LineMark(
        ends_mm=np.array([[start.real, start.imag], [end.real, end.imag]]),
        covariance=np.diag([0.003, 0.0003]) ** 2,
        u_optics_mm=0.008,
        u_optics_turn_mm=0.003,
        width_mm=0.07,
        contrast=-9.0,
        look="dark",
        seen=1.0,
        log10_nfa=-30.0,
        hinted=False,
    )


def arc(circle: Circle) -> ArcMark:
    return ArcMark(
        centre_mm=np.array([circle.centre.real, circle.centre.imag]),
        radius_mm=circle.radius_mm,
        start_deg=0.0,
        sweep_deg=170.0,
        covariance=np.diag([0.004, 0.004, 0.004]) ** 2,
        u_optics_mm=0.006,
        width_mm=0.07,
        look="dark",
        seen=1.0,
    )


def prick(place: complex) -> PrickMark:
    return PrickMark(np.array([place.real, place.imag]), 0.006, 0.2, 9.0, hinted=False)


def regular(n: int, side_mm: float) -> np.ndarray:
    turn = -2 * np.pi * np.arange(n) / n  # counterclockwise as seen, as the construction goes
    return np.column_stack([np.cos(turn), np.sin(turn)]) * side_mm / (2 * np.sin(np.pi / n))


def layout(name: str, vertices: np.ndarray, order: tuple[str, ...] | None = None) -> Layout:
    choice = ConstructionChoice(name, None, {}, order)
    nothing = Tolerance(None, None)
    return Layout(
        "plate", vertices, tuple("ABCDEFGHIJKLM"[: len(vertices)]), nothing, construction=choice
    )


@dataclass(frozen=True)
class Plate:
    """Marks of a plate, and which layout vertex each of the construction's is."""

    chosen: Chosen
    fit: FigureFit
    marks: Marks


def plate(
    asked: Layout,
    slips: dict,
    *,
    order: tuple[int, ...],
    mirrored: bool = False,
    without: tuple[str, ...] = (),
    pricked: bool = True,
) -> Plate:
    """Scribe a construction so that its vertex k is the layout's vertex order[k]."""
    chosen = chosen_by(asked)
    places = run_with_slips(chosen.plan, slips, Frame())
    moved = {mark: on_plate(place, mirrored) for mark, place in places.items()}
    n = len(order)
    sides = [None] * n
    for k, mark in enumerate(chosen.plan.sides):
        first, second = order[k], order[(k + 1) % n]
        at = first if (first + 1) % n == second else second
        sides[at] = line(moved[mark].start, moved[mark].end)
    vertices = [None] * n
    for k, mark in enumerate(chosen.plan.vertices):
        vertices[order[k]] = moved[mark]
    wanted = np.array([[v.real, v.imag] for v in vertices])
    known = {*chosen.plan.vertices, *chosen.plan.sides, *without}
    others = {m: p for m, p in moved.items() if m not in known}
    pricks = tuple(prick(v) for v in vertices) if pricked else ()
    fit = fit_figure(asked, placed(asked.vertices_mm, wanted), merge_lines([sides]), pricks)
    marks = Marks(
        lines=tuple(line(p.start, p.end) for p in others.values() if isinstance(p, Line)),
        arcs=tuple(arc(p) for p in others.values() if isinstance(p, Circle)),
        pricks=(*pricks, *(prick(p) for p in others.values() if isinstance(p, complex))),
    )
    return Plate(chosen, fit, marks)


def on_plate(place: Value, mirrored: bool) -> Value:  # noqa: FBT001 - of a test
    match place:
        case Line(start, end):
            return Line(there(start, mirrored), there(end, mirrored))
        case Circle(centre, radius):
            return Circle(there(centre, mirrored), radius)
        case complex():
            return there(place, mirrored)
    return place


def there(place: complex, mirrored: bool) -> complex:  # noqa: FBT001 - of a test
    return AT + TURN * (place.conjugate() if mirrored else place)


def placed(vertices: np.ndarray, wanted: np.ndarray) -> Placement:
    start, end = vertices @ [1, 1j], wanted @ [1, 1j]
    turn = np.angle(np.vdot(start - start.mean(), end - end.mean()))
    shift = end.mean() - np.exp(1j * turn) * start.mean()
    return Placement(float(turn), np.array([shift.real, shift.imag]), 1.0)


@pytest.fixture
def lay_out() -> Callable[..., Layout]:
    """Make a layout that names a construction."""
    return layout


@pytest.fixture
def polygon() -> Callable[[int, float], np.ndarray]:
    """Make the vertices of a regular polygon, given number and side."""
    return regular


@pytest.fixture
def scribe() -> Callable[..., Plate]:
    """Scribe a construction and give its marks as a photo would."""
    return plate
