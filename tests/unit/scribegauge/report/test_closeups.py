"""Corners enlarged: true to scale, and the marks on what they mark."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.report.closeups import SPAN, SPAN_MM, close_ups
from scribegauge.report.htmlfile import write_report

PER_MM = SPAN / SPAN_MM


def opened(close_up):
    return close_up.picture.astype(float).mean(axis=2)


def moved_pricks(reading, shift_mm, photo_from_mm):
    """Put each corner's prick aside by a shift in the plate."""
    pricks = []
    for prick, vertex in zip(reading.pricks, reading.vertices, strict=True):
        at = np.array([vertex.x_mm, vertex.y_mm]) + shift_mm
        x, y = photo_from_mm(at)
        pricks.append(replace(prick, photo_px=(float(x), float(y))))
    return replace(reading, pricks=tuple(pricks))


def seen_by(reading, photo_from_mm):
    """Show the same plate through another map."""

    def pairs(points):
        return tuple(tuple(map(float, photo_from_mm(np.array(p)))) for p in points)

    plate = replace(reading.plate, intended_px=pairs(reading.plate.intended_mm))
    lines = tuple(
        replace(line, path_px=pairs(np.linspace(line.start_mm, line.end_mm, 9)))
        for line in reading.lines
    )
    vertices = tuple(replace(v, photo_px=pairs([(v.x_mm, v.y_mm)])[0]) for v in reading.vertices)
    return replace(reading, plate=plate, lines=lines, vertices=vertices)


def tilted(point):
    """Map plate mm to a photo that looks along the plate: squeezed and in perspective."""
    x, y = point
    w = 1 + 0.004 * x
    return np.array([1200 + 18 * x / w, 900 + (14 * y + 2 * x) / w])


def test_a_mark_in_the_photo_is_shown_where_it_is(photo, make_reading):
    """A dark dot 13.5 px right of corner A: 0.75 mm at 18 px/mm."""
    reading = make_reading(count=4, others=0)
    x, y = np.add(reading.vertices[0].photo_px, (13.5, 0.0))
    rows, columns = np.mgrid[: photo.grey.shape[0], : photo.grey.shape[1]]
    dot = np.exp(-((columns - x) ** 2 + (rows - y) ** 2) / 8.0)
    rgb = (photo.rgb - 100 * dot[..., None]).astype(np.uint8)
    grey = opened(close_ups(replace(photo, rgb=rgb), reading)[0])
    dark = np.clip(np.median(grey) - 30 - grey, 0, None)
    rows, columns = np.mgrid[: grey.shape[0], : grey.shape[1]]
    centre = np.array([(columns * dark).sum(), (rows * dark).sum()]) / dark.sum()
    drawn = (centre + 0.5) * SPAN / len(grey)
    np.testing.assert_allclose(drawn, [SPAN / 2 + 0.75 * PER_MM, SPAN / 2], atol=2.0)


@pytest.mark.parametrize("shift", [(0.5, 0.0), (0.0, 0.5), (-0.4, 0.3)])
def test_a_millimetre_is_a_millimetre_however_the_camera_stood(photo, make_reading, shift):
    reading = seen_by(make_reading(count=5), tilted)
    made = close_ups(photo, moved_pricks(reading, np.array(shift), tilted))
    assert len(made) == 5
    for each in made:
        (ring,) = each.rings
        off = np.hypot(ring.x - SPAN / 2, ring.y - SPAN / 2) / PER_MM
        assert off == pytest.approx(0.5, abs=0.01)
        assert ring.radius == pytest.approx(0.15 * PER_MM, abs=0.1)


def test_the_photos_up_stays_up(photo, make_reading):
    """The plate lies turned by 25 degrees in the photo; what is above stays above."""
    reading = make_reading(count=4)
    vertex = reading.vertices[0]
    prick = replace(reading.pricks[0], photo_px=(vertex.photo_px[0], vertex.photo_px[1] - 9.0))
    (ring,) = close_ups(photo, replace(reading, pricks=(prick,)))[0].rings
    assert ring.x == pytest.approx(SPAN / 2, abs=0.5)
    assert ring.y == pytest.approx(SPAN / 2 - 0.5 * PER_MM, abs=0.5)


def test_arms_point_to_the_corner_along_its_two_sides(photo, make_reading):
    reading = make_reading(count=5)
    each = close_ups(photo, reading)[0]
    ends = np.array([reading.vertices[k].photo_px for k in (1, 4)]) - reading.vertices[0].photo_px
    wanted = np.sort(np.degrees(np.arctan2(ends[:, 1], ends[:, 0])) % 180)
    assert len(each.arms) == 4
    found = set()
    for x1, y1, x2, y2 in each.arms:
        towards = np.array([x1, y1]) - SPAN / 2
        away = np.array([x2, y2]) - SPAN / 2
        assert abs(towards[0] * away[1] - towards[1] * away[0]) < 60
        assert np.hypot(*away) > np.hypot(*towards) > 0.15 * PER_MM
        found.add(round(float(np.degrees(np.arctan2(y2 - y1, x2 - x1)) % 180)))
    np.testing.assert_allclose(sorted(found), wanted, atol=1.0)


def test_the_intended_corner_is_as_far_off_as_the_reading_says(photo, make_reading):
    reading = make_reading(count=5)
    for k, each in enumerate(close_ups(photo, reading)):
        vertex, laid = reading.vertices[k], reading.plate.intended_mm[k]
        off = np.hypot(vertex.x_mm - laid[0], vertex.y_mm - laid[1])
        x, y = each.intended
        assert np.hypot(x - SPAN / 2, y - SPAN / 2) / PER_MM == pytest.approx(off, abs=0.003)


def test_corners_not_found_or_off_the_photo_are_left_out(photo, make_reading):
    reading = make_reading(count=5, lost=(1,))
    assert [each.name for each in close_ups(photo, reading)] == ["A", "D", "E"]
    far = replace(reading.vertices[0], photo_px=(-5.0, 10.0))
    moved = replace(reading, vertices=(far, *reading.vertices[1:]))
    assert [each.name for each in close_ups(photo, moved)] == ["D", "E"]
    edge = replace(reading.vertices[0], photo_px=(0.0, 0.0))
    at_edge = replace(reading, vertices=(edge, *reading.vertices[1:]))
    assert opened(close_ups(photo, at_edge)[0]).shape == (360, 360)


def test_the_page_shows_each(photo, make_reading):
    reading = make_reading(count=6)
    page = write_report(photo, reading).decode()
    assert page.count("<image href=") == 6 + 1
    assert all(f"<title>Corner {v.name} enlarged" in page for v in reading.vertices)


def test_other_marks_that_pass_a_corner_are_shown_with_its_middle_bare(photo, make_reading):
    reading = make_reading(count=4, others=0)
    a, c = (reading.vertices[k] for k in (0, 2))
    (ax, ay), (cx, cy) = a.photo_px, c.photo_px
    past_px = (ax - 0.2 * (cx - ax), ay - 0.2 * (cy - ay))
    past_mm = (a.x_mm - 0.2 * (c.x_mm - a.x_mm), a.y_mm - 0.2 * (c.y_mm - a.y_mm))
    through = replace(
        reading.lines[0],
        side="",
        start_mm=past_mm,
        end_mm=(c.x_mm, c.y_mm),
        path_px=(past_px, c.photo_px),
    )
    each = close_ups(photo, replace(reading, lines=(*reading.lines, through)))[0]
    along = np.array([cx - ax, cy - ay]) / np.hypot(cx - ax, cy - ay)
    assert len(each.passing) == 2
    for path in each.passing:
        off = path - SPAN / 2
        np.testing.assert_allclose(off @ [-along[1], along[0]], 0.0, atol=0.5)
        assert np.hypot(*off.T).min() > 0.15 * PER_MM
    assert close_ups(photo, reading)[0].passing == ()
