"""What is wrong with the photos is told, beside what suffers from it too, and nothing else is."""

from types import SimpleNamespace

import numpy as np
import pytest

from scribegauge.marks.condition import Condition
from scribegauge.marks.glare import Glare
from scribegauge.report.defects import Defects, find_defects, with_defects
from scribetarget.smear import Smear

NAMES = ("A", "B", "C", "D", "E")
NOWHERE = np.zeros((2, 2), bool)
FACE = SimpleNamespace(scale_px_per_mm=20.0)
SHARP = Smear(1.3, 1.2, 0.0)


def condition(smear=SHARP, noise_share=0.04):
    return Condition(smear, noise_share, Glare(NOWHERE, NOWHERE, NOWHERE, NOWHERE, 0.0))


def reasons(*conditions, hidden=(0.0,) * 5):
    faces = [FACE] * len(conditions)
    return find_defects(faces, conditions, hidden, NAMES).reasons


def test_nothing_is_said_of_a_good_photo():
    assert reasons(condition()) == ()
    assert reasons(condition(Smear(2.25, 2.25, 0.0))) == ()  # softer, at no cost worth telling
    assert reasons(condition(), condition(), hidden=(0.2,) * 5) == ()


@pytest.mark.parametrize(
    ("seen", "code"),
    [
        (condition(Smear(2.45, 2.4, 0.0)), "slightly_blurred"),
        (condition(Smear(2.45, 1.2, 0.0)), "slightly_moved"),
        (condition(noise_share=0.15), "photo_noisy"),
    ],
)
def test_each_defect_has_its_own_code(seen, code):
    assert [reason.code for reason in reasons(seen)] == [code]


def test_of_several_photos_the_soft_one_is_named():
    (reason,) = reasons(condition(), condition(Smear(2.45, 2.4, 0.0)))
    assert reason.text.startswith("Photo 2 of 2 ")


def test_sides_in_glare_are_named_and_what_depends_on_them_is_marked(make_reading):
    reading = make_reading(count=5)
    defects = find_defects([FACE], [condition()], (0.0, 0.1, 0.6, 0.0, 0.0), NAMES)
    (reason,) = defects.reasons
    assert reason.code == "glare"
    assert "C–D (60 %)" in reason.text
    assert "B–C" not in reason.text
    after = with_defects(reading, defects)
    assert after.status == "warned"
    assert after.reasons == (reason, *reading.reasons)
    # A side ends where its neighbours' lines cross it; an angle lies between two lines.
    assert [bool(side.reasons) for side in after.sides] == [False, True, True, True, False]
    assert [bool(angle.reasons) for angle in after.angles] == [False, False, True, True, False]


def test_without_defects_the_reading_stays_as_it_is(make_reading):
    reading = make_reading(count=5)
    assert with_defects(reading, Defects()) is reading
