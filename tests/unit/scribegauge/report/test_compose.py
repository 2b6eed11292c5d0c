"""A measured figure written down: every number in its place and unit."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.figure.assign import Placement
from scribegauge.figure.fit import fit_figure
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.merge import merge_lines
from scribegauge.marks.record import LineMark, Marks, PrickMark
from scribegauge.photo.record import LensFacts, Photo
from scribegauge.report.compose import compose
from scribegauge.report.platemap import map_of
from scribegauge.simulate.pinhole import project_px
from scribegauge.uncertainty.budget import make_budget

INTENDED = np.array([[0.0, 0], [30, 0], [30, 20], [0, 20]])
AT = np.array([25.0, 35.0])
UNJUDGED = Tolerance(None, None)
# B lies 0.2 mm too far out.
SCRIBED = INTENDED + AT + np.array([[0, 0], [0.2, 0], [0, 0], [0, 0]])


def line_mark(ends):
    return LineMark(
        np.asarray(ends, float),
        np.eye(2) * 1e-10,
        0.01,
        0.0,
        0.08,
        -9.0,
        "double",
        0.7,
        -9.0,
        hinted=False,
    )


@pytest.fixture(scope="module")
def composed(hold_camera):
    setup = hold_camera(
        tilt_deg=12.0, azimuth_deg=30.0, thickness_mm=1.5, parts={"bars": np.zeros((17, 17))}
    )
    facts = LensFacts("Bench", "1", None, None, None, "2026:03:04 18:22:01")
    grey = np.zeros((560, 640), np.uint8)
    photo = Photo("a.jpg", "f" * 64, np.zeros((560, 640, 3), np.uint8), grey, facts)

    def make(tolerance=UNJUDGED, missing=(), pricks=(), others=()):
        layout = Layout("blank", INTENDED, ("A", "B", "C", "D"), tolerance)
        ends = np.stack([SCRIBED, np.roll(SCRIBED, -1, axis=0)], axis=1)
        row = [None if k in missing else line_mark(pair) for k, pair in enumerate(ends)]
        fit = fit_figure(layout, Placement(0.0, AT, 1.0), merge_lines([row]), tuple(pricks))
        marks = Marks((*[line for line in row if line], *others), (), ())
        reading = compose([photo], [setup.face], marks, fit, make_budget(fit, [setup.face]))
        return setup, reading

    return make


def photo_px(setup, points_mm):
    raised = np.column_stack([points_mm, np.full(len(points_mm), -1.5)])
    return project_px(raised, setup.camera, setup.pose)


def test_sides_and_angles_with_their_deviations(composed):
    _, reading = composed()
    lengths = np.linalg.norm(np.roll(SCRIBED, -1, axis=0) - SCRIBED, axis=1)
    for side, intended, measured in zip(reading.sides, [30, 20, 30, 20], lengths, strict=True):
        assert side.intended_mm == pytest.approx(intended)
        assert side.measured_mm == pytest.approx(measured)
        assert side.deviation_mm == pytest.approx(measured - intended)
        assert side.verdict is None
        assert side.reasons == ()
    assert [(side.start, side.end) for side in reading.sides] == [
        ("A", "B"),
        ("B", "C"),
        ("C", "D"),
        ("D", "A"),
    ]
    lean = np.degrees(np.arctan(0.2 / 20))
    off = [angle.deviation_deg for angle in reading.angles]
    np.testing.assert_allclose(off, [0, -lean, lean, 0], atol=1e-9)
    assert [angle.intended_deg for angle in reading.angles] == pytest.approx([90] * 4)
    assert reading.status == "measured"
    assert reading.title == "blank"


def test_u_is_twice_the_root_of_the_terms_in_the_quantitys_unit(composed):
    _, reading = composed()
    for row, expanded in [(s, s.U_mm) for s in reading.sides] + [
        (a, a.U_deg) for a in reading.angles
    ]:
        sizes = [term.u for term in row.terms]
        assert sizes == sorted(sizes, reverse=True)
        assert {term.name for term in row.terms} == {
            "bars",
            "thickness",
            "flatness",
            "optics",
            "line",
        }
        assert expanded == pytest.approx(2 * np.sqrt(np.square(sizes).sum()), rel=1e-9)
    # A side between two lines of 0.01 mm each.
    (optics,) = [term.u for term in reading.sides[3].terms if term.name == "optics"]
    assert optics == pytest.approx(0.01 * np.sqrt(2), rel=0.02)


def test_vertices_lie_in_plate_and_photo_where_lines_meet(composed):
    setup, reading = composed()
    assert [v.name for v in reading.vertices] == ["A", "B", "C", "D"]
    np.testing.assert_allclose([(v.x_mm, v.y_mm) for v in reading.vertices], SCRIBED, atol=1e-9)
    seen = [v.photo_px for v in reading.vertices]
    np.testing.assert_allclose(seen, photo_px(setup, SCRIBED), atol=1e-6)
    np.testing.assert_allclose(reading.plate.intended_px, photo_px(setup, INTENDED + AT), atol=1e-6)
    np.testing.assert_allclose(reading.plate.intended_mm, INTENDED + AT)
    assert reading.plate.tilt_deg == pytest.approx(12.0)
    assert reading.plate.target_size == "S"
    assert reading.plate.thickness_mm == 1.5


@pytest.mark.parametrize(
    ("tolerance_mm", "word"), [(1.0, "within"), (0.05, "outside"), (0.2, "undecided")]
)
def test_each_quantity_is_judged_by_its_own_tolerance(composed, tolerance_mm, word):
    _, reading = composed(Tolerance(tolerance_mm, None))
    assert reading.sides[0].verdict == word
    assert all(angle.verdict is None for angle in reading.angles)
    assert reading.tolerance_side_mm == tolerance_mm
    _, reading = composed(Tolerance(None, 5.0))
    assert all(side.verdict is None for side in reading.sides)
    assert all(angle.verdict == "within" for angle in reading.angles)
    _, reading = composed(Tolerance(None, 0.3))
    assert reading.angles[1].verdict == "outside"


def test_an_unseen_side_is_listed_with_its_reason(composed):
    _, reading = composed(Tolerance(0.1, 0.1), missing=(1,))
    side = reading.sides[1]
    assert (side.measured_mm, side.deviation_mm, side.U_mm, side.verdict) == (None,) * 4
    assert [reason.code for reason in side.reasons] == ["side_not_seen"]
    assert [reason.code for reason in reading.sides[0].reasons] == ["corner_not_seen"]
    assert reading.sides[3].measured_mm == pytest.approx(20.0)
    missing = [angle.measured_deg is None for angle in reading.angles]
    assert missing == [False, True, True, False]
    assert reading.vertices[1].photo_px is None
    assert reading.vertices[0].photo_px is not None
    assert reading.status == "warned"
    assert "side_not_seen" in [reason.code for reason in reading.reasons]
    (text,) = [reason.text for reason in reading.reasons if reason.code == "side_not_seen"]
    assert "B\N{EN DASH}C" in text


def test_lines_are_named_by_their_sides_and_others_not_at_all(composed):
    setup, reading = composed(
        others=(line_mark([[28, 38], [50, 51]]), line_mark(SCRIBED[:2] + 0.05))
    )
    assert [line.side for line in reading.lines] == ["A-B", "B-C", "C-D", "D-A", ""]
    first = reading.lines[0]
    assert first.start_mm == pytest.approx(tuple(SCRIBED[0]))
    ends = photo_px(setup, SCRIBED[:2])
    np.testing.assert_allclose(np.array(first.path_px)[[0, -1]], ends, atol=1e-6)
    assert (first.width_mm, first.look, first.seen, first.hinted) == (0.08, "double", 0.7, False)


def test_a_prick_and_its_distance_from_the_corner(composed):
    centre = SCRIBED[2] + [0.06, 0.08]
    setup, reading = composed(pricks=(PrickMark(centre, 0.02, 0.25, -9.0, hinted=False),))
    (prick,) = reading.pricks
    assert prick.at == "C"
    assert prick.U_mm == pytest.approx(0.04)
    assert prick.off_corner_mm == pytest.approx(0.1)
    np.testing.assert_allclose(prick.photo_px, photo_px(setup, centre[None])[0], atol=1e-6)
    _, reading = composed(missing=(2,), pricks=(PrickMark(centre, 0.02, 0.25, -9.0, hinted=False),))
    assert reading.pricks[0].off_corner_mm is None


def test_which_photo_was_read(composed):
    _, reading = composed()
    (photo,) = reading.photos
    assert (photo.name, photo.width_px, photo.height_px) == ("a.jpg", 640, 560)
    assert photo.camera == "profile: Bench Model 1"


def test_a_reading_does_not_depend_on_what_it_is_not_given(composed):
    _, plain = composed()
    _, judged = composed(Tolerance(1.0, 1.0))
    stripped = tuple(
        replace(side, verdict=None, tolerance_mm=None, p_conform=None) for side in judged.sides
    )
    assert stripped == plain.sides


def test_the_grid_takes_any_plate_point_to_the_photo(composed):
    setup, reading = composed()
    made = map_of(reading.plate.grid)
    outline = setup.face.outline_mm
    points = np.random.default_rng(4).uniform(outline.min(axis=0), outline.max(axis=0), (100, 2))
    np.testing.assert_allclose(
        made.photo_from_plate(points), photo_px(setup, points), atol=0.01, err_msg="px"
    )
