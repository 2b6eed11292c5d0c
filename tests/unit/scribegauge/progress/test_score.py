"""From readings to scores: exact cases, and values drawn at random."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scribegauge.progress.measures import MEASURES
from scribegauge.progress.score import score_of
from scribegauge.progress.shape import figure_of, looks_the_same_turned
from scribegauge.progress.sizefactor import size_factor
from scribegauge.progress.spread import drift_of, root_mean_square, root_mean_square_distance
from scribegauge.report.constructionreading import AngleParts, ConstructionReading, SideParts
from scribegauge.report.jsonfile import from_json
from scribegauge.report.markreading import CornerReading
from scribegauge.report.reading import Reading, Term
from scribegauge.simulate.winter import Hand, practise

HEPTAGON = Path(__file__).parents[4] / "fixtures" / "readings" / "heptagon.json"


@pytest.fixture(scope="module")
def square() -> Reading:
    (reading,) = practise(Hand(0.06), 1, seed=2)
    return reading


def test_a_real_reading_has_all_numbers() -> None:
    reading = from_json(HEPTAGON.read_text())
    score = score_of(reading)
    off = np.array([side.deviation_mm for side in reading.sides])
    u = np.array([side.U_mm for side in reading.sides]) / 2
    assert score.side_rms_mm is not None
    assert score.side_largest_mm is not None
    raw = float(np.mean(off**2) - np.mean(u**2))
    assert score.side_rms_mm.value == pytest.approx(np.sqrt(max(raw, 0)), rel=1e-9)
    assert score.side_largest_mm.value == pytest.approx(np.abs(off).max())
    assert score.prick_mm is None  # it has none
    assert score.line_width_mm is not None
    assert score.corners == ()  # a regular figure has no corner of its own
    assert score.camera == "exif: TestCam cam2"


def test_what_measuring_adds_is_taken_off_and_u_holds() -> None:
    rng = np.random.default_rng(3)
    spread = (np.full((4, 4), 1.0) + np.diag([3.0, 2.0, 4.0, 3.0])) * 1e-4
    true = np.array([0.07, -0.02, 0.05, -0.06])
    wanted = np.sqrt(np.mean(true**2))
    found = [
        root_mean_square(true + rng.multivariate_normal(np.zeros(4), spread), spread, 0.0)
        for _ in range(4000)
    ]
    mean_square = np.mean([number.value**2 for number in found])
    assert mean_square == pytest.approx(wanted**2, rel=0.03)
    assert np.mean([number.value for number in found]) == pytest.approx(wanted, rel=0.05)
    assert 0.94 < np.mean([abs(n.value - wanted) <= n.U for n in found]) < 0.995


def test_distances_lose_what_measuring_adds_in_both_directions() -> None:
    rng = np.random.default_rng(4)
    u = np.full(3, 0.03)
    true = np.array([0.05, 0.08, 0.02])
    found = []
    for _ in range(4000):
        x, y = true + rng.normal(0, u), rng.normal(0, u)
        found.append(root_mean_square_distance(np.hypot(x, y), u, 0.0))
    squares = np.array([number.value**2 for number in found])
    # Cut off at 0, the mean is a little high.
    assert squares.mean() == pytest.approx(np.mean(true**2), rel=0.12)
    wanted = np.sqrt(np.mean(true**2))
    assert np.mean([abs(n.value - wanted) <= n.U for n in found]) > 0.93


def test_the_shared_part_is_that_of_sheet_and_lens(square: Reading) -> None:
    half = tuple(replace(s, terms=(Term("bars", 0.03), Term("optics", 0.04))) for s in square.sides)
    score = score_of(replace(square, sides=half))
    assert score.side_rms_mm is not None
    assert score.side_rms_mm.U_shared == pytest.approx(0.6 * score.side_rms_mm.U)


def test_a_construction_s_own_error_is_taken_out(square: Reading) -> None:
    parts = tuple(
        SideParts(f"{s.start}-{s.end}", 40, 40.1, s.measured_mm, 0.1, 0.2, 0.04)
        for s in square.sides
    )
    angles = tuple(AngleParts(a.at, 90, 90, 90.5, 0, 0.5, 0.1) for a in square.angles)
    construction = ConstructionReading(
        *("stepped", "Stepped", False, (), (), (), tuple("ABCD"), parts, angles, (), (), None),
        *((), 0.1, (), (), None, ()),
    )
    score = score_of(replace(square, construction=construction))
    u = 0.02 * np.hypot(1, 40 * 1.4e-4 / 0.02)
    assert score.side_rms_mm is not None
    assert score.side_rms_mm.value == pytest.approx(np.sqrt(0.04 - u**2), rel=1e-6)
    assert score.method == "stepped"
    assert score.opening_mm is None  # three steps are too few


def test_dividers_that_open_are_seen_along_the_steps() -> None:
    lengths = np.array([0.00, 0.02, 0.04, 0.06])
    found = drift_of(lengths, np.diag(np.full(4, 1e-4)), 0.5)
    assert found.value == pytest.approx(0.02)
    assert pytest.approx(2 * 0.01 / np.sqrt(5)) == found.U
    assert found.U_shared == pytest.approx(found.U / 2)


def _corner(at: str, before: float, after: float) -> CornerReading:
    nothing = (None,) * 4
    return CornerReading(
        at, "", "", *nothing, 0.0, before, 0.02, 0.0, after, 0.02
    )  # pricks lie `before` and `after` to the right of the lines that come and go


def test_lines_beside_and_turned_from_their_pricks(square: Reading) -> None:
    # Every prick lies 0.04 mm right of its line's beginning and 0.08 mm right of its end.
    corners = tuple(_corner(name, 0.08, 0.04) for name in "ABCD")
    score = score_of(replace(square, corners=corners))
    assert score.aside_mm is not None
    assert score.turned_mrad is not None
    assert score.aside_mm.value == pytest.approx(-0.06)
    # The end lies farther left than the beginning: turned anticlockwise, y running down.
    assert score.turned_mrad.value == pytest.approx(-1.0, rel=0.02)


def test_figures_are_the_same_in_any_size_turn_and_side() -> None:
    sides, angles = [40.0, 26.0, 30.0], [80.0, 60.0, 40.0]
    name = figure_of(sides, angles)
    larger = [1.5 * side for side in sides]
    assert figure_of(larger, angles) == name
    assert figure_of(sides[1:] + sides[:1], angles[1:] + angles[:1]) == name
    # Walked the other way from A: A C B, so sides CA, BC, AB and angles A, C, B.
    assert figure_of([30.0, 26.0, 40.0], [80.0, 40.0, 60.0]) == name
    assert figure_of(sides, [60.0, 80.0, 40.0]) != name
    assert figure_of([], []) == ""


def test_symmetry_is_known() -> None:
    assert looks_the_same_turned([40, 26, 40, 26], [90, 90, 90, 90])
    assert not looks_the_same_turned([40, 26, 30], [80, 60, 40])
    assert not looks_the_same_turned([], [])


def test_sizes_are_compared_as_the_standard_has_it() -> None:
    # ISO 286-1 with D = √(30·50) and √(50·80): i = 1.56 and 1.86 µm.
    ratio = size_factor((50 * 80) ** 0.5) / size_factor((30 * 50) ** 0.5)
    assert ratio == pytest.approx(1.86 / 1.56, abs=0.01)
    assert size_factor(50.0) == pytest.approx(1.0)
    assert len({measure.name for measure in MEASURES}) == 5
