"""The budget's terms against hand calculation, another library and brute force."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation
from uncertainties import ufloat, umath

from scribegauge.figure.assign import Placement
from scribegauge.figure.fit import angles_of, area_sign, fit_figure, sides_of
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.lineerrors import COMMON_SHARE
from scribegauge.figure.merge import merge_lines
from scribegauge.marks.record import LineMark
from scribegauge.plate.face import U_SEATING_MM
from scribegauge.simulate.pinhole import project_px
from scribegauge.uncertainty.budget import make_budget
from scribegauge.uncertainty.propagation import COVERAGE_FACTOR
from scribetarget.lens import plane_from_photo

MIDDLE = np.array([40.0, 45.0])
SQUARE = MIDDLE + 25.0 * np.array([[-1.0, -1], [1, -1], [1, 1], [-1, 1]])
KITE = MIDDLE + np.array([[-20.0, -9], [3, -16], [22, 7], [-6, 17]])
# Lines that show both walls have nothing in common.
APART = ("double",) * 4
STILL = np.zeros((17, 17))
SEEN = {"u_optics": 0.02, "u_turn_mm": 0.005}
HELD = {"tilt_deg": 16.0, "azimuth_deg": 35.0, "distance_mm": 170.0, "roll_deg": 12.0}


def line_mark(ends, look, u_fit=(0.0, 0.0), u_optics=0.0, u_turn_mm=0.0):
    covariance = np.diag(np.square(u_fit))
    known = (0.08, -9.0, look, 1.0, -9.0)
    return LineMark(ends, covariance, u_optics, u_turn_mm, *known, hinted=False)


def figure(vertices, photos=1, missing=(), looks=APART, **known):
    ends = np.stack([vertices, np.roll(vertices, -1, axis=0)], axis=1)
    row = [
        None if k in missing else line_mark(pair, looks[k], **known) for k, pair in enumerate(ends)
    ]
    names = tuple(chr(65 + k) for k in range(len(vertices)))
    layout = Layout("blank", vertices, names, Tolerance(None, None))
    return fit_figure(layout, Placement(0.0, np.zeros(2), 1.0), merge_lines([row] * photos), ())


def budget_of(
    hold_camera, vertices, photos=1, parts=None, u_thickness_mm=0.0, thickness_mm=0.0, **known
):
    setup = hold_camera(
        parts=parts or {"corners": STILL},
        u_thickness_mm=u_thickness_mm,
        thickness_mm=thickness_mm,
        half_mm=(30.0, 30.0),
        **HELD,
    )
    return make_budget(figure(vertices, photos, **known), [setup.face] * photos)


def test_measured_sides_and_angles_come_first_and_second(hold_camera):
    budget = budget_of(hold_camera, SQUARE)
    np.testing.assert_allclose(budget.values[:4], 50.0)
    np.testing.assert_allclose(budget.values[4:], np.pi / 2)


def test_a_side_between_two_lines_of_0_02_mm_each(hold_camera):
    # sqrt(0.02² + 0.02²), as two libraries of uncertain numbers give it.
    budget = budget_of(hold_camera, SQUARE, u_optics=0.02)
    np.testing.assert_allclose(budget.standard("optics")[:4], 0.0282842712, rtol=1e-6)
    np.testing.assert_allclose(budget.standard("optics")[4:], 0.0, atol=1e-9)
    # Opposite sides share their two lines, and neighbours share none.
    covariance = budget.terms["optics"][:4, :4]
    np.testing.assert_allclose(covariance[0, 2], covariance[0, 0], rtol=1e-6)
    np.testing.assert_allclose(covariance[0, 1], 0.0, atol=1e-9)


@pytest.mark.parametrize(
    ("looks", "common"),
    [
        (("dark",) * 4, COMMON_SHARE),
        (("bright",) * 4, COMMON_SHARE),
        (("dark", "dark", "bright", "bright"), COMMON_SHARE),
        (("double", "dark", "dark", "dark"), 0.0),
    ],
)
def test_one_lamp_moves_parallel_lines_together(hold_camera, looks, common):
    # Side B-C is the distance from line A-B to line C-D: what moves both cancels.
    budget = budget_of(hold_camera, SQUARE, looks=looks, u_optics=0.02)
    expected = 0.02 * np.sqrt(2 * (1 - common))
    assert budget.standard("optics")[1] == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize("looks", [("dark", "bright", "dark", "double"), ("bright", "dark") * 2])
def test_no_sum_of_quantities_has_a_negative_variance(hold_camera, looks):
    budget = budget_of(hold_camera, KITE, looks=looks, u_optics=0.02)
    sizes = np.linalg.eigvalsh(budget.terms["optics"][:4, :4])
    assert sizes.min() > -1e-12


def test_an_angle_between_two_lines(hold_camera):
    # 0.025 mm at the end of 25 mm is a milliradian.
    budget = budget_of(hold_camera, SQUARE, u_turn_mm=0.025)
    np.testing.assert_allclose(budget.standard("optics")[4:], 1e-3 * np.sqrt(2), rtol=1e-5)
    budget = budget_of(hold_camera, SQUARE, u_fit=(0.0, 1e-3))
    np.testing.assert_allclose(budget.standard("line")[4:], 1e-3 * np.sqrt(2), rtol=1e-5)


def uncertain_quantities(vertices, u_offset, u_turn):
    """Return sides and angles as uncertain numbers, by equations of lines."""
    lines = []
    for a, b in zip(vertices, np.roll(vertices, -1, axis=0), strict=True):
        angle = np.arctan2(*(b - a)[::-1]) + ufloat(0, u_turn)
        offset, middle = ufloat(0, u_offset), (a + b) / 2
        nx, ny = -umath.sin(angle), umath.cos(angle)
        level = np.array([-(b - a)[1], (b - a)[0]]) / np.hypot(*(b - a))
        mx, my = middle[0] + offset * level[0], middle[1] + offset * level[1]
        lines.append((nx, ny, nx * mx + ny * my, angle))
    corners = []
    for (p, q, r, _), (s, t, u, _) in zip(
        np.roll(np.array(lines, object), 1, axis=0), lines, strict=True
    ):
        corners.append(((r * t - q * u) / (p * t - q * s), (p * u - r * s) / (p * t - q * s)))
    ahead = corners[1:] + corners[:1]
    sides = [umath.hypot(c[0] - a[0], c[1] - a[1]) for a, c in zip(corners, ahead, strict=True)]
    turns = [lines[k][3] - lines[k - 1][3] for k in range(len(lines))]
    return sides, turns


def test_lines_against_another_library(hold_camera):
    u_offset, u_turn = 0.013, 0.0007
    budget = budget_of(hold_camera, KITE, u_fit=(u_offset, u_turn))
    sides, turns = uncertain_quantities(KITE, u_offset, u_turn)
    np.testing.assert_allclose(budget.values[:4], [side.n for side in sides], rtol=1e-10)
    np.testing.assert_allclose(budget.standard("line")[:4], [side.s for side in sides], rtol=1e-4)
    np.testing.assert_allclose(budget.standard("line")[4:], [turn.s for turn in turns], rtol=1e-4)


@pytest.mark.parametrize("thickness_mm", [0.0, 2.0])
def test_a_millimetre_of_thickness_at_170_mm_is_0_29_mm_on_50(hold_camera, thickness_mm):
    budget = budget_of(hold_camera, SQUARE, u_thickness_mm=0.5, thickness_mm=thickness_mm)
    # d/dt of P0 + (P' - P0)(H - t)/H is the plate's own length over H - t; the camera is 170 mm
    # from where it aims and 16 degrees aslant.
    height_mm = 170.0 * np.cos(np.radians(16.0)) - thickness_mm
    np.testing.assert_allclose(budget.standard("thickness")[:4], 0.5 * 50.0 / height_mm, rtol=1e-5)
    np.testing.assert_allclose(budget.standard("thickness")[4:], 0.0, atol=1e-8)
    if thickness_mm == 0:
        straight = hold_camera(distance_mm=170.0, u_thickness_mm=1.0)
        face = replace(straight.face, view=replace(straight.face.view, parts={"corners": STILL}))
        found = make_budget(figure(SQUARE), [face]).standard("thickness")[:4]
        np.testing.assert_allclose(found, 0.29, atol=0.005)


def test_a_scale_error_grows_with_the_side(hold_camera):
    # Everything in the target's frame is longer by a share, so is the way to the camera.
    values = hold_camera(**HELD).face.view.values
    grows = np.zeros(17)
    grows[12:15] = values[12:15]
    grows[15:17] = 1.0
    u_scale = 2e-4
    part = u_scale**2 * np.outer(grows, grows)
    budget = budget_of(hold_camera, KITE, parts={"bars": part})
    np.testing.assert_allclose(budget.standard("bars")[:4], u_scale * budget.values[:4], rtol=1e-4)
    np.testing.assert_allclose(budget.standard("bars")[4:], 0.0, atol=1e-8)


VIEW_U = np.array(
    [15.0, 1e-3, 8, 8, 0.02, 0.05, 4e-4, 4e-4, 0.05, 4e-4, 4e-4, 4e-4, 0.05, 0.05, 0.6, 0, 0]
)


def test_the_views_term_against_brute_force(hold_camera):
    rng = np.random.default_rng(6)
    mixing = np.eye(17) + 0.3 * rng.normal(size=(17, 17)) / 4
    root = VIEW_U[:, None] * mixing
    budget = budget_of(hold_camera, KITE, parts={"lens": root @ root.T}, thickness_mm=1.5)
    setup = hold_camera(thickness_mm=1.5, **HELD)
    ends = np.stack([KITE, np.roll(KITE, -1, axis=0)], axis=1).reshape(-1, 2)
    px = project_px(np.column_stack([ends, np.full(8, -1.5)]), setup.camera, setup.pose)
    seen = []
    for _ in range(600):
        values = setup.face.view.values + root @ rng.normal(size=17)
        lines = plane_from_photo(values, px, (-1.5, 0.0, 0.0)).reshape(4, 2, 2)
        seen.append(np.concatenate([sides_of(lines), angles_of(lines, area_sign(KITE))]))
    # 600 draws give a spread to 3 %; four such errors and the curvature.
    np.testing.assert_allclose(budget.standard("lens"), np.std(seen, axis=0), rtol=0.15)
    correlation = np.corrcoef(np.array(seen).T)
    u = budget.standard("lens")
    np.testing.assert_allclose(budget.terms["lens"] / np.outer(u, u), correlation, atol=0.12)


def test_the_flatness_term_against_brute_force(hold_camera):
    budget = budget_of(hold_camera, KITE, thickness_mm=1.0)
    setup = hold_camera(thickness_mm=1.0, **HELD)
    ends = np.stack([KITE, np.roll(KITE, -1, axis=0)], axis=1).reshape(-1, 2)
    px = project_px(np.column_stack([ends, np.full(8, -1.0)]), setup.camera, setup.pose)
    rng = np.random.default_rng(7)
    width_mm = 60.0
    seen = []
    for _ in range(500):
        up = rng.normal(0, U_SEATING_MM / 2)
        a, b = rng.normal(0, U_SEATING_MM / width_mm, 2)
        plane = (-1.0 - up - a * MIDDLE[0] - b * MIDDLE[1], a, b)
        lines = plane_from_photo(setup.face.view.values, px, plane).reshape(4, 2, 2)
        seen.append(np.concatenate([sides_of(lines), angles_of(lines, area_sign(KITE))]))
    np.testing.assert_allclose(budget.standard("flatness"), np.std(seen, axis=0), rtol=0.15)


def test_terms_add_up_and_u_is_twice_their_root(hold_camera):
    part = np.diag(np.square(VIEW_U))
    budget = budget_of(
        hold_camera,
        KITE,
        parts={"lens": part, "corners": part / 9},
        u_thickness_mm=0.02,
        u_optics=0.01,
    )
    assert set(budget.terms) == {"lens", "corners", "thickness", "flatness", "line", "optics"}
    total = sum(budget.standard(cause) ** 2 for cause in budget.terms)
    np.testing.assert_allclose(budget.expanded, 2 * np.sqrt(total), rtol=1e-9)
    assert COVERAGE_FACTOR == 2.0
    np.testing.assert_allclose(budget.covariance, budget.covariance.T, atol=1e-15)


def test_what_needs_an_unseen_line_is_nan_and_the_rest_is_not(hold_camera):
    budget = budget_of(hold_camera, KITE, u_thickness_mm=0.02, missing=(1,), u_optics=0.01)
    unknown = np.isnan(budget.values)
    assert unknown.tolist() == [True, True, True, False, False, True, True, False]
    np.testing.assert_array_equal(np.isnan(budget.expanded), unknown)
    whole = budget_of(hold_camera, KITE, u_thickness_mm=0.02, u_optics=0.01)
    np.testing.assert_allclose(budget.expanded[~unknown], whole.expanded[~unknown], rtol=1e-9)


def test_naming_the_vertices_anew_moves_the_budget_with_them(hold_camera):
    part = np.diag(np.square(VIEW_U))
    known = {"parts": {"lens": part}, "u_thickness_mm": 0.1, "u_optics": 0.01, "u_turn_mm": 0.004}
    plain = budget_of(hold_camera, KITE, **known)
    rolled = budget_of(hold_camera, np.roll(KITE, -1, axis=0), **known)
    np.testing.assert_allclose(rolled.expanded[:4], np.roll(plain.expanded[:4], -1), rtol=1e-6)
    np.testing.assert_allclose(rolled.expanded[4:], np.roll(plain.expanded[4:], -1), rtol=1e-6)
    back = budget_of(hold_camera, KITE[::-1], **known)
    np.testing.assert_allclose(np.sort(back.expanded), np.sort(plain.expanded), rtol=1e-6)
    np.testing.assert_allclose(np.sort(back.values), np.sort(plain.values), rtol=1e-9)


def test_turning_plate_and_camera_together_changes_nothing(hold_camera):
    turn = 40.0
    part = np.zeros((17, 17))
    part[14, 14] = 0.25
    plain = hold_camera(parts={"corners": part}, **HELD)
    rolled = hold_camera(
        parts={"corners": part},
        **(HELD | {"azimuth_deg": 35.0 + turn, "roll_deg": 12.0 + turn}),
    )
    spin = Rotation.from_euler("z", turn, degrees=True).as_matrix()[:2, :2]
    moved = (KITE - MIDDLE) @ spin.T + MIDDLE
    one = make_budget(figure(KITE, u_optics=0.02), [plain.face])
    other = make_budget(figure(moved, u_optics=0.02), [rolled.face])
    np.testing.assert_allclose(other.values, one.values, rtol=1e-9)
    for cause in ("thickness", "optics", "corners"):
        np.testing.assert_allclose(other.standard(cause), one.standard(cause), rtol=0.02, atol=1e-9)


def test_two_photos_share_the_plate_but_not_their_noise(hold_camera):
    part = np.diag(np.square(VIEW_U))
    known = {"parts": {"corners": part}, "u_thickness_mm": 0.1} | SEEN
    one = budget_of(hold_camera, KITE, **known)
    two = budget_of(hold_camera, KITE, photos=2, **known)
    np.testing.assert_allclose(two.values, one.values, rtol=1e-9)
    for cause, share in (("thickness", 1.0), ("flatness", 1.0), ("corners", 0.5), ("optics", 0.5)):
        np.testing.assert_allclose(
            two.standard(cause) ** 2, share * one.standard(cause) ** 2, rtol=1e-3, atol=1e-12
        )


@pytest.mark.parametrize("cause", ["bars", "climate"])
def test_two_photos_of_one_sheet_by_one_camera_share_what_is_wrong_with_them(hold_camera, cause):
    part = {cause: np.diag(np.square(VIEW_U))}
    one = budget_of(hold_camera, KITE, parts=part, **SEEN)
    two = budget_of(hold_camera, KITE, photos=2, parts=part, **SEEN)
    np.testing.assert_allclose(two.standard(cause), one.standard(cause), rtol=1e-3)
