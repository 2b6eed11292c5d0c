"""The sheet as a stranger's printer would see it: rasterised by another program and measured."""

import itertools
from functools import cache
from io import BytesIO
from typing import Any

import cv2
import numpy as np
import pypdf
import pypdfium2
import pytest
from numpy.typing import NDArray

from scribetarget.paper import PAPERS
from scribetarget.sheet import SheetPlan, draw_sheet, plan_sheet
from scribetarget.spec import DICTIONARY_NAME, TargetSpec, corner_positions_mm, load_specs

DPI = 600
PX_PER_MM = DPI / 25.4
MARGIN_MM = 10.0
SHEETS = list(itertools.product(("S", "M", "L"), ("a4", "letter")))


@cache
def pdf_of(size: str, paper: str) -> bytes:
    return draw_sheet(load_specs()[size], PAPERS[paper])


@cache
def raster_of(size: str, paper: str) -> NDArray[np.uint8]:
    page = pypdfium2.PdfDocument(pdf_of(size, paper))[0]
    return np.asarray(page.render(scale=DPI / 72, grayscale=True).to_numpy()).squeeze()


def plan_of(size: str, paper: str) -> SheetPlan:
    return plan_sheet(load_specs()[size], PAPERS[paper])


def window(raster: NDArray[np.uint8], low_mm: Any, high_mm: Any) -> NDArray[np.uint8]:
    (x0, y0), (x1, y1) = np.round(np.array([low_mm, high_mm]) * PX_PER_MM).astype(int)
    return raster[y0:y1, x0:x1]


def detect(spec: TargetSpec, raster: NDArray[np.uint8]) -> tuple[Any, NDArray[np.float64]]:
    n = spec.squares_per_side
    dictionary = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, DICTIONARY_NAME))
    ids = np.arange(spec.first_marker_id, spec.last_marker_id + 1)
    board = cv2.aruco.CharucoBoard((n, n), spec.square_mm, spec.marker_mm, dictionary, ids)
    parameters = cv2.aruco.CharucoParameters()
    parameters.minMarkers = 1
    corners, found, _, _ = cv2.aruco.CharucoDetector(board, parameters).detectBoard(raster)
    # A marker begins an eighth of a square from the corner; the window must not see it.
    reach = int(spec.square_mm * PX_PER_MM / 8) - 2
    stop = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_MAX_ITER, 50, 1e-4)
    corners = np.asarray(corners, np.float32).reshape(-1, 1, 2)
    fine = cv2.cornerSubPix(raster, corners.copy(), (reach, reach), (-1, -1), stop)
    return np.asarray(found).reshape(-1), np.asarray(fine, np.float64).reshape(-1, 2)


@pytest.mark.parametrize("size", ["S", "M", "L"])
def test_opencv_reads_every_corner_of_the_ring_where_it_was_drawn(size: str) -> None:
    spec = load_specs()[size]
    ids, corners_px = detect(spec, raster_of(size, "a4"))
    at = {int(number): corner for number, corner in zip(ids, corners_px, strict=True)}
    assert set(spec.corner_ids) <= set(at)
    seen_mm = (np.array([at[number] for number in spec.corner_ids]) + 0.5) / PX_PER_MM
    off_mm = seen_mm - corner_positions_mm(spec, spec.corner_ids) - plan_of(size, "a4").board_mm
    # The page's own place may be off by a pixel; no scale and no turn is taken out.
    assert np.abs(off_mm.mean(axis=0)).max() < 1 / PX_PER_MM
    assert np.abs(off_mm - off_mm.mean(axis=0)).max() < 0.02, "mm"


@pytest.mark.parametrize(("size", "paper"), SHEETS)
def test_page_size_and_no_scaling(size: str, paper: str) -> None:
    reader = pypdf.PdfReader(BytesIO(pdf_of(size, paper)))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    size_mm = np.array([float(box.width), float(box.height)]) * 25.4 / 72
    np.testing.assert_allclose(
        size_mm, [PAPERS[paper].width_mm, PAPERS[paper].height_mm], atol=0.01
    )
    assert reader.root_object["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_the_same_sheet_has_the_same_bytes() -> None:
    assert draw_sheet(load_specs()["S"], PAPERS["a4"]) == pdf_of("S", "a4")
    assert pdf_of("S", "letter") != pdf_of("S", "a4")


def ends_mm(profile: NDArray[np.float64]) -> tuple[float, float]:
    """First and last edge of the black stretch of a profile, to a part of a pixel."""
    black = 1 - profile / 255
    (inside,) = np.nonzero(black > 0.5)
    first, last = inside[0], inside[-1]
    return (first - black[first - 1]) / PX_PER_MM, (last + 1 + black[last + 1]) / PX_PER_MM


@pytest.mark.parametrize(("size", "paper"), SHEETS)
@pytest.mark.parametrize("axis", ["x", "y"])
def test_bar_length(size: str, paper: str, axis: str) -> None:
    spec, plan, raster = load_specs()[size], plan_of(size, paper), raster_of(size, paper)
    start = np.array(plan.bar_x_mm if axis == "x" else plan.bar_y_mm)
    along = np.array([1.0, 0.0] if axis == "x" else [0.0, 1.0])
    across = along[::-1]
    low = start - 8 * along
    high = start + (spec.check_bar_mm + 8) * along
    bar = window(raster, low + 0.5 * across, high + 1.5 * across)
    first, last = ends_mm(bar.mean(axis=0 if axis == "x" else 1))
    # pdfium fills rectangles to whole pixels.
    assert last - first == pytest.approx(spec.check_bar_mm, abs=1.01 / PX_PER_MM)
    # The end blocks begin at the same two lines, so that ink spread cancels.
    blocks = window(raster, low + 2.2 * across, high + 2.6 * across)
    profile = blocks.mean(axis=0 if axis == "x" else 1)
    middle = len(profile) // 2
    (left,) = np.nonzero(profile[:middle] < 128)
    black_before = left[left / PX_PER_MM < 8.3].max() + 1
    assert black_before / PX_PER_MM == pytest.approx(first, abs=1.5 / PX_PER_MM)


@pytest.mark.parametrize(("size", "paper"), SHEETS)
def test_margins_and_window_are_empty(size: str, paper: str) -> None:
    spec, raster = load_specs()[size], raster_of(size, paper)
    rows, columns = np.nonzero(raster < 250)
    assert rows.min() / PX_PER_MM > MARGIN_MM - 0.1
    assert columns.min() / PX_PER_MM > MARGIN_MM - 0.1
    assert PAPERS[paper].height_mm - rows.max() / PX_PER_MM > MARGIN_MM - 0.1
    assert PAPERS[paper].width_mm - columns.max() / PX_PER_MM > MARGIN_MM - 0.1
    low = np.array(plan_of(size, paper).board_mm) + spec.ring_squares * spec.square_mm
    inner = window(raster, low + 0.1, low + spec.window_mm - 0.1)
    assert inner.min() == 255


@pytest.mark.parametrize(("size", "paper"), SHEETS)
def test_words_stand_on_nothing_else(size: str, paper: str) -> None:
    """Every letter's box is clear of the board and of both bars."""
    spec, plan = load_specs()[size], plan_of(size, paper)
    page = pypdfium2.PdfDocument(pdf_of(size, paper))[0]
    words = page.get_textpage()
    height = PAPERS[paper].height_mm
    (bx, by), (ux, uy) = plan.bar_x_mm, plan.bar_y_mm
    bar = spec.check_bar_mm
    solid = [
        (*plan.board_mm, plan.board_mm[0] + spec.side_mm, plan.board_mm[1] + spec.side_mm),
        (bx, by, bx + bar, by + 2),
        (ux, uy, ux + 2, uy + bar),
    ]
    letters = 0
    for index in range(words.count_chars()):
        box_mm = np.array(words.get_charbox(index)) * 25.4 / 72
        left, bottom, right, top = box_mm[0], height - box_mm[1], box_mm[2], height - box_mm[3]
        if right <= left:
            continue
        letters += 1
        assert right < PAPERS[paper].width_mm - MARGIN_MM + 0.01
        for x0, y0, x1, y1 in solid:
            assert right < x0 or left > x1 or bottom < y0 or top > y1, words.get_text_range(
                index, 9
            )
    assert letters > 300


def test_says_how_to_print_and_what_to_write_down() -> None:
    text = pypdfium2.PdfDocument(pdf_of("M", "a4"))[0].get_textpage().get_text_range()
    for words in ("actual size", "size M", "TOP", "bar x, drawn 100 mm", "on every copy", "date"):
        assert words in text
