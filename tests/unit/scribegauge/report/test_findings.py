"""What several photos tell is said in words, with what to do about it."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from scribegauge.errors import PhotoError
from scribegauge.figure.accounts import Account
from scribegauge.figure.several import Finding
from scribegauge.report.findings import with_finding
from scribegauge.report.reading import PhotoReading, Reason
from scribegauge.report.settings import settings_of

GIVEN = SimpleNamespace(
    thickness_mm=0.8, outline_mm=np.array([[0.0, 0], [50, 0], [50, 40], [0, 40]])
)


def finding(cause="", disputed=(), **known):
    usual = Finding(
        account=Account(cause, disputed, {"elsewhere": 1.0}),
        compared=5,
        height_mm=1.317,
        u_height_mm=0.041,
        slopes=np.array([0.012, -0.016]),
        u_slopes=np.array([0.001, 0.001]),
        apart_mm=np.array([0.31, 0.28, 0.01, 0.27, 0.02]),
        odd=(None,) * 5,
        moved_mm=np.array([0.0, 0.42]),
    )
    return replace(usual, **known)


@pytest.fixture
def pair(make_reading):
    one = make_reading()
    photos = [PhotoReading(f"{name}.jpg", "0", 10, 10, None, "") for name in ("left", "right")]
    return replace(one, photos=tuple(photos), reasons=(), status="measured")


def test_one_photo_tells_nothing_more(pair):
    assert with_finding(pair, None, GIVEN) is pair


def test_photos_that_agree_add_the_height_and_no_reason(pair):
    told = with_finding(pair, finding(), GIVEN)
    assert (told.reasons, told.status) == ((), "measured")
    assert told.plate.thickness_mm == 0.8
    assert told.plate.height_mm == 1.317
    assert told.plate.U_height_mm == pytest.approx(0.082)
    assert told.plate.face_tilt_deg == pytest.approx(1.1458, abs=1e-3)


@pytest.mark.parametrize(
    ("cause", "code", "words"),
    [
        ("height", "thickness_contradicted", ("1.317 ± 0.082 mm", "0.80 mm", "Measure")),
        ("tilt", "plate_not_flat", ("by 1.0 mm", "1.1°", "Wipe")),
        ("moved", "plate_moved", ("by about 0.4 mm", "left.jpg and right.jpg", "Leave the plate")),
    ],
)
def test_what_is_wrong_is_told_with_its_size_and_its_cure(pair, cause, code, words):
    told = with_finding(pair, finding(cause), GIVEN)
    (reason,) = told.reasons
    assert reason.code == code
    assert told.status == "warned"
    for part in words:
        assert part in reason.text


def test_a_disputed_side_is_named_and_so_is_what_depends_on_it(pair):
    told = with_finding(pair, finding(disputed=(1,)), GIVEN)
    (reason,) = told.reasons
    assert reason.code == "photos_disagree"
    assert "B–C 0.28 mm apart" in reason.text
    beside = [[r.code for r in side.reasons] for side in told.sides]
    assert beside == [["photos_disagree"]] * 3 + [[], []]
    beside = [[r.code for r in angle.reasons] for angle in told.angles]
    assert beside == [[], ["photos_disagree"], ["photos_disagree"], [], []]


def test_the_odd_photo_is_named(pair):
    told = with_finding(pair, finding(disputed=(1,), odd=(None, 1, None, None, None)), GIVEN)
    assert "right.jpg and the other photos" in told.reasons[0].text


def test_photos_that_disagree_about_most_sides_are_of_different_plates(pair):
    assert with_finding(pair, finding(disputed=(0, 1)), GIVEN).status == "warned"
    with pytest.raises(PhotoError) as error:
        with_finding(pair, finding(disputed=(0, 1, 3)), GIVEN)
    assert error.value.code == "plates_differ"
    assert "A–B, B–C, D–E" in error.value.text
    assert "0.31 mm" in error.value.text
    assert "by themselves" in error.value.cure


def test_one_side_alone_is_never_another_plate(pair):
    assert with_finding(pair, finding(disputed=(0,), compared=1), GIVEN).status == "warned"


@pytest.mark.parametrize(("u_height_mm", "told"), [(0.04, True), (0.4, False)])
def test_a_height_that_nobody_gave_is_told_once_the_photos_know_it(pair, u_height_mm, told):
    usual = Reason("thickness_not_given", "Lengths are uncertain by about 0.5 %.")
    before = replace(pair, reasons=(usual,), status="warned")
    after = with_finding(before, finding(u_height_mm=u_height_mm), GIVEN)
    (reason,) = after.reasons
    assert reason.code == "thickness_not_given"
    assert ("1.317 ± 0.080 mm" in reason.text) is told
    assert after.status == "warned"


def test_the_page_says_where_the_face_lies(pair):
    def row(reading):
        return dict(setting for setting in settings_of(reading))["Plate thickness"]

    told = with_finding(pair, finding(), GIVEN)
    assert row(pair) == f"{pair.plate.thickness_mm:g} mm"
    assert row(told) == "0.8 mm; 1.317 ± 0.082 mm as the photos show"
    nobody = replace(told, reasons=(Reason("thickness_not_given", "."),))
    assert row(nobody) == "not measured; 1.317 ± 0.082 mm as the photos show"
