"""The decision rule against the standard's cases, and its risks against the normal distribution."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import ndtr

from scribegauge.verdict.decide import decide

REFERENCE = Path(__file__).parents[4] / "fixtures" / "reference" / "decision_rules.json"
RULES = json.loads(REFERENCE.read_text(encoding="utf-8"))
CASES = RULES["three_way_decision"]["cases_50mm_plus_minus_0_30_U_0_05"]
FACTS = RULES["three_way_decision"]["facts"]
SIZES = st.floats(0, 10)


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['y']:g}")
def test_the_standards_cases(case):
    middle = (case["lower"] + case["upper"]) / 2
    half = (case["upper"] - case["lower"]) / 2
    assert decide(case["y"] - middle, case["U"], half) == case["verdict_full_U"]


@pytest.mark.parametrize(
    ("deviation", "word"),
    [
        (0.249, "within"),
        (0.251, "undecided"),
        (0.3, "undecided"),
        (0.349, "undecided"),
        (0.351, "outside"),
    ],
)
@pytest.mark.parametrize("sign", [1, -1])
def test_on_both_sides_of_the_guard_band(deviation, word, sign):
    assert decide(sign * deviation, 0.05, 0.3) == word


def test_the_boundary_itself_is_proof():
    # Numbers that are exact in binary.
    assert decide(0.25, 0.25, 0.5) == "within"
    assert decide(0.75, 0.25, 0.5) == "outside"


@given(SIZES, SIZES, SIZES)
def test_sign_and_unit_do_not_matter(deviation, expanded, tolerance):
    word = decide(deviation, expanded, tolerance)
    assert word == decide(-deviation, expanded, tolerance)
    assert word == decide(4 * deviation, 4 * expanded, 4 * tolerance)


@given(SIZES, SIZES, SIZES)
def test_nothing_is_proven_beyond_its_uncertainty(deviation, expanded, tolerance):
    word = decide(deviation, expanded, tolerance)
    if word == "within":
        assert deviation + expanded <= tolerance * (1 + 1e-12) + 1e-12
    if word == "outside":
        assert deviation - expanded >= tolerance * (1 - 1e-12) - 1e-12
    if expanded > tolerance:
        assert word != "within"


def test_the_risk_at_the_guard_band_is_that_of_two_standard_uncertainties():
    # JCGM 106: a value on the band's edge conforms with this probability when U is 2 u.
    expanded, tolerance = 0.05, 0.3
    edge = tolerance - expanded
    assert decide(edge - 1e-9, expanded, tolerance) == "within"
    assert decide(edge + 1e-9, expanded, tolerance) == "undecided"
    p = ndtr((tolerance - edge) / (expanded / 2))
    assert p == pytest.approx(FACTS["p_at_guard_U_k2"], abs=1e-7)
