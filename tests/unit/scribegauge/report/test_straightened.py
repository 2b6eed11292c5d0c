"""Straightened: perspective and lens taken out, marks and photo still on one another."""

import io
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from scribegauge.report import drawingstyle as style
from scribegauge.report.cutting import cut
from scribegauge.report.frame import straight_frame, taken_frame
from scribegauge.report.overlay import draw_overlay, panel_top_px
from scribegauge.report.platemap import grid_of, map_of


def opened(png):
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)


def in_overlay(reading, points_px, frame=None):
    """Where photo points lie in the whole overlay."""
    frame = straight_frame(reading) if frame is None else frame
    return frame.to_panel(np.asarray(points_px, float)) + np.array([0, panel_top_px(reading)])


TURN = np.radians(100.0)


def tilted(points_mm):
    """A camera that looks along the plate and turns it: perspective and a bend as of a lens."""
    cos, sin = np.cos(TURN), np.sin(TURN)
    x, y = (np.asarray(points_mm, float).reshape(-1, 2) @ np.array([[cos, sin], [-sin, cos]])).T
    w = 1 + 0.004 * x
    flat = np.column_stack([18 * x / w, (14 * y + 2 * x) / w])
    bent = flat * (1 + 5e-8 * (flat**2).sum(axis=1, keepdims=True))
    return bent + np.array([1190.0, 910.0])


def seen_tilted(reading):
    """The same plate through that camera, with the grid that undoes it."""

    def pairs(points):
        return tuple(map(tuple, tilted(points).tolist()))

    outline = np.array([[-26.0, -26], [26, -26], [26, 26], [-26, 26]])
    plate = replace(
        reading.plate,
        outline_px=pairs(outline),
        intended_px=pairs(reading.plate.intended_mm),
        grid=grid_of(outline, tilted),
    )
    lines = tuple(
        replace(line, path_px=pairs(np.linspace(line.start_mm, line.end_mm, 9)))
        for line in reading.lines
    )
    return replace(
        reading,
        plate=plate,
        lines=lines,
        vertices=tuple(replace(v, photo_px=pairs([(v.x_mm, v.y_mm)])[0]) for v in reading.vertices),
        pricks=tuple(replace(p, photo_px=pairs([(p.x_mm, p.y_mm)])[0]) for p in reading.pricks),
    )


def test_the_grid_takes_the_plate_to_the_photo_and_back():
    outline = np.array([[-26.0, -26], [26, -26], [26, 26], [-26, 26]])
    made = map_of(grid_of(outline, tilted))
    points = np.random.default_rng(3).uniform(-40, 40, (200, 2))
    np.testing.assert_allclose(made.photo_from_plate(points), tilted(points), atol=0.01)
    np.testing.assert_allclose(made.plate_from_photo(tilted(points)), points, atol=1e-3)


def test_straightened_a_millimetre_is_a_millimetre_and_the_sheet_is_upright(make_reading):
    reading = seen_tilted(make_reading(count=5))
    frame = straight_frame(reading)
    mm = np.random.default_rng(5).uniform(-20, 20, (50, 2))
    drawn = frame.to_panel(tilted(mm))
    np.testing.assert_allclose(
        drawn - drawn[0], (mm - mm[0]) * frame.px_per_mm, atol=0.05
    )  # x to the right, y down, nothing turned, nothing bent
    np.testing.assert_allclose(frame.to_photo(drawn), tilted(mm), atol=0.01)


@pytest.mark.parametrize("view", [straight_frame, taken_frame])
def test_corners_and_photo_agree_however_the_camera_stood(photo, make_reading, view):
    """Dots painted on the true corners of the photo come out where the corners are drawn."""
    reading = seen_tilted(make_reading(count=4, others=0))
    frame = view(reading)
    truth = tilted([(v.x_mm, v.y_mm) for v in reading.vertices])
    rgb = photo.rgb.astype(np.float32)
    for x, y in truth:
        low = (np.array([x, y]) - 20).astype(int)
        rows, columns = np.mgrid[low[1] : low[1] + 40, low[0] : low[0] + 40]
        spot = np.exp(-((columns - x) ** 2 + (rows - y) ** 2) / 18.0)
        rgb[low[1] : low[1] + 40, low[0] : low[0] + 40] -= 140 * spot[..., None]
    spotted = replace(photo, rgb=rgb.clip(0, 255).astype(np.uint8))
    bare = cut(spotted, frame).astype(float).mean(axis=2)
    picture = opened(draw_overlay(spotted, replace(reading, pricks=()), frame))
    cyan = np.abs(picture - np.array(style.CYAN)).sum(axis=2) < 60
    for at, drawn in zip(frame.to_panel(truth), in_overlay(reading, truth, frame), strict=True):
        x, y = at.round().astype(int)
        part = np.clip(120 - bare[y - 25 : y + 26, x - 25 : x + 26], 0, None)
        row, column = np.mgrid[-25:26, -25:26]
        centre = np.array([(column * part).sum(), (row * part).sum()]) / part.sum() + [x, y]
        assert np.hypot(*(centre - at)) < 0.5
        found = np.argwhere(cyan)[:, ::-1]
        assert np.hypot(*(found - drawn).T).min() < 1.0
