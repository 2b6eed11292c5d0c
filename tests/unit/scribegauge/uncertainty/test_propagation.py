"""The budget's engine on the guide's published examples, and two other libraries beside it."""

import json
from itertools import combinations
from pathlib import Path

import GTC
import numpy as np
import pytest
import uncertainties
from uncertainties import umath

from scribegauge.uncertainty.propagation import (
    COVERAGE_FACTOR,
    Budget,
    Cause,
    coverage_factor,
    propagate,
    sensitivities,
)

REFERENCE = Path(__file__).parents[4] / "fixtures" / "reference" / "uncertainty.json"
KNOWN = json.loads(REFERENCE.read_text(encoding="utf-8"))
H1, H2, H3 = (
    KNOWN[name]
    for name in (
        "end_gauge_H1",
        "simultaneous_resistance_reactance_H2",
        "thermometer_calibration_H3",
    )
)


def budget(model, at, causes) -> Budget:
    """Carry causes through a model, stepping one standard uncertainty (GUM 5.1.3, note 2)."""
    at = np.asarray(at, float)
    steps = np.zeros(len(at))
    for cause in causes:
        steps[list(cause.inputs)] += np.sqrt(np.diag(cause.covariance)) * 1e-2
    return propagate(model(at), sensitivities(model, at, steps), causes)


# H.1: calibration of an end gauge. ---------------------------------------------------------------
GAUGE = H1["inputs"]


def end_gauge(inputs):
    ls, d, alpha, theta, dalpha, dtheta = np.moveaxis(inputs, -1, 0)
    return (ls + d - ls * (dalpha * theta + alpha * dtheta))[..., None]


def gauge_causes():
    return [
        Cause(name, [k], np.array([[row["u"] ** 2]]), row["dof"] or np.inf)
        for k, (name, row) in enumerate(GAUGE.items())
    ]


def gauge_budget():
    return budget(end_gauge, [row["value"] for row in GAUGE.values()], gauge_causes())


def test_the_end_gauge_as_published():
    found, said, close = gauge_budget(), H1["published"], H1["tolerance"]
    assert found.values[0] == pytest.approx(said["l_mm"] * 1e6, abs=0.5)
    assert found.combined[0] == pytest.approx(said["u_c_nm"], abs=close["u_c_nm"])
    freedom = found.degrees_of_freedom[0]
    assert freedom == pytest.approx(said["nu_eff_unrounded"], abs=close["nu_eff"])
    assert np.floor(freedom) == said["nu_eff"]
    k = coverage_factor(np.floor(freedom), 0.99)
    assert k == pytest.approx(said["t99_16"], abs=0.006)
    expanded = k * found.combined[0]
    assert expanded == pytest.approx(said["U99_nm"], abs=close["U99_nm"])


def test_the_end_gauge_to_all_digits():
    found, exact = gauge_budget(), H1["recomputed"]
    assert found.combined[0] == pytest.approx(exact["u_c_nm"], rel=1e-6)
    assert found.degrees_of_freedom[0] == pytest.approx(exact["nu_eff"], rel=1e-6)
    for name, share in exact["contributions_nm"].items():
        assert found.standard(name)[0] == pytest.approx(share, rel=1e-6, abs=1e-6)


def test_the_end_gauge_by_two_other_libraries():
    found = gauge_budget()
    plain = [uncertainties.ufloat(row["value"], row["u"]) for row in GAUGE.values()]
    ls, d, alpha, theta, dalpha, dtheta = plain
    other = ls + d - ls * (dalpha * theta + alpha * dtheta)
    assert found.values[0] == pytest.approx(other.n, rel=1e-12)
    assert found.combined[0] == pytest.approx(other.s, rel=1e-6)
    ls, d, alpha, theta, dalpha, dtheta = (
        GTC.ureal(row["value"], row["u"], row["dof"] or np.inf) for row in GAUGE.values()
    )
    third = ls + d - ls * (dalpha * theta + alpha * dtheta)
    assert found.combined[0] == pytest.approx(third.u, rel=1e-6)
    assert found.degrees_of_freedom[0] == pytest.approx(third.df, rel=1e-6)


# H.2: resistance, reactance and impedance from five sets of readings. ----------------------------
SETS = np.array([H2["data"][name] for name in ("V_volt", "I_ampere", "phi_rad")])
H2_MEAN, H2_COVARIANCE = SETS.mean(axis=1), np.cov(SETS) / 5


def impedance(inputs):
    v, i, phi = np.moveaxis(inputs, -1, 0)
    return np.stack([v * np.cos(phi) / i, v * np.sin(phi) / i, v / i], axis=-1)


def impedance_budget(covariance=H2_COVARIANCE):
    return budget(impedance, H2_MEAN, [Cause("readings", range(3), covariance, 4)])


def test_resistance_reactance_and_impedance_as_published():
    found, said, close = impedance_budget(), H2["published"], H2["tolerance"]
    for k, name in enumerate("RXZ"):
        assert found.values[k] == pytest.approx(said[name], abs=close["values_ohm"])
        assert found.combined[k] == pytest.approx(said[f"u_{name}"], abs=close["u_ohm"])
    for (j, a), (k, b) in combinations(enumerate("RXZ"), 2):
        r = found.correlation[j, k]
        assert r == pytest.approx(said[f"r_{a}_{b}"], abs=close["r"])
        assert r == pytest.approx(H2["recomputed"][f"r_{a}_{b}"], abs=1e-5)
    assert found.combined == pytest.approx(
        [H2["recomputed"][f"u_{name}"] for name in "RXZ"], rel=1e-6
    )
    # Readings taken together: all three rest on five sets.
    assert found.degrees_of_freedom == pytest.approx(4.0)


def test_without_the_readings_correlation_impedance_is_wrong():
    alone = impedance_budget(np.diag(np.diag(H2_COVARIANCE)))
    assert abs(alone.combined[0] - H2["published"]["u_R"]) > 0.1


def test_impedance_by_two_other_libraries():
    found = impedance_budget()
    v, i, phi = uncertainties.correlated_values(H2_MEAN, H2_COVARIANCE)
    others = [v * umath.cos(phi) / i, v * umath.sin(phi) / i, v / i]
    covariance = np.array(uncertainties.covariance_matrix(others))
    np.testing.assert_allclose(found.covariance, covariance, rtol=1e-6)
    u = np.sqrt(np.diag(H2_COVARIANCE))
    v, i, phi = GTC.multiple_ureal(H2_MEAN.tolist(), u.tolist(), 4)
    for (j, a), (k, b) in combinations(enumerate((v, i, phi)), 2):
        GTC.set_correlation(float(H2_COVARIANCE[j, k] / (u[j] * u[k])), a, b)
    others = [v * GTC.cos(phi) / i, v * GTC.sin(phi) / i, v / i]
    for k, other in enumerate(others):
        assert found.combined[k] == pytest.approx(other.u, rel=1e-6)
        assert found.degrees_of_freedom[k] == pytest.approx(other.df, rel=1e-6)
    assert found.correlation[0, 2] == pytest.approx(
        GTC.get_correlation(others[0], others[2]), abs=1e-6
    )


# H.3: a thermometer's calibration line. ----------------------------------------------------------
READ = np.array(H3["data"]["t_degC"]) - H3["data"]["t0_degC"]
OFF = np.array(H3["data"]["b_degC"])
FREEDOM = len(READ) - 2


def line_fit(readings):
    """Return intercept, slope and the correction at 30 degrees, from readings (..., N)."""
    design = np.column_stack([np.ones(len(READ)), READ])
    y = readings @ np.linalg.pinv(design).T
    return np.concatenate([y, (y[..., 0] + y[..., 1] * 10.0)[..., None]], axis=-1)


def thermometer_budget():
    y = line_fit(OFF)
    rest = OFF - (y[0] + y[1] * READ)
    variance = float(rest @ rest) / FREEDOM
    scatter = Cause("readings", range(len(OFF)), variance * np.eye(len(OFF)), FREEDOM)
    return np.sqrt(variance), budget(line_fit, OFF, [scatter])


def test_the_thermometer_as_published():
    s, found = thermometer_budget()
    said, exact = H3["published"], H3["recomputed"]
    wanted = [("y1", 0), ("y2", 1), ("b30", 2)]
    for name, k in wanted:
        assert found.values[k] == pytest.approx(said[name], abs=6e-5)
        assert found.combined[k] == pytest.approx(said[f"u_{name}"], abs=6e-5)
        assert found.combined[k] == pytest.approx(exact[f"u_{name}"], rel=1e-6)
    assert s == pytest.approx(exact["s"], rel=1e-6)
    assert found.correlation[0, 1] == pytest.approx(exact["r"], abs=1e-6)
    assert found.degrees_of_freedom == pytest.approx(said["dof"])


def test_from_slope_and_intercept_the_covariance_is_wanted():
    _, found = thermometer_budget()

    def correction(y):
        return (y[..., 0] + y[..., 1] * 10.0)[..., None]

    both = found.covariance[:2, :2]
    whole = budget(correction, found.values[:2], [Cause("line", [0, 1], both, FREEDOM)])
    assert whole.combined[0] == pytest.approx(H3["published"]["u_b30"], abs=6e-5)
    parts = [Cause("line", [k], both[k : k + 1, k : k + 1], FREEDOM) for k in (0, 1)]
    apart = budget(correction, found.values[:2], parts)
    assert apart.combined[0] == pytest.approx(H3["recomputed"]["b30_without_covariance_u"])


def test_the_thermometer_by_another_library():
    s, found = thermometer_budget()
    fit = GTC.type_a.line_fit(READ.tolist(), OFF.tolist())
    intercept, slope = fit.a_b
    other = intercept + slope * 10.0
    assert found.combined[:2] == pytest.approx([intercept.u, slope.u], rel=1e-6)
    assert found.combined[2] == pytest.approx(other.u, rel=1e-6)
    assert found.degrees_of_freedom[2] == pytest.approx(other.df, rel=1e-6)
    readings = [uncertainties.ufloat(value, s) for value in OFF]
    weights = np.linalg.pinv(np.column_stack([np.ones(len(READ)), READ]))
    y = [sum(w * r for w, r in zip(row, readings, strict=True)) for row in weights]
    assert found.combined[2] == pytest.approx((y[0] + 10 * y[1]).s, rel=1e-6)


# Degrees of freedom and coverage factors. ---------------------------------------------------------
def test_the_guides_example_of_effective_degrees_of_freedom():
    example = KNOWN["effective_degrees_of_freedom"]["example"]
    shares = np.array(example["relative_u_percent"])
    causes = [
        Cause(f"x{k}", [k], np.array([[share**2]]), dof)
        for k, (share, dof) in enumerate(zip(shares, example["dof"], strict=True))
    ]
    found = budget(lambda x: x.sum(axis=-1, keepdims=True), np.zeros(3), causes)
    assert found.combined[0] == pytest.approx(example["u_c_rel_percent"], rel=1e-6)
    assert found.degrees_of_freedom[0] == pytest.approx(example["nu_eff"], rel=1e-6)


def test_degrees_of_freedom_lie_between_the_least_and_the_sum():
    rng = np.random.default_rng(5)
    for _ in range(20):
        freedom, u = rng.uniform(1, 30, 4), rng.uniform(0.1, 3, 4)
        causes = [Cause(f"x{k}", [k], np.array([[u[k] ** 2]]), freedom[k]) for k in range(4)]
        found = budget(lambda x: x.sum(axis=-1, keepdims=True), np.zeros(4), causes)
        assert freedom.min() - 1e-9 <= found.degrees_of_freedom[0] <= freedom.sum() + 1e-9


def test_what_rests_on_no_readings_has_endless_freedom():
    causes = [Cause("x", [0], np.array([[4.0]]))]
    found = budget(lambda x: 3 * x, np.zeros(1), causes)
    assert np.isinf(found.degrees_of_freedom[0])
    assert found.expanded[0] == pytest.approx(COVERAGE_FACTOR * 6.0)


@pytest.mark.parametrize("row", KNOWN["t_factors_G2"]["full"], ids=lambda row: str(row[0]))
def test_coverage_factors_as_tabled(row):
    freedom = float(row[0])
    levels = (0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973)
    for probability, k in zip(levels, row[1:], strict=True):
        assert coverage_factor(freedom, probability) == pytest.approx(k, rel=1e-6)


# Slopes. ------------------------------------------------------------------------------------------
def test_causes_of_one_name_are_one_term():
    causes = [Cause("a", [0], np.array([[9.0]])), Cause("a", [1], np.array([[16.0]]))]
    found = budget(lambda x: x.sum(axis=-1, keepdims=True), np.zeros(2), causes)
    assert set(found.terms) == {"a"}
    assert found.standard("a")[0] == pytest.approx(5.0)


def test_slopes_of_a_curved_model_on_stacks_of_inputs():
    def model(x):
        return np.stack([x[..., 0] * x[..., 1] ** 2, np.sin(x[..., 0])], axis=-1)

    at = np.array([0.7, 3.0])
    slopes = sensitivities(model, at, np.array([1e-4, 1e-4]))
    wanted = [[9.0, 2 * 0.7 * 3.0], [np.cos(0.7), 0.0]]
    np.testing.assert_allclose(slopes, wanted, rtol=1e-7, atol=1e-9)
