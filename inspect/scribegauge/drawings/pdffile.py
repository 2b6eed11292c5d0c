"""A drawing as PDF, at true scale where its parts are."""

from collections.abc import Sequence
from io import BytesIO
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from scribegauge.drawings.record import STYLES, Arc, Block, Dot, Item, Page, Segment, Words
from scribegauge.drawings.svgfile import CAPITALS, DOT_MM
from scribegauge.report import typeface

_PT = 72 / 25.4  # points in a millimetre
_PLAIN, _BOLD = "ScribegaugeSans", "ScribegaugeSansBold"


def to_pdf(pages: Sequence[Page], title: str) -> bytes:
    """Write pages as a PDF that asks the viewer not to scale it; same input, same bytes.

    Parameters
    ----------
    pages : sequence of Page
    title : str
    """
    folder = Path(typeface.__file__).parent / "fonts"
    for name, file in ((_PLAIN, "DejaVuSans.ttf"), (_BOLD, "DejaVuSans-Bold.ttf")):
        pdfmetrics.registerFont(TTFont(name, str(folder / file)))
    stream = BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        canvas.setPageSize((page.width_mm * _PT, page.height_mm * _PT))
        canvas.setLineCap(1)
        for block in page.blocks:
            for item in block.items:
                _draw(canvas, item, block, page.height_mm)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _draw(canvas: Canvas, item: Item, block: Block, height_mm: float) -> None:
    style = STYLES[item.role]
    points = [(x * _PT, (height_mm - y) * _PT) for x, y in block.on_paper(item.path_mm()).tolist()]
    red, green, blue = (part / 255 for part in style.colour)
    canvas.setStrokeColorRGB(red, green, blue)
    canvas.setFillColorRGB(red, green, blue)
    canvas.setLineWidth(style.width_mm * _PT)
    canvas.setDash([1.6 * _PT, 1.2 * _PT] if style.dashed else [])
    match item:
        case Segment():
            canvas.line(*points[0], *points[1])
        case Arc():
            _arc(canvas, item, block, height_mm)
        case Dot():
            canvas.circle(*points[0], DOT_MM * _PT, stroke=0, fill=1)
        case Words():
            _write(canvas, item, points[0])


def _arc(canvas: Canvas, arc: Arc, block: Block, height_mm: float) -> None:
    x, y = (v * block.scale + s for v, s in zip(arc.centre_mm, block.shift_mm, strict=True))
    x, y, r = x * _PT, (height_mm - y) * _PT, arc.radius_mm * block.scale * _PT
    if arc.whole:
        canvas.circle(x, y, r, stroke=1, fill=0)
    else:  # y runs upwards here, so the turn is the other way
        canvas.arc(x - r, y - r, x + r, y + r, -arc.start_deg, -arc.sweep_deg)


def _write(canvas: Canvas, words: Words, at: tuple[float, float]) -> None:
    canvas.saveState()
    canvas.translate(*at)
    canvas.rotate(-words.angle_deg)
    canvas.setFont(_BOLD if words.bold else _PLAIN, words.height_mm / CAPITALS * _PT)
    down = -words.height_mm / 2 * _PT
    write = {
        "start": canvas.drawString,
        "middle": canvas.drawCentredString,
        "end": canvas.drawRightString,
    }[words.anchor]
    write(0, down, words.text)
    canvas.restoreState()
