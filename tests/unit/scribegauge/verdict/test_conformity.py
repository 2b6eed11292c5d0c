"""Probabilities of conformity as the guide's examples and closed forms have them."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import gamma
from scipy.stats import t as student

from scribegauge.verdict.conformity import probability_within

REFERENCE = Path(__file__).parents[4] / "fixtures" / "reference" / "conformity.json"
KNOWN = json.loads(REFERENCE.read_text(encoding="utf-8"))
EXAMPLES = KNOWN["conformance_probability"]["examples"]
CASES = KNOWN["probability_cases"]["cases"]
BEARINGS = KNOWN["guard_band_from_global_risk"]


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example["id"])
def test_the_guides_examples(example):
    limits = example.get("lower", -math.inf), example.get("upper", math.inf)
    p = probability_within(example["y"], example["u"], *limits)
    assert p == pytest.approx(example["p_conform"], abs=1e-8)
    assert p == pytest.approx(example["published"], abs=0.006)


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['y']:g}")
def test_cases_about_a_length_of_50_mm(case):
    p = probability_within(case["y"], case["u"], case["lower"], case["upper"])
    assert p == pytest.approx(case["p_conform"], abs=1e-7)


def test_the_acceptance_limit_of_precision_bearings():
    """Bearings below 2 µm, accepted by a measured value: the risk of a bad one accepted."""
    known, given = BEARINGS["recomputed"], BEARINGS["inputs"]
    prior = gamma(4, scale=0.25)
    tolerance, u = given["upper_tolerance_um"], given["u_um"]

    def risk(limit):
        def accepted(size):
            # What is measured of a size is as uncertain as the size by what is measured.
            return prior.pdf(size) * probability_within(size, u, -math.inf, limit)

        return quad(accepted, tolerance, 10, epsabs=1e-12)[0]

    assert risk(tolerance) == pytest.approx(known["consumer_risk_simple_acceptance"], rel=1e-6)
    limit = brentq(lambda at: risk(at) - given["target_consumer_risk"], 1.0, tolerance)
    assert limit == pytest.approx(known["acceptance_limit_um"], abs=1e-6)


def test_few_readings_have_heavier_tails():
    for freedom in (2, 5, 30):
        p = probability_within(0.1, 0.05, -0.2, 0.2, freedom)
        wanted = student.cdf(2, freedom) - student.cdf(-6, freedom)
        assert p == pytest.approx(wanted, abs=1e-12)
    many = probability_within(0.1, 0.05, -0.2, 0.2, 1e9)
    assert many == pytest.approx(probability_within(0.1, 0.05, -0.2, 0.2), abs=1e-8)


def test_what_is_known_exactly_conforms_or_does_not():
    assert probability_within(0.2, 0.0, -0.2, 0.2) == 1.0
    assert probability_within(0.21, 0.0, -0.2, 0.2) == 0.0


def test_it_is_a_probability_however_far_off():
    for value in np.linspace(-5, 5, 41):
        p = probability_within(value, 0.01, -0.2, 0.2)
        assert 0.0 <= p <= 1.0
        assert p == pytest.approx(probability_within(-value, 0.01, -0.2, 0.2), abs=1e-12)
