"""All named figures on one sheet, and one figure on its own."""

from scribegauge.drawings.figuredrawing import dimension_items, figure_items, named_items
from scribegauge.drawings.record import Block, Item, Page, Words, bounds_mm, fitted
from scribegauge.figure.layout import Layout
from scribegauge.figure.named import figure_layout, figure_names, named_figure, size_words

_COLUMNS = 4
_CELL_MM = (50.0, 62.0)
_EDGE_MM = 8.0
_HEAD_MM = 12.0
_DRAWN_MM = 38.0  # of a cell's height
_TITLE_MM, _NAME_MM, _SIZE_MM, _ROW_MM = 3.2, 2.2, 1.7, 3.2
_MARGIN_MM = 12.0


def figure_sheet() -> Page:
    """Return a page that shows every named figure with its name and sizes."""
    names = figure_names()
    rows = -(-len(names) // _COLUMNS)
    width = 2 * _EDGE_MM + _COLUMNS * _CELL_MM[0]
    head = Words(
        (_EDGE_MM, _EDGE_MM), "Figures by name and size", _TITLE_MM, "rule", "start", bold=True
    )
    blocks = [Block((head,))]
    for k, name in enumerate(names):
        x = _EDGE_MM + k % _COLUMNS * _CELL_MM[0]
        y = _EDGE_MM + _HEAD_MM + k // _COLUMNS * _CELL_MM[1]
        blocks += _cell(name, x, y)
    return Page(width, 2 * _EDGE_MM + _HEAD_MM + rows * _CELL_MM[1], tuple(blocks))


def figure_page(layout: Layout) -> Page:
    """Return a page as large as one figure at true scale, with names and dimensions."""
    sizes = dimension_items(layout)
    items = (*named_items(layout, 1.0, sizes), *sizes)
    low, high = bounds_mm(items)
    shift = (_MARGIN_MM - float(low[0]), _MARGIN_MM - float(low[1]))
    width, height = (float(v) + 2 * _MARGIN_MM for v in high - low)
    return Page(width, height, (Block(items, 1.0, shift),))


def _cell(name: str, x: float, y: float) -> list[Block]:
    figure, layout = named_figure(name), figure_layout(name)
    middle = x + _CELL_MM[0] / 2
    room = ((x + 6.0, y + 5.0), (x + _CELL_MM[0] - 6.0, y + _DRAWN_MM))
    scale = fitted(figure_items(layout), *room).scale
    drawn = named_items(layout, scale)
    words: list[Item] = [Words((middle, y + _DRAWN_MM + 7.0), name, _NAME_MM, "rule", bold=True)]
    sizes = ", ".join(size_words(key, value) for key, value in figure.sizes.items())
    for k, row in enumerate(_broken(sizes)):
        at = (middle, y + _DRAWN_MM + 7.0 + _ROW_MM * (k + 1.1))
        words.append(Words(at, row, _SIZE_MM, "rule"))
    return [fitted(drawn, *room, most=scale), Block(tuple(words))]


def _broken(text: str, most: int = 30) -> list[str]:
    rows = [""]
    for part in text.split(", "):
        joined = f"{rows[-1]}, {part}" if rows[-1] else part
        if len(joined) > most and rows[-1]:
            rows[-1] += ","
            rows.append(part)
        else:
            rows[-1] = joined
    return rows
