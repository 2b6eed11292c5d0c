"""The construction that a layout names, at the sizes of the layout's figure."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.catalogue import shipped
from scribegauge.construction.method import Figures, figures_of, laid_over, size_names
from scribegauge.construction.plan import plan_of
from scribegauge.construction.record import Construction, Plan
from scribegauge.construction.stepfile import load_construction
from scribegauge.errors import FileFormatError
from scribegauge.figure.layout import ConstructionChoice, Layout
from scribegauge.figure.polygon import side_lengths_mm, signed_area_mm2

# The layout's vertices are given to a few decimals; a hundredth of a millimetre is less than any U.
ALIKE_MM = 0.05

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Order:
    """One way in which the construction's vertices can be the layout's.

    Attributes
    ----------
    layout_of : tuple of int
        For each vertex of the construction, which of the layout's it is.
    mirrored : bool
        Whether the construction then lies mirrored on the plate.
    """

    layout_of: tuple[int, ...]
    mirrored: bool


@dataclass(frozen=True, slots=True)
class Chosen:
    """A construction ready to be compared with a plate.

    Attributes
    ----------
    construction : Construction
    plan : Plan
        At the layout's size.
    figures : Figures
    orders : tuple of Order
        All that the layout's figure allows; a regular figure allows many.
    """

    construction: Construction
    plan: Plan
    figures: Figures
    orders: tuple[Order, ...]


def chosen_by(layout: Layout) -> Chosen | None:
    """Return the construction that a layout names; None where it names none.

    Parameters
    ----------
    layout : Layout

    Raises
    ------
    FileFormatError
        ``construction_unknown``, ``construction_misfit`` (its figure is another than the layout's),
        or as `load_construction`.
    UseError
        ``construction_impossible``.
    """
    choice = layout.construction
    if choice is None:
        return None
    construction = shipped(choice.name) if choice.file is None else load_construction(choice.file)
    plan = _sized(construction, choice, layout)
    figures = figures_of(plan)
    orders = tuple(_orders(figures, choice, layout))
    if not orders:
        raise _misfit(construction, layout, "its intended figure has another shape or size")
    return Chosen(construction, plan, figures, orders)


def _sized(construction: Construction, choice: ConstructionChoice, layout: Layout) -> Plan:
    """Return the construction's plan, its lengths scaled to the layout's perimeter."""
    n = len(layout.vertices_mm)
    sizes = {**({"n": float(n)} if "n" in construction.sizes else {}), **choice.sizes}
    try:
        plan = plan_of(construction, sizes)
    except ValueError as error:
        raise _misfit(construction, layout, str(error)) from error
    if len(plan.vertices) != n:
        raise _misfit(construction, layout, f"its figure has {len(plan.vertices)} vertices")
    if not set(choice.sizes) & set(size_names(construction)):
        wanted = float(side_lengths_mm(layout.vertices_mm).sum())
        factor = wanted / float(side_lengths_mm(figures_of(plan).intended_mm).sum())
        lengths = {k: construction.sizes[k] * factor for k in size_names(construction)}
        plan = plan_of(construction, {**sizes, **lengths})
    return plan


def _orders(figures: Figures, choice: ConstructionChoice, layout: Layout) -> Iterator[Order]:
    """Yield every order under which the construction's figure lies on the layout's."""
    n = len(figures.intended_mm)
    hands = np.sign(signed_area_mm2(figures.intended_mm) * signed_area_mm2(layout.vertices_mm))
    for way in (1, -1):
        mirrored = bool(hands * way < 0)
        shape = figures.intended_mm * ([1, -1] if mirrored else [1, 1])
        for start in range(n):
            order = tuple((start + way * k) % n for k in range(n))
            if choice.vertices and tuple(layout.names[k] for k in order) != choice.vertices:
                continue
            wanted = layout.vertices_mm[list(order)]
            off = np.linalg.norm(laid_over(shape, wanted) - wanted, axis=1).max()
            if off < ALIKE_MM:
                yield Order(order, mirrored)


def _misfit(construction: Construction, layout: Layout, why: str) -> FileFormatError:
    return FileFormatError(
        "construction_misfit",
        f"The construction {construction.name} does not make the figure of {layout.title}: {why}.",
        "Name another construction, or give its sizes and the order of the vertices under "
        "[construction] in the layout file.",
    )
