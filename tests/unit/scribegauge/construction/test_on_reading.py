"""What a reading and its table say of a construction."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.report.composeconstruction import with_construction
from scribegauge.report.composequantities import angle_readings, side_readings
from scribegauge.report.constructiontable import construction_rows
from scribegauge.report.constructionwords import construction_sentences
from scribegauge.report.htmlfile import write_report
from scribegauge.report.jsonfile import from_json, to_json
from scribegauge.report.reading import Reading
from scribegauge.uncertainty.budget import make_budget

AS_TOLD = (0, 1, 2, 3, 4)


@pytest.fixture
def read(lay_out, polygon, scribe, hold_camera):
    """Return a function that scribes a construction and reads the plate."""

    def reading(name="fixed-opening-pentagon", slips=None, *, order=AS_TOLD, **how):
        here = scribe(lay_out(name, polygon(len(order), 12.0)), slips or {}, order=order, **how)
        face = hold_camera(half_mm=(30.0, 30.0)).face
        budget = make_budget(here.fit, [face])
        bare = Reading(
            status="measured",
            reasons=(),
            title="plate",
            photos=(),
            plate=None,
            vertices=(),
            sides=side_readings(here.fit, budget),
            angles=angle_readings(here.fit, budget),
            pricks=(),
            lines=(),
            program="",
        )
        return with_construction(bare, here.chosen, here.fit, here.marks, [face])

    return reading


def test_no_construction_leaves_the_reading_alone(read, hold_camera):
    bare = replace(read(), construction=None)
    assert with_construction(bare, None, None, None, [hold_camera().face]) is bare
    assert construction_rows(bare.construction) == []


def test_a_perfect_hand_leaves_only_the_method_s_error(read):
    told = read(order=(2, 3, 4, 0, 1)).construction
    # 12 mm sides: the angles of the published method, whatever the vertices are called.
    by_name = {angle.at: angle for angle in told.angles}
    method = [by_name[name].method_error_deg * 60 for name in "CDEAB"]
    np.testing.assert_allclose(method, [21.967, 21.967, -57.730, 71.526, -57.730], atol=1e-3)
    assert all(abs(angle.hand_error_deg) < 1e-6 for angle in told.angles)
    assert all(abs(side.hand_error_mm) < 1e-6 for side in told.sides)
    assert all(abs(side.method_error_mm) < 1e-9 for side in told.sides)
    assert max(v.method_error_mm for v in told.vertex_errors) == pytest.approx(
        0.378 * 12 / 50, abs=2e-3
    )
    assert all(v.hand_error_mm < 1e-6 < v.U_mm for v in told.vertex_errors)
    assert told.entered_at is None
    assert "No step stands out" in " ".join(construction_sentences(told))


@pytest.mark.parametrize(
    ("order", "mirrored"), [(AS_TOLD, False), ((2, 3, 4, 0, 1), False), ((1, 0, 4, 3, 2), True)]
)
def test_the_bad_step_is_named_and_the_shares_add_up(read, order, mirrored):
    reading = read(slips={"CD": (0.0, 0.4)}, order=order, mirrored=mirrored)
    told = reading.construction
    assert told.entered_at == 8
    named = [step for step in told.steps if step.named]
    assert [step.mark for step in named] == ["CD"]
    assert named[0].own_mm == pytest.approx(0.4, abs=1e-6)
    for k, side in enumerate(told.sides):
        share = sum(step.side_shares_mm[k] for step in told.steps)
        assert share == pytest.approx(side.hand_error_mm, abs=1e-6)
    for k, angle in enumerate(told.angles):
        share = sum(step.angle_shares_deg[k] for step in told.steps)
        assert share == pytest.approx(angle.hand_error_deg, abs=1e-5)
    assert max(abs(share) for share in named[0].angle_shares_deg) > 0.5
    said = " ".join(construction_sentences(told))
    assert "The error entered at step 8: Line CD misses D by 0.40" in said
    assert "By itself it changed the layout's" in said


def test_what_was_not_seen_is_said(read):
    told = read(without=("C", "CD", "E"), pricked=False).construction
    assert told.not_seen == ("C", "CD", "E")
    assert set(told.by_lines) == {"A", "B", "H", "K", "I"}
    unseen = {step.mark: step for step in told.steps if not step.seen}
    assert {"C", "CD", "E"} <= set(unseen)
    assert unseen["E"].own_mm is None
    assert unseen["E"].U_mm > 0.25
    said = " ".join(construction_sentences(told))
    assert "3 marks of the construction were not found (C, CD, E)" in said
    assert "No prick was seen at A, B, H, K" in said


def test_where_it_was_begun_is_left_open_when_the_plate_does_not_tell(read):
    order = tuple(range(6, -1, -1))
    # The hand's errors are larger than the method's, so the corners prove nothing.
    rng = np.random.default_rng(2)
    slips = {f"P{k}": tuple(rng.normal(0, 0.12, 2).tolist()) for k in range(1, 7)}
    told = read("heptagon-half-chord", slips, order=order, without=("p", "T", "U", "TU", "M"))
    told = told.construction
    assert told.rival is not None
    assert told.rival != told.vertices
    said = " ".join(construction_sentences(told))
    assert "do not show for sure where the construction was begun" in said
    assert f'vertices = ["{told.rival[0]}", "{told.rival[1]}"' in said


def test_an_exact_method_begun_elsewhere_gives_the_same_figure(read):
    told = read("hexagon-by-stepping", order=(5, 4, 3, 2, 1, 0)).construction
    assert told.rival is None
    assert told.reverse is not None
    assert "the figure would lie the same" in " ".join(construction_sentences(told))


def test_a_stepped_figure_s_closing_gap_is_divided(read):
    order = tuple(range(6, -1, -1))
    told = read("heptagon-half-chord", {"h": (0.05,)}, order=order).construction
    assert told.entered_at == 11
    gap = told.closing_gap_mm - told.method_gap_mm
    assert gap == pytest.approx(-7 * 0.05, rel=0.05)
    assert "The closing gap" in " ".join(construction_sentences(told))
    assert "(opening h)" in told.findings[0].text


def test_marks_that_cannot_be_replayed_are_said_and_nothing_is_made_up(read):
    told = read(slips={"h": (0.0, 0.0, 0.9), "i": (0.0, 0.0, -0.9)}).construction
    assert told.steps or told.notes
    far = read(slips={"d": (0.0, 0.0, 0.95)}).construction
    assert far.entered_at == 9


def test_rows_fit_eighty_columns_and_the_file_keeps_it_all(read):
    reading = read(slips={"d": (0.0, 0.0, 0.3)})
    rows = construction_rows(reading.construction)
    assert all(len(row) <= 80 for row in rows)
    assert any(row.endswith("stands out") for row in rows)
    assert not any("-0.000 " in row or "+-" in row for row in rows)
    written = to_json(reading)
    assert to_json(from_json(written)) == written
    assert from_json(written).construction.entered_at == 9


def test_the_page_shows_the_construction_and_only_where_there_is_one(read):
    reading = read(slips={"d": (0.0, 0.0, 0.3)})
    page = write_report(None, reading).decode()
    assert "The construction" in page
    assert "Circle d was drawn 0.30" in page
    assert page.count("stands out") == 1
    assert "Underweysung der Messung" in page
    bare = write_report(None, replace(reading, construction=None)).decode()
    assert "The construction" not in bare


@pytest.mark.parametrize(("order", "mirrored"), [(AS_TOLD, False), ((1, 0, 4, 3, 2), True)])
def test_marks_of_steps_are_where_they_lie_in_the_photo(read, hold_camera, order, mirrored):
    told = read(order=order, mirrored=mirrored).construction
    face = hold_camera(half_mm=(30.0, 30.0)).face
    places = {vertex.at: vertex.method_mm for vertex in told.vertex_errors}
    paths = {step.mark: step.path_px for step in told.steps}
    for mark, name in zip(told.vertex_marks, told.vertices, strict=True):
        there = face.photo_from_plate(np.array([places[name]]))
        np.testing.assert_allclose(paths[mark], there, atol=0.01)
    sides = [
        step.path_px for step in told.steps if set(step.mark.split("–")) <= set(told.vertex_marks)
    ]
    assert any(len(path) > 2 for path in sides)
    assert all(step.path_px == () for step in told.steps if not step.seen)
