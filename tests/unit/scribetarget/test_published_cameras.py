"""Real photos that others calibrated: the same camera comes out, within what is stated."""

import json
from pathlib import Path

import numpy as np
import pytest

from scribetarget.bundle import PointView, adjust
from scribetarget.camera import LENS_NAMES, Camera
from scribetarget.printscale import PrintScale

REFERENCE = Path(__file__).parents[3] / "fixtures" / "reference"
EXACT = PrintScale(np.ones(2), np.eye(2) * 1e-16, np.eye(2) * 1e-17, known=True)
SIGMA_PX = 0.1
# Free parameters: the model that the publisher used.
TWO_RADIAL, NO_K3, ALL = 6, 8, 9


def load(name):
    raw = json.loads((REFERENCE / f"{name}.json").read_text())
    board = np.column_stack([raw["board"], np.zeros(len(raw["board"]))])
    sigma = np.full(len(board), SIGMA_PX)
    views = [PointView(board, np.array(view["corners_px"]), sigma) for view in raw["views"]]
    return raw, views


def anything(raw, free):
    """A prior that knows next to nothing of the free parameters."""
    width, height = raw["width_px"], raw["height_px"]
    spread = np.array([width / 2, 0.1, width / 10, width / 10, 1.0, 1.0, 0.05, 0.05, 1.0])
    spread[free:] = 1e-9
    values = np.array([1.2 * width, 1, (width - 1) / 2, (height - 1) / 2, 0, 0, 0, 0, 0.0])
    return Camera(width, height, values, np.diag(spread**2), "guess", "")


def solved(name, free):
    raw, views = load(name)
    bundle = adjust(views, anything(raw, free), EXACT)
    f, aspect, cx, cy = bundle.lens[:4]
    widened = bundle.covariance[:4, :4] * max(1.0, bundle.photo_scatter)
    to_fy = np.eye(4)
    to_fy[1, :2] = aspect, f
    u = np.sqrt(np.diag(to_fy @ widened @ to_fy.T))
    return raw["published"], bundle, np.array([f, f * aspect, cx, cy]), u


def rms_px(bundle):
    squares = [(r[k] ** 2).sum(1) for r, k in zip(bundle.residuals_px, bundle.kept, strict=True)]
    return np.sqrt(np.concatenate(squares).mean())


@pytest.mark.parametrize(
    ("name", "free", "published_u_px", "most_rms_px"),
    [
        # The publisher's own standard deviation of fx, or what a second program differs by.
        ("chessboard_webcam", ALL, 0.93, 0.25),
        ("chessboard_compact", TWO_RADIAL, 1.43, 0.2),
        ("chessboard_industrial", NO_K3, 0.37, 0.25),
        ("planar_squares", TWO_RADIAL, 0.3, 0.34),
    ],
)
def test_the_published_camera_comes_out(name, free, published_u_px, most_rms_px):
    published, bundle, found, u = solved(name, free)
    other = [published[key] for key in ("fx", "fy", "cx", "cy")]
    assert np.all(np.abs(found - other) < 2.5 * np.hypot(u, published_u_px))
    assert np.all(u[:2] < 0.01 * found[0])  # it does say something
    assert rms_px(bundle) < most_rms_px
    # Of the bend only the whole is comparable: k1 and k2 trade, so compare at the picture's edge.
    reach = 0.5 * max(found[2], found[3]) / found[0]
    k1, k2, k3 = (bundle.lens[LENS_NAMES.index(key)] for key in ("k1", "k2", "k3"))
    ours = k1 * reach**2 + k2 * reach**4 + k3 * reach**6
    theirs = sum(published[f"k{n}"] * reach ** (2 * n) for n in (1, 2, 3))
    assert ours == pytest.approx(theirs, abs=2e-3)


def test_a_second_program_without_skew_agrees_more_closely():
    """The figures recomputed with a general-purpose library, no outliers left out."""
    _, bundle, found, u = solved("planar_squares", TWO_RADIAL)
    assert np.all(np.abs(found - [832.207, 832.243, 304.068, 206.372]) < 0.5 * u)
    assert bundle.lens[4:6] == pytest.approx([-0.22853, 0.19101], abs=2e-3)


def test_pixels_that_are_not_square_are_found():
    """fx and fy of the industrial camera differ by 0.21 % in fact."""
    _, _, found, _ = solved("chessboard_industrial", NO_K3)
    assert found[1] / found[0] == pytest.approx(2704.133 / 2709.983, abs=2e-4)


def flat_and_bent():
    """One real photo each of a rigid board and of one that is not, seen by known cameras."""
    result = []
    for name, count in (("chessboard_webcam", 1), ("marker_ring_bent", 1)):
        raw, views = load(name)
        known = raw["published"]
        lens = np.array([known["fx"], known["fy"] / known["fx"], *list(known.values())[2:]])
        camera = Camera(640, 480, lens, np.diag(np.full(9, 1e-6)) ** 2, "profile", "")
        mm = 25.0 if name == "chessboard_webcam" else 1.0
        bundle = adjust(views[:count], camera, EXACT)
        rest = np.sqrt((bundle.residuals_px[0] ** 2).sum(1).mean())
        result.append((bundle.reduced_chi2, rest * bundle.poses[0, 5] * mm / lens[0]))
    return result


def test_a_board_that_is_really_bent_shows_in_the_residuals():
    (flat_chi2, flat_mm), (bent_chi2, bent_mm) = flat_and_bent()
    assert flat_mm < 0.2
    assert bent_mm > 0.5  # about a millimetre, says its source
    assert bent_chi2 > 5 * flat_chi2
