"""All lines on a plate: every one found once, none invented."""

import numpy as np
import pytest

from scribegauge.figure.lines import offsets
from scribegauge.marks.lines import find_lines
from scribegauge.marks.metal import look_at_metal
from scribegauge.simulate.scene import CameraModel

DRAWN = [
    ((27.0, 36.0), (50.0, 38.0), {"grey": -60}),
    ((50.5, 34.0), (46.0, 56.0), {"grey": 55}),
    ((28.0, 35.0), (31.0, 55.5), {"grey": 50, "look": "double"}),
    ((29.0, 54.0), (48.0, 50.0), {"grey": -25}),
]

SMALL = CameraModel(size_px=(430, 370), f_px=3000.0, centre_px=(214.5, 184.5), dist=(0.0,) * 5)


def found(setup, photo):
    return find_lines(photo, setup.face, look_at_metal(photo, setup.face))


def test_every_line_is_found_once_and_nothing_else(hold_camera, stroke):
    setup = hold_camera(tilt_deg=10.0, azimuth_deg=30.0)
    photo = setup.draw(*[stroke(a, b, **more) for a, b, more in DRAWN], noise=4.0)
    lines = found(setup, photo)
    assert len(lines) == len(DRAWN)
    for a, b, _ in DRAWN:
        truth = np.array([a, b])
        off = [np.abs(offsets(truth, line.ends_mm)).max() for line in lines]
        best = lines[int(np.argmin(off))]
        assert min(off) < 0.01
        assert np.hypot(*(best.ends_mm[1] - best.ends_mm[0])) > 0.93 * np.hypot(*(truth[1] - a))


def test_false_alarms_on_parallel_scratches(hold_camera, brushed):
    # One false line in a thousand plates is promised.
    false = []
    for seed in range(16):
        setup = hold_camera(camera=SMALL, half_mm=(10.0, 8.5), roll_deg=(0, 26, 90, 133)[seed % 4])
        photo = setup.draw(brushed(seed, 9.0, (15, 40, 80)[seed % 3]), seed=seed)
        false += found(setup, photo)
    assert len(false) <= 1


def test_false_alarms_on_noise(hold_camera, expose):
    setup = hold_camera(camera=SMALL, half_mm=(10.0, 8.5))
    light = setup.light()
    assert [found(setup, expose(light, 6.0, seed)) for seed in range(8)] == [()] * 8


def test_a_line_among_scratches_across_their_grain(hold_camera, stroke, brushed):
    setup = hold_camera(half_mm=(12.0, 10.0), roll_deg=30.0)
    ends = np.array([[36.0, 37.0], [43.0, 53.0]])
    (line,) = found(setup, setup.draw(brushed(1, 9.0), stroke(*ends, -35)))
    assert np.abs(offsets(ends, line.ends_mm)).max() < 0.02


def test_two_lines_apart_by_more_than_a_groove_are_two(hold_camera, stroke):
    setup = hold_camera(half_mm=(12.0, 10.0))
    pair = [np.array([[31.0, y], [49.0, y + 1.0]]) for y in (44.0, 45.0)]
    lines = found(setup, setup.draw(*[stroke(*ends, -30) for ends in pair]))
    assert len(lines) == 2
    for ends in pair:
        assert min(np.abs(offsets(ends, line.ends_mm)).max() for line in lines) < 0.02


@pytest.mark.parametrize("grey", [-70, 70])
def test_a_strong_line_has_no_ghost_beside_it(hold_camera, stroke, grey):
    setup = hold_camera(half_mm=(12.0, 10.0))
    ends = np.array([[30.0, 37.4], [50.0, 51.4]])
    (line,) = found(setup, setup.draw(stroke(*ends, grey)))
    assert np.abs(offsets(ends, line.ends_mm)).max() < 0.01


def test_a_strong_line_has_no_ghost_in_a_photo_of_7_px_per_mm(hold_camera, stroke):
    coarse = CameraModel(size_px=(300, 260), f_px=1000.0, centre_px=(149.5, 129.5), dist=(0.0,) * 5)
    setup = hold_camera(camera=coarse, half_mm=(18.0, 15.0))
    photo = setup.draw(stroke([26.0, 38.4], [54.0, 50.4], 70, width_mm=0.1), noise=1.0)
    assert len(found(setup, photo)) == 1
