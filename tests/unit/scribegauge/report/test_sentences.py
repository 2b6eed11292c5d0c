"""What the report says in sentences."""

from dataclasses import replace

import pytest

from scribegauge.report.advice import limits_of
from scribegauge.report.constructionreading import ConstructionReading
from scribegauge.report.counting import listed, share_of_angles, share_of_sides
from scribegauge.report.reading import Reason, Term
from scribegauge.report.sentences import angle_sentence, side_sentence, verdict_of
from scribegauge.report.settings import settings_of
from scribegauge.report.words import DASH, decimals_for, side_name


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("count", "total", "said"),
    [
        (7, 7, "all seven sides are"),
        (6, 7, "six of seven sides are"),
        (1, 5, "one of five sides is"),
        (0, 3, "no side is"),
        (13, 24, "13 of 24 sides are"),
    ],
)
def test_shares(count, total, said):
    assert share_of_sides(count, total) == said
    assert share_of_angles(count, total) == said.replace("side", "angle")


@pytest.mark.parametrize(("names", "said"), [("A", "A"), ("AB", "A and B"), ("ABC", "A, B and C")])
def test_lists(names, said):
    assert listed(names) == said


def judged(make_reading, verdicts):
    reading = make_reading(count=len(verdicts), tolerance_mm=0.15)
    sides = [
        replace(s, verdict=word, deviation_mm=size, U_mm=0.04)
        for s, (word, size) in zip(reading.sides, verdicts, strict=True)
    ]
    return replace(reading, sides=tuple(sides))


def test_the_first_sentence_counts_and_names_the_farthest(make_reading):
    verdicts = [("within", 0.01)] * 2 + [("outside", 0.31)] + [("within", -0.02)] * 4
    verdict = verdict_of(judged(make_reading, verdicts))
    said = f"Six of seven sides are within 0.15 mm; side C{DASH}D is 0.310 ± 0.040 mm too long."
    assert plain(verdict.first) == said
    assert verdict.more == ()


def test_it_says_at_which_step_the_error_entered(make_reading):
    names = ("regular", "Regular", True, ("somebody",), (), ("P",), ("A",), (), (), (), ())
    plain_one = ConstructionReading(*names, None, (), None, (), (), None, ())
    wrong = replace(plain_one, entered_at=4)
    verdicts = [("within", 0.01)] * 3
    reading = judged(make_reading, verdicts)
    said = "All three sides are within 0.15 mm."
    assert plain(verdict_of(replace(reading, construction=plain_one)).first) == said
    told = verdict_of(replace(reading, construction=wrong)).first
    assert plain(told) == f"{said} The error entered at step 4."


def test_the_largest_comes_first_and_many_are_summed_up(make_reading):
    verdicts = [("outside", -0.2 - k / 10) for k in range(6)]
    verdict = verdict_of(judged(make_reading, verdicts))
    said = f"No side is within 0.15 mm; side F{DASH}A is 0.700 ± 0.040 mm too short."
    assert plain(verdict.first) == said
    assert plain(verdict.more[0]) == f"Side E{DASH}F is 0.600 ± 0.040 mm too short."
    assert len(verdict.more) == 5
    assert verdict.more[-1] == f"A{DASH}B is outside too."


def test_undecided_is_no_verdict_on_the_hand(make_reading):
    verdicts = [("within", 0.0), ("undecided", 0.14), ("undecided", -0.16)]
    verdict = verdict_of(judged(make_reading, verdicts))
    assert verdict.more == (f"Sides B{DASH}C and C{DASH}A are undecided: this photo cannot tell.",)


def test_what_was_not_found_is_named(make_reading):
    more = verdict_of(make_reading(count=5, lost=(1,))).more
    assert f"Side B{DASH}C is not seen in the photo." in more
    assert any(said.startswith(f"Sides A{DASH}B and C{DASH}D are without") for said in more)


def test_without_a_tolerance_nothing_is_judged(make_reading):
    reading = make_reading(count=5)
    verdict = verdict_of(reading)
    assert verdict.first.startswith("All five sides are measured, and all five angles are.")
    worst = max(reading.sides, key=lambda s: abs(s.deviation_mm))
    size = f"{abs(worst.deviation_mm):.{decimals_for(worst.U_mm)}f}"
    assert size in verdict.more[0]
    assert side_name(worst) in verdict.more[0]
    off = replace(reading.angles[2], deviation_deg=-0.5)
    angles = (*reading.angles[:2], off, *reading.angles[3:])
    said = plain(verdict_of(replace(reading, angles=angles)).more[1])
    assert said == "The largest deviation: angle C is 0.500 ± 0.080° too narrow."


def test_noise_is_not_called_a_fault(make_reading):
    reading = make_reading(count=5)
    sides = tuple(replace(s, U_mm=1.0) for s in reading.sides)
    angles = tuple(replace(a, U_deg=1.0) for a in reading.angles)
    assert verdict_of(replace(reading, sides=sides, angles=angles)).more == (
        "No side differs from the intended length by more than its uncertainty.",
        "No angle differs from the intended angle by more than its uncertainty.",
    )


def test_a_refusal_gives_its_reason(make_reading):
    reading = replace(make_reading(), status="refused", reasons=(Reason("blurred", "Blurred."),))
    assert verdict_of(reading).first == "This photo cannot be judged. Blurred."


def test_angles_are_wide_or_narrow(make_reading):
    angle = replace(make_reading().angles[0], deviation_deg=-0.27, U_deg=0.08)
    assert plain(angle_sentence(angle)) == "angle A is 0.270 ± 0.080° too narrow"
    assert side_sentence(make_reading(lost=(0,)).sides[0]) == ""


def test_the_largest_causes_come_with_their_cure(make_reading):
    limits = limits_of(make_reading())
    assert [row.cause.split()[-1] for row in limits.rows] == ["sheet", "plate", "picture"]
    assert [row.expanded for row in limits.rows] == ["0.026", "0.018", "0.012"]
    assert [row.percent for row in limits.rows] == [59, 28, 13]
    assert all(row.cure.endswith(".") for row in limits.rows)


def test_a_cause_too_small_to_matter_is_not_named(make_reading):
    reading = make_reading()
    terms = (Term("optics", 0.02), Term("line", 0.001))
    alone = replace(reading, sides=tuple(replace(s, terms=terms) for s in reading.sides))
    assert [row.percent for row in limits_of(alone).rows] == [100]
    assert limits_of(make_reading(lost=(0, 1, 2, 3, 4))) is None


def test_advice_fits_what_was_done(make_reading):
    reading = make_reading()
    optics = (Term("optics", 0.02), Term("bars", 0.02), Term("thickness", 0.02))
    given = replace(reading, sides=tuple(replace(s, terms=optics) for s in reading.sides))
    left_out = (Reason("bars_not_measured", "x"), Reason("thickness_not_given", "x"))
    cures = [row.cure for row in limits_of(given).rows]
    bare = [row.cure for row in limits_of(replace(given, reasons=left_out)).rows]
    assert all(a != b for a, b in zip(cures[1:], bare[1:], strict=True))
    two = replace(given, photos=given.photos * 2)
    assert "second photo" in cures[0]
    assert "one more photo" in limits_of(two).rows[0].cure


def test_settings_say_what_was_left_out(make_reading):
    reasons = (Reason("bars_not_measured", "x"), Reason("thickness_not_given", "x"))
    photos = (replace(make_reading().photos[0], camera="exif: Phone", taken=None),) * 2
    rows = dict(settings_of(replace(make_reading(), reasons=reasons, photos=photos)))
    assert rows["Check bars"] == "not measured"
    assert rows["Plate thickness"] == "not measured; 1 mm assumed"
    assert "own record (Phone)" in rows["Lens 2"]
    assert "no date" in rows["Photo 1"]
    assert rows["Tolerance"] == "none given"
