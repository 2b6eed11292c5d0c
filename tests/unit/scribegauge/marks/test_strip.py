"""A line's surroundings set against the metal beside it."""

import numpy as np
import pytest

from scribegauge.marks.strip import cut_strip

START, END = np.array([30.0, 41.0]), np.array([50.0, 46.0])


def test_noise_and_level_are_those_of_the_metal(hold_camera, stroke):
    setup = hold_camera()
    photo = setup.draw(stroke(START, END, -80), noise=6.0, grey=140.0)
    strip = cut_strip(photo, setup.face, START, END)
    assert strip.metal_level == pytest.approx(140, abs=0.7)
    # Sampling between pixels averages: by 2/3 in variance along each axis, over all phases.
    assert 0.55 * 6 < strip.noise < 6.0
    assert strip.grey.shape == strip.scaled.shape == (len(strip.v_mm), len(strip.u_mm))


def test_axes_are_millimetres_along_and_across(hold_camera):
    setup = hold_camera()
    strip = cut_strip(setup.draw(), setup.face, START, END, 0.5)
    length = np.hypot(*(END - START))
    # Bins of 0.4 mm, the first one's middle half a bin from the start.
    np.testing.assert_allclose(np.diff(strip.u_mm), 0.4, atol=0.06)
    assert strip.u_mm[0] == pytest.approx(0.2, abs=0.06)
    assert strip.u_mm[-1] == pytest.approx(length - 0.2, abs=0.1)
    np.testing.assert_allclose(strip.v_mm, np.arange(-25, 26) * 0.02, atol=1e-12)


@pytest.mark.parametrize(("look", "grey"), [("single", -50), ("single", 40), ("double", 50)])
def test_the_groove_stands_where_it_was_drawn(hold_camera, stroke, look, grey):
    setup = hold_camera(tilt_deg=15.0, azimuth_deg=200.0)
    normal = np.array([-5.0, 20.0]) / np.hypot(5, 20)
    photo = setup.draw(stroke(START + 0.1 * normal, END + 0.1 * normal, grey, look=look), noise=1.0)
    strip = cut_strip(photo, setup.face, START, END)
    profile = strip.grey[:, 3:-3].mean(axis=1)
    weight = np.abs(profile) * (np.abs(strip.v_mm - 0.1) < 0.15)
    assert weight @ strip.v_mm / weight.sum() == pytest.approx(0.1, abs=0.006)
    peak = profile[np.abs(profile).argmax()]
    assert np.sign(peak) == np.sign(grey) or look == "double"
    if look == "double":
        # grey is the side that the left normal points to.
        assert profile.argmax() > profile.argmin()


def test_shade_across_and_along_is_taken_out(hold_camera):
    setup = hold_camera()

    def uneven(x, y, _blur):
        return 3.0 * (x - 40) + 6.0 * (y - 45)

    strip = cut_strip(setup.draw(uneven, noise=1.0), setup.face, START, END)
    inner = strip.grey[:, 4:-4]
    assert np.abs(inner.mean(axis=1)).max() < 0.35
    assert np.abs(inner.mean(axis=0)).max() < 0.6


def test_a_glint_is_limited(hold_camera):
    setup = hold_camera()

    def glint(x, y, _blur):
        return 100.0 * (np.hypot(x - 40, y - 43.5) < 0.15)

    strip = cut_strip(setup.draw(glint, noise=2.0), setup.face, START, END)
    assert np.abs(strip.scaled).max() <= 6.0
    assert np.abs(strip.grey).max() > 10.0


def test_scaled_does_not_depend_on_contrast(hold_camera, stroke):
    setup = hold_camera()
    soft = cut_strip(setup.draw(stroke(START, END, -20), noise=5.0), setup.face, START, END)
    hard = cut_strip(setup.draw(stroke(START, END, -60), noise=15.0), setup.face, START, END)
    np.testing.assert_allclose(soft.scaled, hard.scaled, atol=0.6)
    assert hard.noise == pytest.approx(3 * soft.noise, rel=0.05)


def test_a_flat_picture_has_the_noise_of_rounding(hold_camera):
    setup = hold_camera()
    strip = cut_strip(np.full((560, 640), 90, np.uint8), setup.face, START, END)
    assert strip.noise == pytest.approx(0.25)
    assert np.isfinite(strip.scaled).all()
