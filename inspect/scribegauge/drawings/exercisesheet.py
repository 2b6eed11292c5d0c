"""An exercise on paper: A4 or letter, or a drawing board as large as its drawing needs."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from scribegauge.drawings.checks import Check
from scribegauge.drawings.exercise import Exercise, caption, lasting, panel_items, true_items
from scribegauge.drawings.lettering import paragraph, row_mm, width_mm
from scribegauge.drawings.record import Block, Item, Page, Segment, Words, bounds_mm, fitted
from scribetarget.paper import Paper
from scribetarget.spec import load_specs

_EDGE_MM = 13.0
_TITLE_MM, _HEAD_MM, _PLAIN_MM, _SMALL_MM = 3.4, 2.4, 2.0, 1.7
_COLUMNS, _PANEL_MM, _CAPTION_ROWS = 3, 44.0, 4
_BAR_MM = 50.0
_SCALES = (1.0, 0.5, 0.2)
_TABLE_ROW_MM = 5.4
_ALL = 1e-6

SAFETY = (
    "Take care: scriber and dividers have points that go into a hand as well as into brass; cap "
    "them, lay them down pointing away. Deburr the plate before it is handled: a sawn or sheared "
    "edge cuts. Wear eye protection for sawing, filing, grinding and punching; brush swarf away, "
    "never blow it. Your teacher's word and the rules of the workshop come first."
)


@dataclass(frozen=True, slots=True)
class _Sheet:
    """A page being filled: its size and the room between its edges."""

    width_mm: float
    height_mm: float

    @property
    def room_mm(self) -> float:
        """Between left and right edge."""
        return self.width_mm - 2 * _EDGE_MM

    @property
    def end_mm(self) -> float:
        """Lowest place to be used."""
        return self.height_mm - _EDGE_MM


def exercise_pages(exercise: Exercise, paper: Paper, *, grow: bool) -> tuple[Page, ...]:
    """Lay an exercise out.

    Parameters
    ----------
    exercise : Exercise
    paper : Paper
    grow : bool
        Whether a drawing that is too large for the paper makes the page larger; else it is drawn
        smaller, and says so.

    Returns
    -------
    tuple of Page
        The first has the task, the drawing and the check measurements, the others the steps.
    """
    return (_first_page(exercise, paper, grow=grow), *_step_pages(exercise, paper))


def _first_page(exercise: Exercise, paper: Paper, *, grow: bool) -> Page:
    drawn = true_items(exercise)
    low, high = bounds_mm(drawn)
    size = high - low + 8.0  # names reach past the strokes
    sheet = _Sheet(paper.width_mm, paper.height_mm)
    head, top = _head(exercise, sheet)
    foot, foot_mm = _foot(exercise, sheet)
    if grow:
        more = np.maximum(size - [sheet.room_mm, sheet.end_mm - foot_mm - top], 0.0)
        sheet = _Sheet(sheet.width_mm + float(more[0]), sheet.height_mm + float(more[1]))
    bottom = sheet.end_mm - foot_mm
    room = np.array([sheet.room_mm, bottom - top])
    scale = next((s for s in _SCALES if (s * (high - low) + 8.0 <= room + _ALL).all()), _SCALES[-1])
    drawn = true_items(exercise, scale) if scale < 1 else drawn
    middle = np.array([sheet.width_mm / 2, (top + bottom) / 2]) - scale * (low + high) / 2
    drawing = Block(drawn, scale, (float(middle[0]), float(middle[1])))
    notes = Block(tuple(_scale_note(scale, bottom)))
    below = Block(foot, 1.0, (0.0, bottom))
    return Page(sheet.width_mm, sheet.height_mm, (Block(head), drawing, notes, below))


def _head(exercise: Exercise, sheet: _Sheet) -> tuple[tuple[Item, ...], float]:
    x, y = _EDGE_MM, _EDGE_MM + 2.0
    items: list[Item] = [Words((x, y), exercise.plan.title, _TITLE_MM, "rule", "start", bold=True)]
    y += 9.0
    items += _to_fill_in(sheet, y)
    y += 7.5
    for text in (_task(exercise), _method(exercise), _sources(exercise)):
        rows, y = paragraph(text, (x, y), sheet.room_mm, _PLAIN_MM)
        items += rows
        y += 1.2
    return tuple(items), y


def _to_fill_in(sheet: _Sheet, y: float) -> Iterator[Item]:
    x = _EDGE_MM
    for words, blank in (("Code", 40.0), ("Date", 40.0), ("Plate, thickness", 34.0)):
        yield Words((x, y), words, _HEAD_MM, "rule", "start")
        x += width_mm(words, _HEAD_MM) + 2.0
        yield Segment((x, y + 1.8), (min(x + blank, sheet.width_mm - _EDGE_MM), y + 1.8), "rule")
        x += blank + 6.0


def _task(exercise: Exercise) -> str:
    square = exercise.square_mm
    windows = sorted((spec.window_mm, spec.size) for spec in load_specs().values())
    size = next((size for window, size in windows if window > square), "")
    goes = f"which goes into the target of size {size}" if size else "too large for any target"
    return (
        f"Plate: at least {np.ceil(square):.0f} mm square for all marks, {goes}. Scribe the construction at these sizes: {exercise.sizes}. Prick every point where "
        "it is found, and leave all marks: they tell which step went how well. x runs to the right, y "
        "downwards."
    )


def _method(exercise: Exercise) -> str:
    if exercise.construction.exact:
        return "The method is exact: what is off in the end came from the hand."
    off = [check for check in exercise.checks if not check.alike]
    if not off:
        return "The method comes near; at these sizes it is exact as far as anybody can measure."
    return (
        "The method comes near and is not exact: the column “method” below has what it gives when "
        "done perfectly."
    )


def _sources(exercise: Exercise) -> str:
    known = "; ".join(exercise.construction.sources)
    return f"Source: {known}." if known else "Source: one's own construction."


def _scale_note(scale: float, y: float) -> Iterator[Item]:
    """Say at which scale the drawing is, with a bar to see whether the paper was printed so."""
    x, y = _EDGE_MM, y - 2.0
    for end in (x, x + _BAR_MM):
        yield Segment((end, y - 1.2), (end, y + 1.2), "rule")
    yield Segment((x, y), (x + _BAR_MM, y), "rule")
    said = f"{_BAR_MM:g} mm on paper printed at actual size. "
    said += "Drawing at true scale." if scale == 1 else f"Drawing 1:{1 / scale:g}, sizes in mm."
    yield Words((x + _BAR_MM + 3.0, y), said, _SMALL_MM, "rule", "start")


def _foot(exercise: Exercise, sheet: _Sheet) -> tuple[tuple[Item, ...], float]:
    """Return the table of check measurements and the cautions, with their height [mm]."""
    items: list[Item] = []
    y = 5.0
    items.append(Words((_EDGE_MM, y), "Measure at the end", _HEAD_MM, "rule", "start", bold=True))
    y += 5.5
    for row in _table(exercise.checks):
        items += _row(row, y)
        items.append(Segment((_EDGE_MM, y + 2.4), (sheet.width_mm - _EDGE_MM, y + 2.4), "mark"))
        y += _TABLE_ROW_MM
    y += 2.0
    cautions, y = paragraph(SAFETY, (_EDGE_MM, y), sheet.room_mm, _SMALL_MM)
    return (*items, *cautions), y - row_mm(_SMALL_MM) + 2.0


def _table(checks: tuple[Check, ...]) -> Iterator[tuple[str, ...]]:
    by_method = any(not check.alike for check in checks)
    yield ("", "intended", *(["method"] if by_method else []), "measured", "deviation")
    for check in checks:
        numbers = [check.intended, *([check.method] if by_method else [])]
        yield (check.what, *(f"{value:.2f} {check.unit}".replace(" °", "°") for value in numbers))


def _row(cells: tuple[str, ...], y: float) -> Iterator[Item]:
    for k, cell in enumerate(cells):
        if cell:
            x = _EDGE_MM + (0.0 if k == 0 else 46.0 + 33.0 * (k - 1))
            yield Words((x, y), cell, _PLAIN_MM, "rule", "start")


def _step_pages(exercise: Exercise, paper: Paper) -> Iterator[Page]:
    sheet = _Sheet(paper.width_mm, paper.height_mm)
    wide = sheet.room_mm / _COLUMNS
    high = _PANEL_MM + _CAPTION_ROWS * row_mm(_PLAIN_MM) + 4.0
    rows = int((sheet.end_mm - _EDGE_MM - 10.0) / high)
    everything = tuple(lasting(exercise.steps))
    scale = fitted(everything, (0.0, 0.0), (wide - 14.0, _PANEL_MM - 13.0)).scale
    middle = np.add(*bounds_mm(everything)) / 2
    panels = list(panel_items(exercise, scale, _PLAIN_MM))
    per_page = rows * _COLUMNS
    for first in range(0, len(panels), per_page):
        blocks = [Block(tuple(_page_head(exercise, sheet, first // per_page + 2)))]
        for k, items in enumerate(panels[first : first + per_page]):
            x = _EDGE_MM + k % _COLUMNS * wide
            y = _EDGE_MM + 10.0 + k // _COLUMNS * high
            at = np.array([x + wide / 2, y + _PANEL_MM / 2]) - scale * middle
            blocks.append(Block(items, scale, (float(at[0]), float(at[1]))))
            said = caption(exercise, exercise.steps[first + k])
            words, _ = paragraph(said, (x + 2.0, y + _PANEL_MM + 1.5), wide - 5.0, _PLAIN_MM)
            blocks.append(Block(tuple(words)))
        yield Page(sheet.width_mm, sheet.height_mm, tuple(blocks))


def _page_head(exercise: Exercise, sheet: _Sheet, number: int) -> Iterator[Item]:
    y = _EDGE_MM + 2.0
    yield Words((_EDGE_MM, y), exercise.plan.title, _HEAD_MM, "rule", "start", bold=True)
    right = sheet.width_mm - _EDGE_MM
    yield Words((right, y), f"steps, page {number}", _PLAIN_MM, "rule", "end")
