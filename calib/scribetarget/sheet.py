"""The printed sheet: a true-scale PDF of one target with its two check bars."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scribetarget.ink import black_outlines_mm
from scribetarget.paper import Paper
from scribetarget.pen import Pen, width_mm
from scribetarget.spec import TargetSpec

MARGIN_MM = 10.0  # wider than the strip that common printers leave blank
HEAD_MM = 9.0  # from the margin to the board
GAP_MM = 5.0  # white between the board and a bar, where the paper has room for it
BAR_MM = 2.0  # thickness of a bar
STRIP_MM = 2.5  # thickness of the end blocks beside it; their strip holds the label
BLOCK_MM = 6.0  # length of an end block
ARROW_MM = 1.6
SMALL_PT, PLAIN_PT, HEAD_PT = 6.5, 9.0, 14.0
LINE_MM = 4.4

FOOT = (
    ("Print", "At actual size (100 %), never “fit to page”. Black, one side, plain matt paper."),
    ("Measure", "Both bars with a caliper, jaws flat on the paper. A bar ends on the line where"),
    ("", "black changes sides: set each jaw to that line, and ink that has spread cancels out."),
    ("Again", "Measure again after every print, on every copy, and when the weather has turned"),
    ("", "damp or dry. What counts is what this sheet measures, not what was drawn."),
    ("Use", "Sheet flat on the table; plate deburred and flat in the empty window, scribed face"),
    ("", "up, nothing under it. Keep the whole ring in the photo and nothing on it."),
)


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """Where things stand on the paper: millimetres, origin at its top-left corner, y down.

    Attributes
    ----------
    board_mm : tuple of float
        Outer top-left corner of the board, the origin of the target frame.
    bar_x_mm, bar_y_mm : tuple of float
        Top-left corner of the lying and of the upright check bar, end blocks left out.
    foot_mm : float
        Height at which the text below begins.
    """

    board_mm: tuple[float, float]
    bar_x_mm: tuple[float, float]
    bar_y_mm: tuple[float, float]
    foot_mm: float


def plan_sheet(spec: TargetSpec, paper: Paper) -> SheetPlan:
    """Place board, bars and text.

    The bars stand below and right of the board, each at the middle of its side, and the window
    stays empty: a bar in it would lie under the plate, or beside it in the photo.
    """
    bar_mm = BAR_MM + STRIP_MM
    room_mm = paper.width_mm - 2 * MARGIN_MM - spec.side_mm - bar_mm
    gap_mm = min(GAP_MM, room_mm)
    left = (paper.width_mm - spec.side_mm - gap_mm - bar_mm) / 2
    top = MARGIN_MM + HEAD_MM
    indent = (spec.side_mm - spec.check_bar_mm) / 2
    below = top + spec.side_mm + GAP_MM
    return SheetPlan(
        board_mm=(left, top),
        bar_x_mm=(left + indent, below),
        bar_y_mm=(left + spec.side_mm + gap_mm, top + indent),
        foot_mm=below + bar_mm + 9.0,
    )


def draw_sheet(spec: TargetSpec, paper: Paper) -> bytes:
    """Draw one target on one page, as vectors from millimetres.

    Parameters
    ----------
    spec : TargetSpec
    paper : Paper

    Returns
    -------
    bytes
        A PDF that asks the viewer not to scale it; the same bytes for the same input.
    """
    plan = plan_sheet(spec, paper)
    pen = Pen(paper, f"scribegauge target, size {spec.size}, {paper.name}")
    pen.fill([outline + np.array(plan.board_mm) for outline in black_outlines_mm(spec)])
    pen.fill(bar_outlines_mm(spec.check_bar_mm) + np.array(plan.bar_x_mm))
    pen.fill(bar_outlines_mm(spec.check_bar_mm)[..., ::-1] + np.array(plan.bar_y_mm))
    _label_bars(pen, spec.check_bar_mm, plan)
    _draw_head(pen, spec, paper)
    _draw_foot(pen, plan)
    return pen.finish()


def bar_outlines_mm(length_mm: float) -> NDArray[np.float64]:
    """Return a lying check bar, its left end at x = 0: the bar and a block beyond each end.

    The blocks lie in the strip below the bar, so each end is a line on which black changes sides.
    Ink that spreads moves the bar's end outwards and the block's end inwards by the same amount;
    a caliper jaw set between the two reads the drawn length. A plain bar would read too long by
    twice the spread, some 0.05 mm on common printers.

    Returns
    -------
    ndarray, shape (3, 4, 2), float64
        Three rectangles [mm].
    """
    bar = _rectangle_mm((0.0, 0.0), (length_mm, BAR_MM))
    before = _rectangle_mm((-BLOCK_MM, BAR_MM), (0.0, BAR_MM + STRIP_MM))
    after = _rectangle_mm((length_mm, BAR_MM), (length_mm + BLOCK_MM, BAR_MM + STRIP_MM))
    return np.stack([bar, before, after])


def _rectangle_mm(low: tuple[float, float], high: tuple[float, float]) -> NDArray[np.float64]:
    (x0, y0), (x1, y1) = low, high
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def _label_bars(pen: Pen, length_mm: float, plan: SheetPlan) -> None:
    """Name each bar and its drawn length between arrows, in the strip between its end blocks."""
    words_x, words_y = (f"bar {name}, drawn {length_mm:g} mm" for name in "xy")
    (x_left, x_top), (y_left, y_top) = plan.bar_x_mm, plan.bar_y_mm
    words_mm = width_mm(words_x, SMALL_PT)
    arrows = _arrows_mm(length_mm, words_mm + 2.0)
    pen.fill([arrow + np.array(plan.bar_x_mm) for arrow in arrows])
    pen.fill([arrow[:, ::-1] + np.array(plan.bar_y_mm) for arrow in arrows])
    before = (length_mm - words_mm) / 2
    base = BAR_MM + STRIP_MM - 0.6
    pen.text(words_x, (x_left + before, x_top + base), SMALL_PT)
    pen.text_upwards(words_y, (y_left + base, y_top + length_mm - before), SMALL_PT)


def _arrows_mm(length_mm: float, gap_mm: float) -> list[NDArray[np.float64]]:
    """Arrows from the words to both ends; they stop short, for the ends have to stay sharp."""
    y, tip, thin = BAR_MM + STRIP_MM / 2, 0.6, 0.08
    neck = tip + ARROW_MM
    root = (length_mm - gap_mm) / 2
    head = np.array([[tip, y], [neck, y - 0.4], [neck, y + 0.4]])
    shaft = _rectangle_mm((neck, y - thin), (root, y + thin))
    mirror, shift = np.array([-1.0, 1.0]), np.array([length_mm, 0.0])
    return [head, shaft, head * mirror + shift, shaft * mirror + shift]


def _draw_head(pen: Pen, spec: TargetSpec, paper: Paper) -> None:
    base = MARGIN_MM + 5.0
    triangle = np.array([[0.0, 0.0], [4.0, 0.0], [2.0, -3.5]])
    pen.fill([triangle + np.array([MARGIN_MM, base])])
    pen.text("TOP", (MARGIN_MM + 5.5, base), HEAD_PT)
    words = f"scribegauge target, size {spec.size}"
    right = paper.width_mm - MARGIN_MM
    pen.text(words, (right - width_mm(words, HEAD_PT), base), HEAD_PT)


def _draw_foot(pen: Pen, plan: SheetPlan) -> None:
    indent = MARGIN_MM + 17.0
    for number, (head, words) in enumerate(FOOT):
        base = plan.foot_mm + number * LINE_MM
        pen.text(head, (MARGIN_MM, base), PLAIN_PT)
        pen.text(words, (indent, base), PLAIN_PT)
    base = plan.foot_mm + len(FOOT) * LINE_MM + 5.0
    pen.text("Read", (MARGIN_MM, base), PLAIN_PT)
    left = indent
    for words, blank_mm in (("bar x", 30.0), ("mm, bar y", 30.0), ("mm, date", 40.0)):
        pen.text(words, (left, base), PLAIN_PT)
        left += width_mm(words, PLAIN_PT) + 1.5
        pen.fill([_rectangle_mm((left, base + 0.8), (left + blank_mm, base + 1.0))])
        left += blank_mm + 1.5
