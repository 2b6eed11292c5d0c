"""What speaks against a reading is told, and nothing else is."""

from types import SimpleNamespace

import numpy as np
import pytest

from scribegauge.report.cautions import reading_reasons

SIDES = np.array([[[0, 0], [30, 0]], [[30, 0], [0, 20]], [[0, 20], [0, 0]]], dtype=float)


def face(
    size=(4000, 3000),
    *,
    source="exif",
    known=True,
    doubted=False,
    u_thickness_mm=0.02,
    ripple_mm=0.01,
):
    camera = SimpleNamespace(source=source, width_px=size[0], height_px=size[1])
    scale = SimpleNamespace(known=known, doubted=doubted, outgrown=False)
    view = SimpleNamespace(camera=camera, scale=scale, ripple_mm=ripple_mm)
    return SimpleNamespace(view=view, u_thickness_mm=u_thickness_mm)


def codes(*faces, anchors=None, lines=(1, 1, 1), aside_mm=(0.0, 0.1, 0.7)):
    anchors = np.stack([SIDES] * len(faces)) if anchors is None else anchors
    fit = SimpleNamespace(
        layout=SimpleNamespace(names=("A", "B", "C")),
        merged=SimpleNamespace(anchors_mm=anchors, lines=lines),
        aside_mm=np.array(aside_mm),
    )
    return [reason.code for reason in reading_reasons(faces, fit)]


def test_nothing_is_said_of_a_good_reading():
    assert codes(face()) == []
    assert codes(face(), face()) == []


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"known": False}, "bars_not_measured"),
        ({"u_thickness_mm": 0.45}, "thickness_not_given"),
        ({"source": "guess"}, "lens_not_recorded"),
    ],
)
def test_what_was_left_out_is_said(given, code):
    assert codes(face(**given)) == [code]


@pytest.mark.parametrize(
    "size", [(4032, 3024), (3000, 4000), (6016, 4016), (4000, 2256), (3024, 3024)]
)
def test_pictures_as_cameras_save_them_pass(size):
    assert codes(face(size)) == []


@pytest.mark.parametrize("size", [(2868, 2898), (4032, 2600), (1800, 3024)])
def test_a_cropped_picture_is_told_unless_a_profile_speaks_for_it(size):
    assert codes(face(size)) == ["photo_cropped"]
    assert codes(face(size, source="profile")) == []


def test_a_bowed_sheet_is_told_and_what_else_looks_like_one():
    assert codes(face(ripple_mm=0.04)) == []
    assert codes(face(), face(ripple_mm=0.08)) == ["sheet_uneven"]
    fit = SimpleNamespace(
        layout=SimpleNamespace(names=("A", "B", "C")),
        merged=SimpleNamespace(anchors_mm=SIDES[None], lines=(1, 1, 1)),
        aside_mm=np.zeros(3),
    )
    (reason,) = reading_reasons((face(ripple_mm=0.08),), fit)
    assert "0.2 mm" in reason.text
    assert "cropped" in reason.text


def test_a_photo_that_shows_no_side_is_told():
    nothing = np.full_like(SIDES, np.nan)
    assert codes(face(), face(), anchors=np.stack([nothing, SIDES])) == ["photo_not_used"]


def test_unseen_sides_are_named():
    fit = SimpleNamespace(
        layout=SimpleNamespace(names=("A", "B", "C")),
        merged=SimpleNamespace(anchors_mm=SIDES[None], lines=(1, None, None)),
        aside_mm=np.array([0.1, np.nan, np.nan]),
    )
    (reason,) = reading_reasons((face(),), fit)
    assert reason.code == "side_not_seen"
    assert "B–C, C–A" in reason.text


def test_a_line_far_from_where_the_others_put_it_is_told():
    assert codes(face(), aside_mm=(0.0, 0.9, 0.1)) == ["line_far_aside"]
    assert codes(face(), aside_mm=(0.0, np.nan, 0.1)) == []


def test_bars_that_the_photo_contradicts_are_told():
    assert codes(face(doubted=True)) == ["bars_doubtful"]
