"""Right-to-left text set from left to right; capitals stand for Hebrew letters, as in UAX #9."""

import pytest

from scribegauge.report.visualorder import runs_right, visual

LATIN = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
HEBREW = "אבגדהוזחטיכלמנסעפצקרשתךםןף"
TO = str.maketrans(LATIN, HEBREW)
BACK = str.maketrans(HEBREW, LATIN)


@pytest.mark.parametrize(
    ("written", "seen"),
    [
        ("car means", "car means"),
        ("car is THE CAR in arabic", "car is RAC EHT in arabic"),  # UAX #9, first example
        ("CAR", "RAC"),
        ("CAR is THE car", "car EHT is RAC"),
        ("THE (1) CAR", "RAC (1) EHT"),
        ("blank THE (CAR) end", "blank (RAC) EHT end"),
        ("CAR 12.5 mm", "mm 12.5 RAC"),
        ("a CAR 123 TOP b", "a POT 123 RAC b"),
        ("plate A-12", "plate 12-A"),
        ("plain A-12 (1)".lower(), "plain a-12 (1)"),
        ("", ""),
    ],
)
def test_words_come_in_the_order_of_their_places(written, seen):
    assert visual(written.translate(TO)).translate(BACK) == seen


def test_marks_stay_with_their_letter():
    assert visual("ש\u05c1ב") == "בש\u05c1"


def test_the_first_letter_tells_the_direction():
    assert runs_right("12 ב a")
    assert not runs_right("a ב")
    assert not runs_right("12")
