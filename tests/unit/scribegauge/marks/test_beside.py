"""A line against its parallels."""

import numpy as np
import pytest

from scribegauge.marks.beside import NOTHING_TOLD, look_beside
from scribegauge.marks.linefit import trace_line
from scribegauge.marks.metal import look_at_metal

START, END = np.array([30.0, 40.0]), np.array([50.0, 40.0])
ENDS = np.array([START, END])


def chance(setup, photo, ends=ENDS):
    return look_beside(photo, setup.face, look_at_metal(photo, setup.face), ends).log10_chance()


def grinding(stroke, strength, seed):
    """Scratches of chance depth along the line, twelve to a millimetre, 4 mm to both sides."""
    rng = np.random.default_rng(seed)
    rows = np.arange(36.0, 44.0, 1 / 12) + rng.normal(0, 0.03, 96)
    deep = rng.normal(0, strength, len(rows))
    return [
        stroke((20.0, y), (60.0, y), grey, width_mm=0.08)
        for y, grey in zip(rows, deep, strict=True)
    ]


def test_a_line_in_plain_metal_stands_alone(hold_camera, stroke):
    setup = hold_camera()
    assert chance(setup, setup.draw(stroke(START, END, -20))) < -12


def test_nothing_stands_out_of_plain_metal(hold_camera):
    setup = hold_camera()
    assert all(chance(setup, setup.draw(seed=seed)) > -2 for seed in range(5))


def test_one_of_many_scratches_is_no_line(hold_camera, stroke):
    setup = hold_camera()
    for seed in range(3):
        scratches = grinding(stroke, 12.0, seed)
        # One of the deep ones, steady from end to end.
        photo = setup.draw(*scratches, stroke(START, END, -30, width_mm=0.08), seed=seed)
        assert chance(setup, photo) > -6
        assert trace_line(photo, setup.face, look_at_metal(photo, setup.face), ENDS) is None


def test_a_line_among_faint_scratches_is_a_line(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(*grinding(stroke, 2.0, 3), stroke(START, END, -60))
    assert chance(setup, photo) < -9.5


def test_hatching_is_no_texture(hold_camera, stroke):
    # Five clear lines a millimetre apart are five lines.
    setup = hold_camera()
    lines = [stroke((30.0, 38.0 + k), (50.0, 38.0 + k), -50) for k in range(5)]
    photo = setup.draw(*lines)
    assert chance(setup, photo) < -9.5
    assert trace_line(photo, setup.face, look_at_metal(photo, setup.face), ENDS) is not None


@pytest.mark.parametrize("row", [33.6, 56.4])
def test_near_the_plates_edge_its_other_side_tells(hold_camera, stroke, row):
    setup = hold_camera()
    ends = np.array([[30.0, row], [50.0, row]])
    photo = setup.draw(stroke(*ends, -30))
    assert chance(setup, photo, ends) < -9.5


def test_on_a_narrow_plate_there_are_no_parallels(hold_camera, stroke):
    setup = hold_camera(half_mm=(15.0, 2.3))
    photo = setup.draw(stroke((30.0, 45.0), (50.0, 45.0), -40))
    assert chance(setup, photo, np.array([[30.0, 45.0], [50.0, 45.0]])) == NOTHING_TOLD


def test_a_crossing_line_and_glints_change_nothing(hold_camera, stroke):
    setup = hold_camera()
    crossing = stroke((38.0, 34.0), (42.0, 46.0), 90)
    glint = stroke((45.0, 40.6), (45.6, 40.6), 100, width_mm=0.3)
    plain = chance(setup, setup.draw(stroke(START, END, -30)))
    assert chance(setup, setup.draw(stroke(START, END, -30), crossing, glint)) < plain / 2
