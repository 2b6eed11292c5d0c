"""The overlay: marks where they are in the photo, words clear of them."""

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from scribegauge.report import drawingstyle as style
from scribegauge.report.frame import straight_frame, taken_frame
from scribegauge.report.jsonfile import from_json, to_json
from scribegauge.report.overlay import draw_overlay, panel_top_px
from scribegauge.report.placing import place
from scribegauge.report.scene import scene_of
from scribegauge.report.words import DASH, MINUS, side_name


def opened(png):
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)


def staged(reading):
    frame = straight_frame(reading)
    scene = scene_of(reading, frame)
    bar_px = 10 * frame.px_per_mm
    return frame, scene, place(scene, frame.width_px, frame.height_px, bar_px)


def in_overlay(reading, points_px, frame=None):
    """Where photo points lie in the whole overlay."""
    frame = straight_frame(reading) if frame is None else frame
    return frame.to_panel(np.asarray(points_px, float)) + np.array([0, panel_top_px(reading)])


def inside(box, points, margin_px=0.0):
    """Which of the points lie inside a turned box, or within a margin of it."""
    cos, sin = np.cos(box.angle_rad), np.sin(box.angle_rad)
    local = (np.asarray(points) - box.centre) @ np.array([[cos, -sin], [sin, cos]])
    return (np.abs(local) < [box.width_px / 2 + margin_px, box.height_px / 2 + margin_px]).all(
        axis=1
    )


def test_the_photo_lies_where_the_frame_says(photo, make_reading):
    """A bright dot painted into the photo comes out within a pixel of where the frame puts it."""
    reading = make_reading()
    at = np.array([[1195.0, 915.0]])
    rgb = photo.rgb.copy()
    rgb[914:917, 1194:1197] = (255, 0, 255)
    bare = replace(reading, lines=(), pricks=())
    picture = opened(draw_overlay(replace(photo, rgb=rgb), bare))
    rows, columns = np.nonzero((picture[..., 0] > 200) & (picture[..., 1] < 90))
    there = in_overlay(bare, at)
    near = np.hypot(*(np.column_stack([columns, rows]) - there).T) < 30
    centre = np.column_stack([columns, rows])[near].mean(axis=0)
    assert np.hypot(*(centre - there[0])) < 0.5


def test_a_found_corner_is_drawn_where_it_is(photo, make_reading):
    """Where two found lines cross, their colour is within a pixel of the corner."""
    reading = replace(make_reading(count=4, others=0), pricks=())
    picture = opened(draw_overlay(photo, reading))
    cyan = np.abs(picture - np.array(style.CYAN)).sum(axis=2) < 60
    for vertex in reading.vertices:
        x, y = in_overlay(reading, [vertex.photo_px])[0]
        rows, columns = np.nonzero(cyan)
        assert np.hypot(columns - x, rows - y).min() < 1.0


def test_found_lines_follow_their_path(photo, make_reading):
    """A path bent by the lens is drawn bent: its middle is drawn, its chord's middle is not."""
    reading = make_reading(count=4, others=0)
    line = reading.lines[0]
    path = np.array(line.path_px)
    bow = 30 * np.sin(np.linspace(0, np.pi, len(path)))
    bent = replace(line, path_px=tuple(map(tuple, (path + bow[:, None] * [0.0, 1.0]).tolist())))
    shown = replace(reading, lines=(bent,), pricks=(), sides=())
    picture = opened(draw_overlay(photo, shown))
    cyan = np.abs(picture - np.array(style.CYAN)).sum(axis=2) < 60
    on, off = (
        in_overlay(shown, [point])[0].round().astype(int)
        for point in (bent.path_px[4], line.path_px[4])
    )
    assert cyan[on[1] - 1 : on[1] + 2, on[0] - 1 : on[0] + 2].any()
    assert not cyan[off[1] - 3 : off[1] + 4, off[0] - 3 : off[0] + 4].any()


@pytest.mark.parametrize("count", [3, 4, 5, 7, 12, 24])
@pytest.mark.parametrize("lost", [(), (1,)])
def test_words_stand_clear_of_marks_and_of_each_other(make_reading, count, lost):
    frame, scene, placed = staged(make_reading(count=count, lost=lost, tolerance_mm=0.1))
    boxes = [box for _, box in placed.letters]
    boxes += [label.box for label in (*placed.labels, *placed.angles)]
    marks = np.vstack(
        [
            *(np.linspace(e.ends[0], e.ends[1], 200) for e in scene.edges),
            *(
                np.linspace(e.enlarged[0], e.enlarged[1], 200)
                for e in scene.edges
                if e.enlarged is not None
            ),
            *(line for line in scene.other_lines),
            *(centre for centre, _ in scene.pricks),
            *(corner.point for corner in scene.corners),
        ]
    )
    assert len(placed.letters) == count
    for box in boxes:
        assert not inside(box, marks, margin_px=3.0).any()
        assert (box.corners() >= 0).all()
        assert (box.corners() <= [frame.width_px, frame.height_px]).all()
    for k, box in enumerate(boxes):
        for other in boxes[:k]:
            grid = np.linspace(-0.45, 0.45, 9)
            shares = np.stack(np.meshgrid(grid, grid), -1).reshape(-1, 2)
            corners = other.corners()
            points = other.centre + shares @ np.array(
                [corners[1] - corners[0], corners[3] - corners[0]]
            )
            assert not inside(box, points).any()


def test_a_prick_away_from_the_figure_is_kept_clear(make_reading):
    """A prick put where a label stands moves the label."""
    reading = make_reading(count=4)
    frame, _, placed = staged(reading)
    first = placed.labels[0].box
    at = frame.to_photo(np.array([first.centre]))[0]
    stray = replace(reading.pricks[0], photo_px=(float(at[0]), float(at[1])), at="")
    _, scene, moved = staged(replace(reading, pricks=(*reading.pricks, stray)))
    centre = scene.pricks[-1][0]
    np.testing.assert_allclose(centre, first.centre, atol=0.5)
    assert not any(inside(label.box, centre.reshape(1, 2), 15.0).any() for label in moved.labels)


def test_a_square_of_the_photo_is_square_in_the_picture(make_reading):
    for count in (3, 7):
        frame = taken_frame(make_reading(count=count))
        ends = frame.to_panel(np.array([[1000.0, 900], [1100, 900], [1000, 1000]]))
        np.testing.assert_allclose(ends[1] - ends[0], (ends[2] - ends[0])[::-1], atol=1e-9)
        assert frame.width_px == 1600


@pytest.mark.parametrize("count", [3, 4, 5, 7])
def test_letters_and_labels_stand_outside_the_figure(make_reading, count):
    _, scene, placed = staged(make_reading(count=count))
    middle = np.mean([c.point for c in scene.corners], axis=0)
    points = {c.name: c.point for c in scene.corners}
    for name, box in placed.letters:
        assert np.hypot(*(box.centre - middle)) > np.hypot(*(points[name] - middle))
    assert len(placed.labels) == count
    ends = [e.ends.mean(axis=0) for e in scene.edges]
    for label in placed.labels:
        nearest = min(ends, key=lambda p: np.hypot(*(p - label.box.centre)))
        assert np.hypot(*(label.box.centre - middle)) > np.hypot(*(nearest - middle))


def test_words_left_out_are_counted(make_reading):
    _, _, placed = staged(make_reading(count=24, tolerance_mm=0.1))
    assert placed.left_out
    assert len(placed.left_out) + len(placed.labels) + len(placed.angles) == 48


def test_words_longer_than_their_side_name_it(make_reading):
    """Else nobody knows which of 24 short sides a label belongs to."""
    reading = make_reading(count=24, lost=(3,))
    names = {f"{side_name(side)} " for side in reading.sides}
    _, _, placed = staged(reading)
    assert placed.labels
    assert all(any(label.rows[0].startswith(name) for name in names) for label in placed.labels)
    _, _, roomy = staged(make_reading(count=4))
    assert not any(DASH in label.rows[0] for label in roomy.labels)


def test_no_word_is_upside_down(make_reading):
    _, _, placed = staged(make_reading(count=7))
    assert all(-np.pi / 2 <= label.box.angle_rad <= np.pi / 2 for label in placed.labels)


def test_labels_say_deviation_uncertainty_and_verdict(make_reading):
    reading = make_reading(count=5, lost=(1,), tolerance_mm=0.02)
    _, _, placed = staged(reading)
    said = {" ".join(label.rows).replace("\N{NO-BREAK SPACE}", " ") for label in placed.labels}
    assert "not seen" in said
    assert {"no corner B", "no corner C"} <= said
    side = reading.sides[4]
    value = f"{side.deviation_mm:+.3f}".replace("-", MINUS)
    assert any(words.startswith(value) and "± 0.034" in words for words in said)
    loud = [label for label in placed.labels if label.loud]
    assert len(loud) == sum(s.verdict == "outside" for s in reading.sides)
    assert all("outside" in " ".join(label.rows) for label in loud)


def test_the_enlarged_side_is_factor_times_as_far_off(make_reading):
    _, scene, _ = staged(make_reading(count=5))
    assert scene.factor > 1
    for edge in scene.edges:
        np.testing.assert_allclose(
            edge.enlarged - edge.intended, scene.factor * (edge.ends - edge.intended), atol=1e-9
        )
    longest = max(np.hypot(*(e.enlarged - e.intended).T).max() for e in scene.edges)
    assert 25 < longest <= 80


def test_noise_is_not_blown_up(make_reading):
    reading = make_reading(count=5)
    unsure = replace(reading, sides=tuple(replace(s, U_mm=1.0) for s in reading.sides))
    assert staged(unsure)[1].factor < staged(reading)[1].factor


def test_strokes_differ_without_colour():
    """In grey: the enlarged side dark with a light edge, all others light with a dark edge."""

    def grey(colour):
        return np.dot(colour, [0.299, 0.587, 0.114])

    assert grey(style.ENLARGED.colour) < 90
    assert grey(style.ENLARGED.halo) > 200
    for stroke in (style.FOUND, style.INTENDED, style.UNSEEN, style.RING):
        assert grey(stroke.colour) > 170
        assert grey(stroke.halo) < 60
    styles = {(s.width_px, s.dash_px) for s in (style.FOUND, style.INTENDED, style.UNSEEN)}
    assert len(styles) == 3


def test_everything_comes_from_the_reading_file(photo, make_reading):
    reading = from_json(to_json(make_reading(lost=(1,))))
    again = from_json(to_json(reading))
    assert draw_overlay(photo, again) == draw_overlay(photo, reading)


def test_a_plate_at_the_photos_edge_is_still_framed(photo, make_reading):
    reading = make_reading()
    shift = np.array([-900.0, -700.0])

    def moved(points):
        return tuple(map(tuple, (np.array(points) + shift).tolist()))

    plate = replace(
        reading.plate,
        outline_px=moved(reading.plate.outline_px),
        intended_px=moved(reading.plate.intended_px),
    )
    edge = replace(
        reading,
        plate=plate,
        vertices=tuple(replace(v, photo_px=moved([v.photo_px])[0]) for v in reading.vertices),
        lines=(),
        pricks=(),
    )
    assert taken_frame(edge).low[0] < 0
    assert opened(draw_overlay(photo, edge)).shape[1] == 1600


def test_nothing_found_on_the_plate_still_draws(photo, make_reading):
    reading = make_reading(count=4, lost=(0, 1, 2, 3))
    bare = replace(reading, lines=(), pricks=(), plate=replace(reading.plate, intended_px=None))
    assert opened(draw_overlay(photo, bare)).shape[1] == 1600


def test_a_refusal_has_no_picture(photo, make_reading):
    with pytest.raises(ValueError, match="plate"):
        draw_overlay(photo, replace(make_reading(), plate=None))
