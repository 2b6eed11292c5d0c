"""A ring is found whole, agrees with an outside detector, and anything else is refused."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from scribetarget.detect import find_ring_part, find_target, window_share
from scribetarget.errors import SightingError
from scribetarget.spec import corner_positions_mm, load_specs

PHOTOS = Path(__file__).parents[3] / "fixtures" / "photos"
SPEC = load_specs()["S"]
SHAPE = (700, 700)
MIDDLE = (350.3, 348.7)


@pytest.fixture(scope="module")
def ink(studio):
    return studio.ink_of(SPEC)


@pytest.fixture(scope="module")
def drawing(studio, ink):
    return studio.draw(ink, SPEC, studio.view_matrix(SPEC, 39.0, 17.0, 0.15, MIDDLE), SHAPE)


@pytest.fixture(scope="module")
def photo(studio, drawing):
    return studio.as_photo(drawing.photograph(), noise=2.0)


@pytest.fixture(scope="module")
def sighting(photo):
    return find_target(photo)


def refusal(grey):
    with pytest.raises(SightingError) as caught:
        find_target(grey)
    assert caught.value.text
    assert caught.value.cure
    return caught.value.code


def true_px(drawing, sighting):
    return drawing.places_px(corner_positions_mm(SPEC, sighting.corner_ids))


def test_every_corner_is_found_where_it_was_drawn(drawing, sighting):
    assert sighting.spec is SPEC
    assert tuple(sighting.corner_ids) == SPEC.corner_ids
    error = sighting.corners_px - true_px(drawing, sighting)
    assert np.abs(error.mean(axis=0)).max() < 0.005
    assert np.sqrt((error**2).mean()) < 0.02
    assert 0.8 < np.sqrt(((error / sighting.sigma_px[:, None]) ** 2).mean()) < 1.2


def test_what_else_it_says_of_the_picture(drawing, sighting):
    assert set(sighting.marker_ids) <= set(SPEC.printed_marker_ids)
    assert len(sighting.marker_ids) > 40
    assert (sighting.white_level, sighting.black_level) == pytest.approx((200, 45), abs=3)
    assert sighting.contrast == pytest.approx(155, abs=4)
    assert sighting.blur_px == pytest.approx(np.hypot(0.8, 1 / np.sqrt(12)), abs=0.05)
    assert sighting.clipped_share == 0.0
    edge = corner_positions_mm(SPEC, [0, 12, 168, 156])
    outline = drawing.places_px(edge).astype(np.float32)
    assert sighting.square_px == pytest.approx(np.sqrt(cv2.contourArea(outline)) / 12, rel=0.01)


def test_agrees_with_the_outside_detector(photo, sighting):
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36H11)
    side = SPEC.squares_per_side
    ids = np.arange(SPEC.first_marker_id, SPEC.last_marker_id + 1)
    board = cv2.aruco.CharucoBoard((side, side), SPEC.square_mm, SPEC.marker_mm, dictionary, ids)
    corners, numbers, _, _ = cv2.aruco.CharucoDetector(board).detectBoard(photo)
    seen = dict(zip(numbers.reshape(-1).tolist(), corners.reshape(-1, 2), strict=True))
    shared = [i for i, number in enumerate(sighting.corner_ids) if int(number) in seen]
    assert len(shared) > 40
    theirs = np.array([seen[int(sighting.corner_ids[i])] for i in shared])
    assert np.median(np.linalg.norm(sighting.corners_px[shared] - theirs, axis=1)) < 0.1


@pytest.mark.parametrize("quarters", [1, 2, 3])
def test_a_turned_picture_gives_the_same_corners(photo, sighting, quarters):
    turned = find_target(np.ascontiguousarray(np.rot90(photo, quarters)))
    x, y = sighting.corners_px.T
    expected = {
        1: (y, SHAPE[1] - 1 - x),
        2: (SHAPE[1] - 1 - x, SHAPE[0] - 1 - y),
        3: (SHAPE[0] - 1 - y, x),
    }[quarters]
    np.testing.assert_array_equal(turned.corner_ids, sighting.corner_ids)
    np.testing.assert_allclose(turned.corners_px, np.column_stack(expected), atol=0.005)


def test_a_computed_photo_matches_its_own_camera():
    grey = cv2.imread(str(PHOTOS / "computed-target" / "cam3-10.jpg"), cv2.IMREAD_GRAYSCALE)
    truth = json.loads((PHOTOS / "computed-target" / "cam3-10.json").read_text(encoding="utf-8"))
    found = find_target(grey)
    printed = corner_positions_mm(found.spec, found.corner_ids) * truth["print_scale"]
    turn, _ = cv2.Rodrigues(np.array(truth["R"]))
    places, _ = cv2.projectPoints(
        np.column_stack([printed, np.zeros(len(printed))]),
        turn,
        np.array(truth["t"]),
        np.array(truth["K"]),
        np.array(truth["dist"]),
    )
    error = found.corners_px - places.reshape(-1, 2)
    assert found.spec.size == truth["target"]
    assert len(found.corner_ids) == len(found.spec.corner_ids)
    assert np.sqrt((error**2).mean()) < 0.05
    # A defocused lens shifts a whole region by hundredths of a pixel; a pose takes that up, so
    # the stated uncertainty is judged by what is left.
    matrix, _ = cv2.findHomography(found.corners_px, found.corners_px - error)
    moved = cv2.perspectiveTransform(found.corners_px[None], matrix)[0]
    left = (moved - (found.corners_px - error)) / found.sigma_px[:, None]
    assert 0.8 < np.sqrt((left**2).sum() / (left.size - 8)) < 1.25


def test_a_finger_costs_only_the_corners_under_it(studio, drawing, sighting):
    level = drawing.photograph()
    x, y = drawing.places_px(corner_positions_mm(SPEC, [3]))[0]
    yy, xx = np.mgrid[: SHAPE[0], : SHAPE[1]]
    finger = (xx - x) ** 2 + (yy - y) ** 2 < 60**2
    found = find_target(studio.as_photo(np.where(finger, 150.0, level), noise=2.0))
    lost = set(sighting.corner_ids) - set(found.corner_ids)
    assert {2, 3, 4} <= lost
    assert len(lost) <= 6
    error = found.corners_px - true_px(drawing, found)
    assert np.abs(error).max() < 0.1


def test_the_edge_of_a_shadow_does_not_move_corners(studio, drawing):
    level = drawing.photograph()
    shade = np.where(np.arange(SHAPE[1]) < 300, 0.55, 1.0)
    found = find_target(studio.as_photo(level * shade, noise=2.0))
    error = np.linalg.norm(found.corners_px - true_px(drawing, found), axis=1)
    assert len(found.corner_ids) > 40
    assert (error / found.sigma_px).max() < 5


def test_mirrored(photo):
    assert refusal(np.ascontiguousarray(photo[:, ::-1])) == "mirrored"


def test_two_sheets(studio, ink, photo):
    small = studio.draw(ink, SPEC, studio.view_matrix(SPEC, 34.0, -5.0, 0.0, MIDDLE), SHAPE)
    other = studio.as_photo(small.photograph())
    assert refusal(np.hstack([photo, other])) == "two_targets"
    assert refusal(np.hstack([photo, other[:, :250]])) == "two_targets"


def test_two_sheets_of_different_size(studio, photo):
    spec = load_specs()["M"]
    matrix = studio.view_matrix(spec, 34.0, -5.0, 0.0, MIDDLE)
    other = studio.draw(studio.ink_of(spec), spec, matrix, SHAPE)
    assert refusal(np.hstack([photo, studio.as_photo(other.photograph())])) == "two_targets"


def test_cut_off(photo, drawing):
    half = np.ascontiguousarray(photo[:, :420])
    assert refusal(half) == "target_cut_off"
    part = find_ring_part(half)
    assert window_share(part) < 0.8
    error = part.corners_px - true_px(drawing, part)
    assert np.abs(error).max() < 0.1
    corner = np.ascontiguousarray(photo[70:, 60:])
    assert len(find_target(corner).corner_ids) < len(SPEC.corner_ids)


def test_too_small(studio, ink):
    matrix = studio.view_matrix(SPEC, 18.0, 5.0, 0.0, MIDDLE)
    tiny = studio.draw(ink, SPEC, matrix, SHAPE)
    assert refusal(studio.as_photo(tiny.photograph(0.4))) == "target_too_small"


def test_a_ring_with_its_markers_in_other_places(studio):
    shuffled = dict(
        zip(
            SPEC.printed_marker_ids,
            np.random.default_rng(3).permutation(SPEC.printed_marker_ids).tolist(),
            strict=True,
        )
    )
    ink = studio.ink_of(SPEC, shuffled.__getitem__)
    sheet = studio.draw(ink, SPEC, studio.view_matrix(SPEC, 39.0, 17.0, 0.1, MIDDLE), SHAPE)
    assert refusal(studio.as_photo(sheet.photograph())) == "foreign_sheet"


def test_nothing_there():
    assert refusal(np.full(SHAPE, 128, dtype=np.uint8)) == "no_target"
    noise = np.random.default_rng(0).integers(0, 256, SHAPE)
    assert refusal(noise.astype(np.uint8)) == "no_target"


@pytest.mark.parametrize(
    "path", sorted((PHOTOS / "foreign-markers").glob("*.jpg")), ids=lambda path: path.stem
)
def test_foreign_markers_are_named(path):
    assert refusal(cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)) == "foreign_sheet"


@pytest.mark.parametrize(
    "path", sorted((PHOTOS / "no-target").glob("*.jpg")), ids=lambda path: path.stem
)
def test_photos_without_a_sheet(path):
    assert refusal(cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)) == "no_target"
