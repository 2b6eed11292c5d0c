"""Random trials on the published examples of JCGM 101, and clause 8's comparison."""

import json
from pathlib import Path

import numpy as np
import pytest

from scribegauge.uncertainty.propagation import (
    Cause,
    coverage_factor,
    propagate,
    rectangular,
    sensitivities,
)
from scribegauge.uncertainty.trials import (
    FEWEST,
    Trials,
    compare,
    numerical_tolerance,
    run_trials,
    shortest_interval,
)

REFERENCE = Path(__file__).parents[4] / "fixtures" / "reference" / "uncertainty.json"
KNOWN = json.loads(REFERENCE.read_text(encoding="utf-8"))
NORMAL, EVEN, ONE_WIDE = KNOWN["additive_model_four_inputs"]["cases"]
GAUGE = KNOWN["gauge_block_monte_carlo"]


def add(inputs):
    return inputs.sum(axis=-1, keepdims=True)


def both(model, at, causes, count=200_000, steps=None):
    at = np.asarray(at, float)
    slopes = sensitivities(model, at, np.full(len(at), 1e-3) if steps is None else steps)
    budget = propagate(model(at), slopes, causes)
    return budget, run_trials(model, at, causes, count, 11, np.subtract)


def four(sizes, **kind):
    return [Cause(f"x{k}", [k], np.array([[u**2]]), **kind) for k, u in enumerate(sizes)]


def ends(trials):
    return [trials.low[0], trials.high[0]]


def test_four_normal_inputs():
    budget, trials = both(add, np.zeros(4), four([1, 1, 1, 1]))
    assert budget.combined[0] == pytest.approx(NORMAL["u"])
    # 200 000 draws give a standard deviation to 0.16 %.
    assert trials.u[0] == pytest.approx(NORMAL["u"], rel=0.006)
    assert trials.mean[0] == pytest.approx(NORMAL["y"], abs=0.02)
    assert ends(trials) == pytest.approx(NORMAL["interval95"], abs=4 * trials.u_ends[0])
    assert trials.u_ends[0] < 0.06
    assert compare(budget, trials).agrees == (True,)


def test_four_rectangular_inputs():
    budget, trials = both(add, np.zeros(4), four([1, 1, 1, 1], draw=rectangular))
    assert ends(trials) == pytest.approx(EVEN["interval95_exact"], abs=4 * trials.u_ends[0])
    assert trials.high[0] - trials.low[0] == pytest.approx(2 * 3.8794, abs=0.02)
    assert compare(budget, trials).agrees == (True,)


def test_one_rectangular_input_ten_times_as_wide():
    budget, trials = both(add, np.zeros(4), four([1, 1, 1, 10], draw=rectangular))
    published = ONE_WIDE["published_first_order"]
    assert budget.combined[0] == pytest.approx(published["u"], abs=0.05)
    half = coverage_factor(np.inf, 0.95) * budget.combined[0]
    assert half == pytest.approx(published["interval95"][1], abs=0.05)
    said = ONE_WIDE["published_monte_carlo_interval95"]
    # The top is nearly flat: where the interval lies is uncertain, its length is not.
    assert ends(trials) == pytest.approx(said, abs=4 * trials.u_ends[0])
    assert trials.high[0] - trials.low[0] == pytest.approx(said[1] - said[0], abs=0.1)
    agreement = compare(budget, trials, figures=2)
    assert agreement.tolerance[0] == pytest.approx(0.5)
    assert agreement.agrees == (False,)
    assert agreement.wider == (False,)


def test_few_readings_scatter_wider_than_first_order():
    causes = [Cause("x", [0], np.array([[1.0]]), 5)]
    budget, trials = both(lambda x: x, np.zeros(1), causes, count=400_000)
    # Student's t with 5 degrees of freedom: variance 5/3, 95 % within 2.571.
    assert trials.u[0] == pytest.approx(np.sqrt(5 / 3), rel=0.02)
    assert ends(trials) == pytest.approx([-2.571, 2.571], abs=4 * trials.u_ends[0])
    # The budget's own interval at 95 % takes the degrees of freedom into account.
    assert compare(budget, trials).agrees == (True,)


def test_readings_of_several_things_at_once_share_their_degrees_of_freedom():
    causes = [Cause("x", [0, 1], np.eye(2), 3)]
    trials = run_trials(add, np.zeros(2), causes, 200_000, 1, np.subtract)
    # One spread, known from few readings, for both: their sum is Student's t as each of them is.
    half = (trials.high[0] - trials.low[0]) / 2
    assert half == pytest.approx(3.182 * np.sqrt(2), rel=0.01)


# JCGM 101, 9.5: a gauge block. --------------------------------------------------------------------
def arcsine(random, shape):
    return np.sqrt(2.0) * np.sin(2 * np.pi * random.random(shape))


def trapezoid(half, inexact):
    """Draw from a rectangle whose limits are themselves known to `inexact`, at variance 1."""

    def draw(random, shape):
        low = -half - inexact + 2 * inexact * random.random(shape)
        drawn = low + (-2 * low) * random.random(shape)
        return drawn / np.sqrt(half**2 / 3 + inexact**2 / 9)

    return draw


def gauge_causes():
    def one(name, k, u, dof=np.inf, **kind):
        return Cause(name, [k], np.array([[u**2]]), dof, **kind)

    return [
        one("Ls", 0, 25.0, 18),
        one("D", 1, 6.0, 24),
        one("d1", 2, 4.0, 5),
        one("d2", 3, 7.0, 8),
        one("alpha_s", 4, 2e-6 / np.sqrt(3), draw=rectangular),
        one("theta0", 5, 0.2),
        one("Delta", 6, 0.5 / np.sqrt(2), draw=arcsine),
        one("dalpha", 7, np.sqrt(1e-6**2 / 3 + 1e-7**2 / 9), draw=trapezoid(1e-6, 1e-7)),
        one("dtheta", 8, np.sqrt(0.05**2 / 3 + 0.025**2 / 9), draw=trapezoid(0.05, 0.025)),
    ]


def gauge_block(inputs):
    ls, d, d1, d2, alpha, theta0, delta, dalpha, dtheta = np.moveaxis(inputs, -1, 0)
    off = ls * (dalpha * (theta0 + delta) + alpha * dtheta)
    return (ls + d + d1 + d2 - off - 5e7)[..., None]


def test_the_gauge_block_as_published():
    at = np.array([50000623.0, 215, 0, 0, 11.5e-6, -0.1, 0, 0, 0])
    steps = np.array([1.0, 1, 1, 1, 1e-8, 1e-2, 1e-2, 1e-8, 1e-4])
    budget, trials = both(gauge_block, at, gauge_causes(), steps=steps)
    first, second = GAUGE["published"]["first_order"], GAUGE["published"]["monte_carlo"]
    assert budget.values[0] == pytest.approx(first["y"], abs=0.5)
    assert budget.combined[0] == pytest.approx(first["u"], abs=0.5)
    assert trials.mean[0] == pytest.approx(second["y"], abs=0.5)
    assert trials.u[0] == pytest.approx(second["u"], abs=0.5)
    assert trials.u[0] == pytest.approx(GAUGE["recomputed"]["u"], abs=0.3)


# The machinery. -----------------------------------------------------------------------------------
def test_the_shortest_interval_of_a_lopsided_distribution():
    # Exponential: the shortest 95 % begin at 0 and end at -ln 0.05.
    rows = -np.log(np.linspace(1e-6, 1, 100_001))[:, None]
    low, high = shortest_interval(rows, 0.95)
    assert low[0] == pytest.approx(0.0, abs=1e-3)
    assert high[0] == pytest.approx(-np.log(0.05), abs=1e-3)


def test_what_was_not_measured_stays_so_and_the_rest_does_not():
    def model(x):
        return np.stack([x[..., 0], np.full(x.shape[:-1], np.nan)], axis=-1)

    budget, trials = both(model, np.zeros(1), four([1]), count=FEWEST)
    assert np.isnan([trials.mean[1], trials.u[1], trials.low[1], trials.high[1]]).all()
    assert trials.u[0] == pytest.approx(1, rel=0.05)
    assert compare(budget, trials).agrees == (True, None)


def test_the_same_seed_gives_the_same_numbers_and_another_others():
    one, again, other = (
        run_trials(add, np.zeros(4), four([1] * 4), FEWEST, seed, np.subtract) for seed in (4, 4, 5)
    )
    assert (one.low == again.low).all()
    assert (one.u == again.u).all()
    assert (one.u != other.u).all()


def test_trials_come_in_whole_batches_and_never_too_few():
    few = run_trials(add, np.zeros(4), four([1] * 4), 1, 4, np.subtract)
    assert few.count == FEWEST
    assert run_trials(add, np.zeros(4), four([1] * 4), 20_001, 4, np.subtract).count == 30_000


@pytest.mark.parametrize(
    ("u", "figures", "tolerance"),
    [(2.0, 2, 0.05), (10.1, 2, 0.5), (31.7, 2, 0.5), (0.0196, 1, 0.005), (0.00996, 1, 0.005),
     (0.00035, 1, 0.00005), (0.996, 2, 0.05)],
)  # fmt: skip
def test_numerical_tolerances(u, figures, tolerance):
    assert numerical_tolerance(np.array([u]), figures)[0] == pytest.approx(tolerance)


def test_a_curved_model_is_told_from_a_straight_one():
    def curved(x):
        return x**2

    # About its lowest point a parabola has no slope and first order sees no uncertainty at all.
    budget, trials = both(curved, np.array([0.2]), four([1]), count=FEWEST)
    agreement = compare(budget, trials)
    assert agreement.agrees == (False,)
    assert agreement.wider == (True,)


def test_a_difference_within_the_trials_own_scatter_decides_nothing():
    budget, trials = both(add, np.zeros(4), four([1] * 4), count=FEWEST)
    # Two digits of 2.0 are 0.05, and ends from so few trials are known no better.
    assert compare(budget, trials, figures=3).agrees == (None,)


@pytest.mark.parametrize(
    ("off", "agrees"), [(0.0, True), (0.5, True), (0.7, None), (1.3, None), (1.5, False)]
)
@pytest.mark.parametrize("end", ["low", "high"])
def test_clause_8_with_the_trials_own_scatter(off, agrees, end):
    budget, _ = both(add, np.zeros(4), four([1] * 4), count=FEWEST)
    half, tolerance = 2 * coverage_factor(np.inf, 0.95), 0.5
    ends = {"low": -half, "high": half}
    ends[end] -= off * tolerance
    one = {name: np.array([value]) for name, value in ends.items()}
    trials = Trials(FEWEST, 1, np.zeros(1), np.array([2.0]), **one, u_ends=np.array([0.1]))
    # To one digit of 2.0: half a unit; its ends are known to 0.2 (k = 2), 0.4 of that.
    assert compare(budget, trials).agrees == (agrees,)
