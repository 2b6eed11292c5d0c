"""What it costs not to know the focal length: U over 50 mm of a plate 1 mm above the sheet.

Worked out beforehand for one geometry, analytically and by Monte Carlo within 5 % of each other:
351 µm head-on when nothing is known of it, 11.5 with the photo's own record (3 %), 5.6 at 10 and 3.7
at 20 degrees. Distance, size of sheet and noise of the corners move these by a factor of two.
"""

from dataclasses import replace

import numpy as np
import pytest

from scribetarget.lens import plane_from_photo, project
from scribetarget.pose import STEPS, solve_view
from scribetarget.printscale import scale_from_bars
from scribetarget.priors import camera_from_exif
from scribetarget.spec import load_specs

SPEC = load_specs()["M"]
SIZE = (4000, 3000)
SCALE = scale_from_bars(SPEC, [(100.0, 100.0)])
RECORDED = camera_from_exif(*SIZE, 26.0, "Bench A-12")
FACE_MM = -1.0
DISTANCE_MM, SIGMA_PX = 240.0, 0.04


def unrecorded(share):
    """The same camera with a focal length that is known to a share of itself."""
    covariance = RECORDED.covariance.copy()
    covariance[0, 0] = (share * RECORDED.values[0]) ** 2
    return replace(RECORDED, covariance=covariance)


def focal_um(looks, camera, tilt):
    """U (k = 2) from the focal part alone over the sides of a square of 50 mm in the window."""
    pose = looks.pose_over(SPEC, tilt, 30, 20, DISTANCE_MM)
    truth = np.concatenate([camera.values, pose, [1.0, 1.0]])
    exact = looks.sight_corners(SPEC, truth, 0.0, 3)  # so that the slopes are those of the truth
    sighting = replace(exact, sigma_px=np.full(len(exact.corner_ids), SIGMA_PX))
    view = solve_view(sighting, camera, SCALE)
    square = SPEC.side_mm / 2 + 25 * np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]])
    seen = project(truth, np.column_stack([square, np.full(4, FACE_MM)]))

    def sides_mm(values):
        corners = plane_from_photo(values, seen, (FACE_MM, 0.0, 0.0))
        return np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)

    slope = np.array(
        [(sides_mm(truth + s) - sides_mm(truth - s)) / (2 * s.sum()) for s in np.diag(STEPS)]
    )
    part = view.parts["focal"]
    return 2000 * float(np.sqrt(np.einsum("ks,kl,ls->s", slope, part, slope).mean()))


@pytest.mark.parametrize(
    ("tilt", "published_um"), [(0, 11.5), (10, 5.6), (20, 3.7)], ids=["head-on", "10", "20"]
)
def test_the_record_and_tilt_bring_it_down_to_micrometres(looks, tilt, published_um):
    got = focal_um(looks, RECORDED, tilt)
    assert published_um / 2 < got < 2 * published_um


def test_head_on_and_without_a_record_it_is_a_third_of_a_millimetre(looks):
    """A prior so wide that it says nothing; the linear figure, as the published one is."""
    assert 351 / 2 < focal_um(looks, unrecorded(0.9), 0) < 351 * 2


def test_every_degree_of_tilt_makes_it_less(looks):
    prices = [focal_um(looks, RECORDED, tilt) for tilt in (0, 8, 14, 20, 28)]
    assert np.all(np.diff(prices) < 0)


@pytest.mark.parametrize("tilt", [0, 20])
def test_the_record_matters_head_on_and_hardly_at_20_degrees(looks, tilt):
    ratio = focal_um(looks, unrecorded(0.12), tilt) / focal_um(looks, RECORDED, tilt)
    assert ratio > 3 if tilt == 0 else ratio < 1.3


def test_a_known_lens_costs_nothing_for_its_focal_length(looks):
    profile = replace(RECORDED, covariance=RECORDED.covariance * 1e-4, source="profile")
    assert focal_um(looks, profile, 10) == 0
