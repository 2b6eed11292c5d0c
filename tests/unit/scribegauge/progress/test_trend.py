"""Sentences on change are right as often as they say."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from scribegauge.progress.measures import MEASURES, Series, series_of
from scribegauge.progress.record import Attempt
from scribegauge.progress.trend import changes_of_equipment, trend_of, trend_sentence
from scribegauge.simulate.winter import Hand, practise

Attempts = Callable[..., tuple[Attempt, ...]]


def sides(attempts: tuple[Attempt, ...]) -> Series:
    return series_of(MEASURES[0], attempts)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("better", "least", "most"), [(0.0, 0, 11), (0.2, 75, 100)], ids=["steady", "better"]
)
def test_the_sentence_is_right_at_the_stated_rate(
    better: float, least: int, most: int, attempts_of: Attempts
) -> None:
    claimed = wrong_way = 0
    for seed in range(100):
        hand = Hand(0.08, better)
        hexagons = practise(hand, 10, seed=seed, corners=6, side_mm=20, start=date(2024, 10, 9))
        series = sides(attempts_of(practise(hand, 14, seed=seed) + hexagons))
        trend = trend_of(series)
        assert trend is not None
        claimed += trend.known
        wrong_way += trend.known and trend.per_month > 0
    # 5 of 100 steady hands are called changed; more than 11 have a chance of 0.5 %.
    assert least <= claimed <= most
    assert better == 0 or wrong_way == 0


def test_a_known_change_is_said_in_plain_words(attempts_of: Attempts) -> None:
    series = sides(attempts_of(practise(Hand(0.15, 0.3), 12, seed=1)))
    trend = trend_of(series)
    assert trend is not None
    assert trend.known
    sentence = trend_sentence(series, trend)
    assert sentence.startswith("Side error: better by 0.0")
    assert "mm a month, more than measuring uncertainty" in sentence
    assert sentence.endswith("(12 plates in 11 weeks).")


def test_a_steady_hand_is_not_yet_distinguishable(attempts_of: Attempts) -> None:
    series = sides(attempts_of(practise(Hand(0.08), 12, seed=5)))
    sentence = trend_sentence(series, trend_of(series))
    assert "not yet distinguishable from no change; it lies between 0.0" in sentence


def test_few_plates_tell_nothing(attempts_of: Attempts) -> None:
    series = sides(attempts_of(practise(Hand(0.15, 0.3), 4, seed=1)))
    assert trend_of(series) is None
    assert trend_sentence(series, None) == (
        "Side error: 4 plates so far; a change can be told from 5 on."
    )
    same_day = tuple(replace(each, made=date(2024, 10, 7)) for each in series.attempts) * 2
    assert trend_of(sides(same_day)) is None


def test_a_harder_figure_begun_late_looks_no_worse(attempts_of: Attempts) -> None:
    easy = practise(Hand(0.04), 10, seed=1)
    hard = practise(Hand(0.16), 10, seed=2, corners=6, side_mm=20, start=date(2025, 1, 6))
    together = trend_of(sides(attempts_of(easy + hard)))
    mixed = tuple(
        replace(each, score=replace(each.score, figure="")) for each in attempts_of(easy + hard)
    )
    apart = trend_of(sides(mixed))
    assert together is not None
    assert apart is not None
    assert not together.known
    assert apart.known
    assert apart.per_month > 0


def test_another_camera_widens_a_change_across_it(attempts_of: Attempts) -> None:
    made = attempts_of(practise(Hand(0.05), 12, seed=3))
    shared = [
        replace(
            each,
            score=replace(
                each.score,
                camera="profile: other" if other and k >= 6 else each.score.camera,
                side_rms_mm=replace(each.score.side_rms_mm, U=0.1, U_shared=0.09),
            ),
        )
        for other in (False, True)
        for k, each in enumerate(made)
        if each.score.side_rms_mm is not None
    ]
    one, two = sides(tuple(shared[:12])), sides(tuple(shared[12:]))
    with_one, with_two = trend_of(one), trend_of(two)
    assert with_one is not None
    assert with_two is not None
    assert with_two.U_per_month > 1.5 * with_one.U_per_month
    assert list(changes_of_equipment(one)) == []
    assert list(changes_of_equipment(two)) == [6]
