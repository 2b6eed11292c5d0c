"""Shipped constructions against published and independently computed values."""

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from scribegauge.construction.catalogue import names, shipped
from scribegauge.construction.engine import run_exactly
from scribegauge.construction.method import figures_of, laid_over
from scribegauge.construction.plan import plan_of
from scribegauge.construction.record import Plan
from scribegauge.construction.values import Value
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm

REFERENCE = Path(__file__).parents[4] / "fixtures" / "reference"
PUBLISHED: dict[str, Any] = json.loads((REFERENCE / "constructions.json").read_text("utf-8"))
BY_ID = {row["id"]: row for row in PUBLISHED["constructions"]}
POLYGONS = json.loads((REFERENCE / "regular_polygons.json").read_text("utf-8"))["polygons"]


def run(name: str, **sizes: float) -> tuple[Plan, dict[str, Value]]:
    plan = plan_of(shipped(name), sizes)
    return plan, run_exactly(plan)


def dms(angle_deg: float) -> str:
    degrees, rest = divmod(angle_deg * 3600, 3600)
    minutes, seconds = divmod(rest, 60)
    return f"{degrees:.0f}°{minutes:02.0f}′{seconds:05.2f}″"  # noqa: RUF001 - as printed


@pytest.mark.parametrize(
    ("name", "row", "sizes"),
    [
        ("fixed-opening-pentagon", "fixed_opening_pentagon", {"side_mm": 1}),
        ("pentagon-in-circle", "pentagon_in_circle_via_half_radius", {"radius_mm": 1}),
        ("pentagon-on-side", "pentagon_on_given_side", {"side_mm": 1}),
        ("hexagon-by-stepping", "hexagon_by_stepping_radius", {"radius_mm": 1}),
        ("equilateral-triangle", "equilateral_triangle", {"side_mm": 1}),
        ("square-in-circle", "square_in_circle", {"radius_mm": 1}),
        ("octagon-in-square", "octagon_in_square", {"square_mm": 1}),
    ],
)
def test_vertices_are_the_published_ones(name: str, row: str, sizes: dict[str, float]) -> None:
    figures = figures_of(plan_of(shipped(name), sizes))
    published = np.array(BY_ID[row]["coordinates"], dtype=np.float64) * [1, -1]  # y up there
    n = len(published)
    orders = [np.roll(published[::way], k, axis=0) for way in (1, -1) for k in range(n)]
    off = [np.abs(laid_over(figures.method_mm, order) - order).max() for order in orders]
    assert min(off) < 1e-12


def test_the_fixed_opening_pentagon_to_the_arc_second() -> None:
    figures = figures_of(plan_of(shipped("fixed-opening-pentagon"), {"side_mm": 50}))
    angles = [dms(angle) for angle in inside_angles_deg(figures.method_mm)]
    base, side, apex = "108°21′58.03″", "107°02′16.17″", "109°11′31.59″"  # noqa: RUF001 - as printed
    assert angles == [base, base, side, apex, side]
    np.testing.assert_allclose(side_lengths_mm(figures.method_mm), 50, atol=1e-12)
    laid = laid_over(figures.method_mm, figures.intended_mm)
    away = np.linalg.norm(laid - figures.intended_mm, axis=1)
    assert away.max() == pytest.approx(0.378, abs=5e-4)
    assert int(away.argmax()) == 3  # the apex


@pytest.mark.parametrize(
    ("name", "row", "sizes"),
    [
        ("heptagon-half-chord", "heptagon_half_triangle_side", {"radius_mm": 1}),
        ("hendecagon-nine-sixteenths", "hendecagon_nine_sixteenths", {"radius_mm": 1}),
        ("tridecagon-half-radius", "tridecagon_half_radius", {"radius_mm": 1}),
        ("divided-diameter", "divide_diameter_5gon", {"radius_mm": 1, "n": 5}),
        ("divided-diameter", "divide_diameter_7gon", {"radius_mm": 1, "n": 7}),
        ("divided-diameter", "divide_diameter_9gon", {"radius_mm": 1, "n": 9}),
        ("nonagon-three-leaf", "nonagon_fish_bladder", {"leaf_radius_mm": 1}),
    ],
)
def test_chord_step_and_closing_gap_are_the_published_ones(
    name: str, row: str, sizes: dict[str, float]
) -> None:
    plan, places = run(name, **sizes)
    vertices = np.array([complex(places[mark]) for mark in plan.vertices])  # type: ignore[arg-type]
    centre = complex(places["O"])  # type: ignore[arg-type]
    arms = vertices - centre
    published = BY_ID[row]
    chord = np.abs(np.diff(vertices)) / abs(arms[0])
    np.testing.assert_allclose(chord, float(published["chord_over_radius"]), rtol=1e-12)
    step = np.degrees(np.abs(np.angle(arms[1:] / arms[:-1])))
    np.testing.assert_allclose(step, float(published["step_deg"]), rtol=1e-12)
    gap_deg = 360 - len(vertices) * step[0]
    assert gap_deg == pytest.approx(float(published["closing_gap_deg"]), abs=1e-10)


def test_the_golden_section_the_vesica_and_the_right_angle() -> None:
    _, places = run("golden-section", length_mm=1)
    assert abs(complex(places["G"]) - complex(places["A"])) == pytest.approx(  # type: ignore[arg-type]
        float(BY_ID["golden_section_of_segment"]["AG"]), abs=1e-12
    )
    _, places = run("vesica", radius_mm=1)
    chord = abs(complex(places["C"]) - complex(places["D"]))  # type: ignore[arg-type]
    assert chord == pytest.approx(math.sqrt(3), abs=1e-12)
    figures = figures_of(plan_of(shipped("right-angle-3-4-5")))
    assert inside_angles_deg(figures.method_mm)[0] == pytest.approx(90, abs=1e-12)


@pytest.mark.parametrize("n", range(3, 31))
def test_hole_circles_have_the_handbooks_chords(n: int) -> None:
    figures = figures_of(plan_of(shipped("hole-circle"), {"pitch_circle_mm": 1, "n": n}))
    chord = float(PUBLISHED["chords_for_diameter_1"]["by_n"][str(n)])
    sides = side_lengths_mm(figures.method_mm * 1000)  # larger than what counts as one point
    np.testing.assert_allclose(sides, chord * 1000, rtol=1e-11)


@pytest.mark.parametrize(
    "name",
    [name for name in names() if shipped(name).exact and plan_of(shipped(name)).vertices],
)
def test_exact_methods_give_equal_sides_and_the_regular_angle(name: str) -> None:
    if name == "right-angle-3-4-5":
        return
    figures = figures_of(plan_of(shipped(name)))
    n = len(figures.method_mm)
    row = next(polygon for polygon in POLYGONS if polygon["n"] == n)
    angles = inside_angles_deg(figures.method_mm)
    np.testing.assert_allclose(angles, float(row["interior_angle_deg"]), rtol=1e-12)
    sides = side_lengths_mm(figures.method_mm)
    np.testing.assert_allclose(sides, sides[0], rtol=1e-12)


@pytest.mark.parametrize("name", [name for name in names() if not shipped(name).exact])
def test_a_method_that_only_comes_near_is_said_to(name: str) -> None:
    figures = figures_of(plan_of(shipped(name)))
    off = inside_angles_deg(figures.method_mm) - inside_angles_deg(figures.intended_mm)
    assert 1e-3 < np.abs(off).max() < 20
    np.testing.assert_allclose(
        inside_angles_deg(figures.intended_mm), 180 - 360 / len(off), atol=1e-9
    )


@pytest.mark.parametrize("name", names())
def test_every_construction_says_where_it_is_published(name: str) -> None:
    construction = shipped(name)
    assert construction.title
    assert construction.sources
    assert all(len(source) > 10 for source in construction.sources)


def test_perpendiculars_and_bisectors() -> None:
    _, places = run("perpendicular-at-a-point")
    base = complex(places["B"]) - complex(places["A"])  # type: ignore[arg-type]
    up = complex(places["Q"]) - complex(places["P"])  # type: ignore[arg-type]
    assert (up / base).real == pytest.approx(0, abs=1e-12)
    _, places = run("perpendicular-bisector")
    middle = (complex(places["A"]) + complex(places["B"])) / 2  # type: ignore[arg-type]
    assert complex(places["M"]) == pytest.approx(middle, abs=1e-12)  # type: ignore[arg-type]
    _, places = run("angle-bisector", angle_deg=64)
    half = complex(places["P"]) - complex(places["O"])  # type: ignore[arg-type]
    assert math.degrees(math.atan2(-half.imag, half.real)) == pytest.approx(32, abs=1e-10)
