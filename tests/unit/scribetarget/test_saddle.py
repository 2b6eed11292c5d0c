"""Corners of drawn rings come back where they were drawn, as well as they say."""

import cv2
import numpy as np
import pytest

from scribetarget.saddle import refine_saddles, settled
from scribetarget.spec import corner_positions_mm, load_specs

SPEC = load_specs()["S"]
PLACES_MM = corner_positions_mm(SPEC, SPEC.corner_ids)
DARK_AHEAD = np.rint(PLACES_MM / SPEC.square_mm).sum(axis=1) % 2 == 0
SHAPE = (700, 700)


@pytest.fixture(scope="module")
def drawing(studio):
    matrix = studio.view_matrix(SPEC, 39.0, 17.0, 0.15, (350.3, 348.7))
    return studio.draw(studio.ink_of(SPEC), SPEC, matrix, SHAPE)


def refine(drawing, photo, shift_px=0.0, places_mm=PLACES_MM, dark_ahead=DARK_AHEAD):
    step = np.eye(2) * SPEC.square_mm / 2
    axes = [drawing.places_px(places_mm + d) - drawing.places_px(places_mm - d) for d in step]
    guesses = drawing.places_px(places_mm)
    guesses = guesses + np.random.default_rng(5).normal(0, 1, guesses.shape) * shift_px
    return refine_saddles(photo, guesses, np.stack(axes, axis=2), dark_ahead)


@pytest.mark.parametrize("blur_px", [0.4, 0.9, 2.0])
def test_no_bias_whatever_the_blur(studio, drawing, blur_px):
    photo = studio.as_photo(drawing.photograph(blur_px))
    saddles = refine(drawing, photo, shift_px=0.5)
    error = saddles.corners_px - drawing.places_px(PLACES_MM)
    assert np.abs(error.mean(axis=0)).max() < 0.003
    assert np.abs(error).max() < 0.03
    assert np.sqrt((error**2).mean()) < 0.01


def test_blur_is_estimated_with_the_pixel_aperture(studio, drawing):
    saddles = refine(drawing, studio.as_photo(drawing.photograph(1.2)))
    assert np.median(saddles.blur_px) == pytest.approx(np.hypot(1.2, 1 / np.sqrt(12)), rel=0.04)


def test_no_bias_from_a_tone_curve_or_uneven_light(studio, drawing):
    linear = drawing.photograph(1.0, white=1.0, black=0.08)
    light = np.linspace(0.35, 1.0, SHAPE[1])[None, :] * np.linspace(1.0, 0.6, SHAPE[0])[:, None]
    photo = studio.as_photo(230 * (linear * light) ** (1 / 2.2))
    error = refine(drawing, photo).corners_px - drawing.places_px(PLACES_MM)
    assert np.abs(error.mean(axis=0)).max() < 0.005
    assert np.sqrt((error**2).mean()) < 0.02


@pytest.mark.parametrize(("tied_px", "most"), [(0.0, 1.15), (0.65, 1.25)])
def test_spread_is_what_it_says(studio, drawing, tied_px, most):
    """Even noise, and noise tied between neighbours as a colour filter leaves it."""
    level = drawing.photograph(0.9)
    normalised = []
    for seed in range(4):
        noise = np.random.default_rng(seed).normal(0, 5, SHAPE)
        if tied_px:
            noise = cv2.GaussianBlur(noise, (0, 0), tied_px) * 2.5
        saddles = refine(drawing, studio.as_photo(level + noise))
        error = saddles.corners_px - drawing.places_px(PLACES_MM)
        normalised.append(error / saddles.sigma_px[:, None])
    spread = float(np.sqrt(np.mean(np.square(normalised))))
    assert 0.85 < spread < most


def test_the_guess_does_not_matter(studio, drawing):
    photo = studio.as_photo(drawing.photograph(0.8), noise=3.0)
    near, far = refine(drawing, photo), refine(drawing, photo, shift_px=0.9)
    same = np.abs(near.corners_px - far.corners_px).max(axis=1) < 0.01
    assert same[settled(far)].all()
    assert settled(far).mean() > 0.95


def test_swapped_colours_have_negative_contrast(studio, drawing):
    photo = studio.as_photo(255 - drawing.photograph(0.8))
    saddles = refine(drawing, photo)
    assert (saddles.contrast < -100).all()


def test_a_corner_under_a_finger_stands_out(studio, drawing):
    level = drawing.photograph(0.8)
    x, y = drawing.places_px(PLACES_MM[:1])[0]
    yy, xx = np.mgrid[: SHAPE[0], : SHAPE[1]]
    finger = (xx - x - 5) ** 2 + (yy - y - 4) ** 2 < 12**2
    photo = studio.as_photo(np.where(finger, 120.0, level), noise=2.0)
    saddles = refine(drawing, photo)
    assert saddles.residual[0] > 4 * np.median(saddles.residual)


def test_clipping_is_counted(studio, drawing):
    photo = studio.as_photo(drawing.photograph(0.8, white=290.0))
    saddles = refine(drawing, photo)
    assert 0.2 < saddles.clipped_share.mean() < 0.6
    assert refine(drawing, studio.as_photo(drawing.photograph(0.8))).clipped_share.max() == 0.0


def test_windows_at_the_border_use_what_there_is(studio):
    matrix = studio.view_matrix(SPEC, 40.0, 0.7, 0.02, (252.0, 300.0))
    near_edge = studio.draw(studio.ink_of(SPEC), SPEC, matrix, (600, 600))
    places = near_edge.places_px(PLACES_MM)
    inside = ((places > 9) & (places < 590)).all(axis=1)
    cut = inside & ((places < 16) | (places > 583)).any(axis=1)
    assert cut.sum() > 5
    saddles = refine(
        near_edge,
        studio.as_photo(near_edge.photograph(0.8)),
        places_mm=PLACES_MM[cut],
        dark_ahead=DARK_AHEAD[cut],
    )
    assert np.abs(saddles.corners_px - places[cut]).max() < 0.03
