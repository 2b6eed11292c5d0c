"""Habits, with all questions taken together; what to practise next; a class side by side."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from scribegauge.progress.classspread import class_spread
from scribegauge.progress.comparisons import holm
from scribegauge.progress.habits import habits_of
from scribegauge.progress.record import Attempt, Finding, Measured, Score
from scribegauge.progress.sizefactor import size_factor
from scribegauge.progress.suggest import suggest
from scribegauge.simulate.winter import Hand, practise

Attempts = Callable[..., tuple[Attempt, ...]]


def changed(attempts: tuple[Attempt, ...], **changes: object) -> tuple[Attempt, ...]:
    return tuple(replace(each, score=replace(each.score, **changes)) for each in attempts)


def test_holm_s_own_rule() -> None:
    # Holm 1979: smallest against 0.05/4, next against 0.05/3, …; the first that fails ends it.
    assert holm([0.01, 0.04, 0.03, 0.005]) == (True, False, False, True)
    assert holm([0.0126, 0.0001]) == (True, True)
    assert holm([0.03, 0.03]) == (False, False)
    assert holm([]) == ()


def test_sides_long_as_a_rule_are_told(attempts_of: Attempts) -> None:
    (habit,) = habits_of(attempts_of(practise(Hand(0.04, long_mm=0.1), 10, seed=1)))
    assert habit.stands
    assert habit.sentence.startswith("Sides come out 0.088 ± 0.030 mm too long")
    assert 0.1 / size_factor(40) - 0.088 < 0.030
    (short,) = habits_of(attempts_of(practise(Hand(0.04, long_mm=-0.1), 10, seed=1)))
    assert "too short as a rule" in short.sentence


def test_what_the_sheet_alone_explains_is_no_habit(attempts_of: Attempts) -> None:
    made = attempts_of(practise(Hand(0.02, long_mm=0.05), 10, seed=1))
    assert habits_of(made)[0].stands
    unmeasured = changed(made, long_mm=Measured(0.05, 0.3, 0.3))
    assert not habits_of(unmeasured)[0].stands


def test_a_hand_without_habits_is_rarely_given_one(attempts_of: Attempts) -> None:
    made = [attempts_of(practise(Hand(0.06), 6, seed=seed)) for seed in range(60)]
    assert sum(any(habit.stands for habit in habits_of(each)) for each in made) <= 9


def test_corners_of_a_figure_without_symmetry(attempts_of: Attempts) -> None:
    made = attempts_of(practise(Hand(0.02), 8, seed=4))
    rng = np.random.default_rng(5)
    leaning = tuple(
        replace(
            each,
            score=replace(
                each.score,
                corners=tuple(
                    (n, m + rng.normal(0, 0.1)) for n, m in (("A", 0), ("B", 0.6), ("C", 0))
                ),
                u_corner_deg=0.05,
            ),
        )
        for each in made
    )
    standing = [habit for habit in habits_of(leaning) if habit.stands]
    assert [habit.name for habit in standing] == ["corner_B"]
    assert standing[0].sentence.startswith("Corner B of Regular figure of 4 sides is 0.")
    assert "begun at corner B" in suggest(leaning, standing).exercise


def test_a_step_that_is_named_again_and_again(attempts_of: Attempts) -> None:
    made = changed(attempts_of(practise(Hand(0.05), 8, seed=4)), method="stepped")
    finding = Finding("opening_set", 3, "The opening of step 3 was 0.2 mm too wide.")
    often = tuple(
        replace(each, score=replace(each.score, findings=(finding,) if k < 5 else ()))
        for k, each in enumerate(made)
    )
    habit = next(h for h in habits_of(often) if h.name == "step_opening_set_3")
    assert habit.stands
    assert habit.sentence.startswith("On 5 of 8 plates step 3 stands out.")
    once = tuple(
        replace(each, score=replace(each.score, findings=(finding,) if k < 1 else ()))
        for k, each in enumerate(made)
    )
    assert not any(h.stands for h in habits_of(once))


NOTHING = Measured(0.001, 0.02, 0.0)


@pytest.mark.parametrize(
    ("changes", "exercise", "reason"),
    [
        (
            {"prick_mm": Measured(0.3, 0.03, 0)},
            "crossing lines",
            "pricks miss their corners by 0.3",
        ),
        (
            {"line_width_mm": Measured(0.35, 0.02, 0), "tolerance_mm": 0.1},
            "light strokes",
            "wider than the tolerance by 0.25",
        ),
        ({"side_rms_mm": Measured(0.4, 0.03, 0)}, "another size", "sides are off by 0.4"),
        ({"angle_rms_deg": Measured(1.0, 0.05, 0)}, "right angles", "angles move the ends"),
        ({}, "next figure", "No error on the last plates exceeds"),
    ],
)
def test_the_next_exercise_is_for_what_is_weakest(
    changes: dict[str, object], exercise: str, reason: str, attempts_of: Attempts
) -> None:
    quiet: dict[str, object] = {"side_rms_mm": NOTHING, "angle_rms_deg": NOTHING, "outside": 1}
    made = changed(attempts_of(practise(Hand(0.06), 3, seed=8)), **(quiet | changes))
    found = suggest(made, ())
    assert exercise in found.exercise
    assert reason in found.reason


def test_who_keeps_all_tolerances_goes_on(attempts_of: Attempts) -> None:
    made = changed(attempts_of(practise(Hand(0.06), 3, seed=8)), within=8, outside=0, undecided=0)
    assert "next figure" in suggest(made, ()).exercise


def test_nobody_is_ranked_within_u() -> None:
    numbers = {f"A-{k:02}": Measured(0.10 + 0.01 * k, 0.08, 0.02) for k in range(6)}
    found = class_spread(numbers)
    assert found is not None
    assert (found.above, found.below) == ((), ())
    assert found.mean == pytest.approx(0.125)
    assert found.spread == 0.0
    apart = class_spread(numbers | {"A-07": Measured(0.6, 0.08, 0.02)})
    assert apart is not None
    assert apart.above == ("A-07",)
    assert apart.spread > 0.1
    assert class_spread({"A-01": NOTHING, "A-02": NOTHING}) is None


def test_a_class_without_differences_is_rarely_said_to_have_any() -> None:
    rng = np.random.default_rng(6)
    called = 0
    for _ in range(200):
        numbers = {f"A-{k}": Measured(float(rng.normal(0.2, 0.04)), 0.08, 0.0) for k in range(12)}
        found = class_spread(numbers)
        assert found is not None
        called += bool(found.above or found.below)
    assert called <= 18  # 5 % for all comparisons together


def test_scores_carry_what_habits_need() -> None:
    assert {"long_mm", "aside_mm", "turned_mrad", "opening_mm"} <= set(Score.__slots__)
