"""Arrows, angles and the wrong step of the overlay."""

from dataclasses import replace

import numpy as np
import pytest

from scribegauge.report.constructionreading import ConstructionReading, StepReading
from scribegauge.report.drawing import Path
from scribegauge.report.drawingstyle import STEP
from scribegauge.report.frame import straight_frame
from scribegauge.report.overlay import figure_drawing
from scribegauge.report.panel import header, key_of
from scribegauge.report.placing import STEP_RING_PX, place
from scribegauge.report.scene import scene_of


def staged(reading):
    frame = straight_frame(reading)
    scene = scene_of(reading, frame)
    bar_px = 10 * frame.px_per_mm
    return frame, scene, place(scene, frame.width_px, frame.height_px, bar_px)


def inside(box, points, margin_px=0.0):
    """Which of the points lie inside a turned box, or within a margin of it."""
    cos, sin = np.cos(box.angle_rad), np.sin(box.angle_rad)
    local = (np.asarray(points) - box.centre) @ np.array([[cos, -sin], [sin, cos]])
    return (np.abs(local) < [box.width_px / 2 + margin_px, box.height_px / 2 + margin_px]).all(
        axis=1
    )


def test_arrows_lead_from_intended_corners_factor_times_as_far(make_reading):
    _, scene, _ = staged(make_reading(count=5))
    drawn = [c for c in scene.corners if c.arrow is not None]
    assert drawn
    for corner in drawn:
        k = [c.name for c in scene.corners].index(corner.name)
        np.testing.assert_allclose(corner.arrow[0], scene.intended[k], atol=1e-9)
        off = scene.factor * (corner.point - scene.intended[k])
        np.testing.assert_allclose(corner.arrow[1] - corner.arrow[0], off, atol=1e-9)


def test_angles_say_their_deviation_in_their_corner(make_reading):
    reading = make_reading(count=4, tolerance_mm=0.1)
    _, scene, placed = staged(reading)
    assert len(placed.angles) == 4
    points = {corner.name: corner.point for corner in scene.corners}
    for label, angle in zip(placed.angles, reading.angles, strict=True):
        assert label.rows[0] == f"{angle.at} +0.123°"
        assert label.rows[1].replace("\N{NO-BREAK SPACE}", " ") == "± 0.080"
        distances = {n: np.hypot(*(p - label.box.centre)) for n, p in points.items()}
        assert min(distances, key=distances.get) == angle.at


def with_step(reading, path_px):
    steps = tuple(
        StepReading(
            *(k, "OPQ"[k - 1], f"do {k}"),
            seen=True,
            own_mm=0.1,
            U_mm=0.05,
            inherited_mm=0.0,
            named=k > 1,
            side_shares_mm=(),
            angle_shares_deg=(),
            path_px=path,
        )
        for k, path in ((1, ()), (2, path_px), (3, ((5.0, 5.0),)))
    )
    names = ("regular", "Regular", True, ("somebody",), (), ("P",), ("A",))
    told = ConstructionReading(*names, (), (), (), steps, 2, (), None, (), (), None, ())
    return replace(reading, construction=told)


def is_step(path):
    """On the picture, not in the key below it."""
    return path.stroke == STEP and len(path.points) > 2


@pytest.mark.parametrize("length", [1, 9])
def test_the_step_that_went_wrong_first_is_marked(photo, make_reading, length):
    plain = make_reading(count=5)
    frame = straight_frame(plain)
    path = plain.lines[-1].path_px[:length] if length > 1 else (plain.vertices[2].photo_px,)
    _, scene, placed = staged(with_step(plain, path))
    np.testing.assert_allclose(scene.wrong.path, frame.to_panel(np.array(path)))
    assert placed.step.rows == ["step\N{NO-BREAK SPACE}2"]
    away = np.hypot(*(scene.wrong.path - placed.leader[1]).T)
    assert away.min() < STEP_RING_PX + 1.0
    assert not inside(placed.step.box, scene.wrong.path).any()
    drawing = figure_drawing(photo, with_step(plain, path), frame)
    (drawn,) = (s.points for s in drawing.shapes if isinstance(s, Path) and is_step(s))
    if length > 1:
        np.testing.assert_allclose(drawn, scene.wrong.path)
    else:
        np.testing.assert_allclose(np.hypot(*(drawn - scene.wrong.path).T), STEP_RING_PX)
    assert "step 2: first error" in [e.text for e in key_of(with_step(plain, path), scene)]


def test_a_step_without_a_mark_is_told_and_not_drawn(make_reading):
    _, scene, placed = staged(with_step(make_reading(count=5), ()))
    assert scene.wrong is None
    assert placed.step is None
    shapes = header(with_step(make_reading(count=5), ())).shapes
    assert any("entered at step 2: do 2" in shape.text for shape in shapes)
